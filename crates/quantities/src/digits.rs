//! Numbers as people read them: no more figures than the uncertainty allows, a proper minus, commas
//! between thousands.

/// Decimals that a standard uncertainty allows, from 0 to `most`, by the rule of the Particle Data
/// Group (Review of Particle Physics, Introduction, "Rounding"): two figures of it where its first
/// three are 100 to 354, one where they are 355 to 949, and 950 to 999 count as 1000. That is within
/// the "at most two significant digits" of JCGM 100:2008, 7.2.6.
///
/// One decimal where `sd` is zero, negative or no number: it says nothing.
#[must_use]
pub fn decimals_for(sd: f64, most: usize) -> usize {
    if !(sd.is_finite() && sd > 0.0) {
        return 1.min(most);
    }
    // "3.55e-2": the first three figures and the power of ten, without a logarithm.
    let written = format!("{sd:.2e}");
    let (mantissa, exponent) = written.split_once('e').unwrap_or((&written, "0"));
    let exponent: i32 = exponent.parse().unwrap_or(0);
    let one_more = mantissa <= "3.54";
    let decimals = i32::from(one_more) - exponent;
    usize::try_from(decimals).unwrap_or(0).min(most)
}

/// With so many decimals, a proper minus (none before zero) and commas from 10,000 on; a dash for
/// what is no finite number.
#[must_use]
pub fn plain(number: f64, decimals: usize) -> String {
    if !number.is_finite() {
        return "–".into();
    }
    let digits = format!("{:.decimals$}", number.abs());
    let (whole, fraction) = digits.split_once('.').unwrap_or((&digits, ""));
    let mut text = String::new();
    if number < 0.0 && !reads_as_zero(&digits) {
        text.push('−');
    }
    for (at, digit) in whole.chars().enumerate() {
        if at > 0 && whole.len() > 4 && (whole.len() - at).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    if !fraction.is_empty() {
        text.push('.');
        text.push_str(fraction);
    }
    text
}

/// As [`plain`], with a plus above zero.
#[must_use]
pub fn signed(number: f64, decimals: usize) -> String {
    with_plus(number, plain(number, decimals))
}

/// A written number with a plus before it where it is above zero and reads so.
#[must_use]
pub fn with_plus(number: f64, written: String) -> String {
    if number > 0.0 && !reads_as_zero(&written) { format!("+{written}") } else { written }
}

fn reads_as_zero(written: &str) -> bool {
    !written.bytes().any(|b| matches!(b, b'1'..=b'9'))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(value: f64, sd: f64) -> String {
        let decimals = decimals_for(sd, 6);
        format!("{} ± {}", plain(value, decimals), plain(sd, decimals))
    }

    /// The two examples of the Particle Data Group's rule, and the one of JCGM 100:2008, 7.2.6.
    #[test]
    fn figures_follow_the_uncertainty() {
        assert_eq!(line(0.827, 0.119), "0.83 ± 0.12");
        assert_eq!(line(0.827, 0.367), "0.8 ± 0.4");
        assert_eq!(line(10.05762, 0.027), "10.058 ± 0.027");
    }

    /// By hand, from the same rule.
    #[test]
    fn limits_of_the_rule() {
        for (sd, decimals) in [
            (0.354, 2),
            (0.355, 1),
            (0.949, 1),
            (0.951, 1),
            (0.0951, 2),
            (0.1, 2),
            (3.0, 1),
            (9.6, 0),
            (96.0, 0),
            (1e9, 0),
            (1e-12, 6),
            (1e-300, 6),
            (0.0, 1),
            (-1.0, 1),
            (f64::NAN, 1),
        ] {
            assert_eq!(decimals_for(sd, 6), decimals, "{sd}");
        }
        assert_eq!(decimals_for(1e-12, 4), 4);
    }

    #[test]
    fn as_people_write_them() {
        assert_eq!(plain(28_800.0, 0), "28,800");
        assert_eq!(plain(3_600.0, 0), "3600");
        assert_eq!(plain(1_234_567.25, 2), "1,234,567.25");
        assert_eq!(plain(-8.14, 1), "−8.1");
        assert_eq!(plain(-0.04, 1), "0.0");
        assert_eq!(plain(f64::NAN, 1), "–");
        assert_eq!(signed(4.2, 1), "+4.2");
        assert_eq!(signed(0.04, 1), "0.0");
        assert_eq!(signed(-4.2, 0), "−4");
    }
}
