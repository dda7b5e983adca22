//! Numbers as people read them: no more figures than the uncertainty allows, a proper minus, commas
//! between thousands.

use quantities::Measured;

const MOST_DECIMALS: usize = 6;

/// Decimals that an uncertainty allows, by the rule of the Particle Data Group (Review of Particle
/// Physics, Introduction, "Rounding"): two figures of it where its first three are 100 to 354, one
/// where they are 355 to 949, and 950 to 999 count as 1000.
fn decimals_for(sd: f64) -> usize {
    if !(sd.is_finite() && sd > 0.0) {
        return 1;
    }
    // "3.55e-2": the first three figures and the power of ten, without a logarithm.
    let written = format!("{sd:.2e}");
    let (mantissa, exponent) = written.split_once('e').unwrap_or((&written, "0"));
    let exponent: i32 = exponent.parse().unwrap_or(0);
    let one_more = mantissa <= "3.54";
    let decimals = i32::from(one_more) - exponent;
    usize::try_from(decimals).unwrap_or(0).min(MOST_DECIMALS)
}

/// With so many decimals, a proper minus and commas from 10,000 on.
pub(crate) fn plain(number: f64, decimals: usize) -> String {
    if !number.is_finite() {
        return "–".into();
    }
    let digits = format!("{:.decimals$}", number.abs());
    let (whole, fraction) = digits.split_once('.').unwrap_or((&digits, ""));
    let mut text = String::new();
    if number < 0.0 && digits.bytes().any(|b| matches!(b, b'1'..=b'9')) {
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
pub(crate) fn signed(number: f64, decimals: usize) -> String {
    let text = plain(number, decimals);
    let above_zero = number > 0.0 && text.bytes().any(|b| matches!(b, b'1'..=b'9'));
    if above_zero { format!("+{text}") } else { text }
}

/// With so many figures, for a number whose uncertainty nobody knows.
pub(crate) fn figures(number: f64, figures: usize) -> String {
    // "4.29e0": the power of ten after rounding, without a logarithm.
    let written = format!("{:.*e}", figures.saturating_sub(1), number);
    let exponent = written.split_once('e').and_then(|(_, e)| e.parse::<i32>().ok()).unwrap_or(0);
    let decimals = i32::try_from(figures).unwrap_or(i32::MAX).saturating_sub(1 + exponent);
    plain(number, usize::try_from(decimals).unwrap_or(0).min(MOST_DECIMALS))
}

/// A number and its uncertainty, rounded alike.
pub(crate) fn rounded(value: Measured, with_sign: bool) -> (String, String) {
    let decimals = decimals_for(value.sd);
    let number =
        if with_sign { signed(value.value, decimals) } else { plain(value.value, decimals) };
    (number, uncertainty(value.sd))
}

/// An uncertainty by itself.
pub(crate) fn uncertainty(sd: f64) -> String {
    plain(sd, decimals_for(sd))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(value: f64, sd: f64) -> String {
        let (number, sd) = rounded(Measured::new(value, sd), false);
        format!("{number} ± {sd}")
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
            (1e-12, MOST_DECIMALS),
            (0.0, 1),
            (f64::NAN, 1),
        ] {
            assert_eq!(decimals_for(sd), decimals, "{sd}");
        }
    }

    #[test]
    fn so_many_figures() {
        for (number, written) in [
            (60.0, "60.0"),
            (4.2857, "4.29"),
            (0.06666, "0.0667"),
            (9.996, "10.0"),
            (7_261.0, "7261"),
        ] {
            assert_eq!(figures(number, 3), written);
        }
        assert_eq!(figures(0.0, 2), "0.0");
        assert_eq!(figures(f64::NAN, 2), "–");
    }

    #[test]
    fn as_people_write_them() {
        assert_eq!(plain(28_800.0, 0), "28,800");
        assert_eq!(plain(3_600.0, 0), "3600");
        assert_eq!(plain(-8.14, 1), "−8.1");
        assert_eq!(plain(-0.04, 1), "0.0");
        assert_eq!(plain(f64::NAN, 1), "–");
        assert_eq!(signed(4.2, 1), "+4.2");
        assert_eq!(signed(0.04, 1), "0.0");
        assert_eq!(signed(-4.2, 0), "−4");
    }
}
