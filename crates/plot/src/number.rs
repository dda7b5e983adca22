//! Numbers as people read them: a proper minus, commas between thousands, and no more figures
//! than the uncertainty allows.

use crate::values::Value;

const MOST_DECIMALS: usize = 4;
// From here on a number is written as a power of ten.
const LARGEST_PLAIN: f64 = 1e8;

/// The number with so many decimals, a proper minus, and commas from 10,000 on.
pub(crate) fn fixed(number: f64, decimals: usize) -> String {
    if !number.is_finite() {
        return "–".into();
    }
    if number.abs() >= LARGEST_PLAIN {
        return power_of_ten(number);
    }
    let digits = format!("{:.*}", decimals.min(MOST_DECIMALS + 5), number.abs());
    let (whole, fraction) = match digits.split_once('.') {
        Some((whole, fraction)) => (whole, Some(fraction)),
        None => (digits.as_str(), None),
    };
    let mut text = String::new();
    if number < 0.0 && digits.bytes().any(|b| matches!(b, b'1'..=b'9')) {
        text.push('−');
    }
    for (at, digit) in whole.chars().enumerate() {
        let left = whole.len() - at;
        if at > 0 && left.is_multiple_of(3) && whole.len() > 4 {
            text.push(',');
        }
        text.push(digit);
    }
    if let Some(fraction) = fraction {
        text.push('.');
        text.push_str(fraction);
    }
    text
}

/// Like [`fixed`], with a plus before numbers above zero.
pub(crate) fn signed(number: f64, decimals: usize) -> String {
    let text = fixed(number, decimals);
    let is_zero = !text.bytes().any(|b| matches!(b, b'1'..=b'9'));
    if number > 0.0 && !is_zero { format!("+{text}") } else { text }
}

fn power_of_ten(number: f64) -> String {
    let text = format!("{:.1e}", number.abs());
    let (mantissa, exponent) = text.split_once('e').unwrap_or((&text, "0"));
    let raised: String = exponent
        .chars()
        .map(|c| match c {
            '0' => '⁰',
            '1' => '¹',
            '2' => '²',
            '3' => '³',
            '4' => '⁴',
            '5' => '⁵',
            '6' => '⁶',
            '7' => '⁷',
            '8' => '⁸',
            '9' => '⁹',
            other => other,
        })
        .collect();
    format!("{}{mantissa}×10{raised}", if number < 0.0 { "−" } else { "" })
}

/// Decimals that an uncertainty allows, from 0 to 4, by the rule of the Particle Data Group
/// (Review of Particle Physics, Introduction, "Rounding"): two figures of it where its first three
/// are 100 to 354, one where they are 355 to 949, and 950 to 999 count as 1000. That is within the
/// "at most two significant digits" of JCGM 100:2008, 7.2.6.
pub(crate) fn decimals_for(sd: f64) -> usize {
    if sd.is_nan() || sd <= 0.0 {
        return 1;
    }
    let exponent = sd.log10().floor().clamp(-300.0, 300.0);
    let first_three = (sd / 10f64.powf(exponent - 2.0)).round();
    let decimals = if first_three <= 354.0 { 1.0 - exponent } else { -exponent };
    decimals.clamp(0.0, MOST_DECIMALS as f64) as usize
}

/// A value cut up for setting: the number, and its uncertainty as "± 0.1" where there is one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Written {
    pub(crate) number: String,
    pub(crate) uncertainty: Option<String>,
}

/// Writes a value with the figures that its uncertainty allows; `plain_decimals` where there is
/// no uncertainty.
pub(crate) fn written(value: Value, with_sign: bool, plain_decimals: usize) -> Written {
    let sd = value.shown_sd();
    let decimals = sd.filter(|sd| *sd > 0.0).map_or(plain_decimals, decimals_for);
    let number =
        if with_sign { signed(value.value, decimals) } else { fixed(value.value, decimals) };
    Written { number, uncertainty: sd.map(|sd| format!("± {}", fixed(sd, decimals))) }
}

/// A value in one line: "+4.2 ± 0.1 s/d", "281 ± 1°".
pub(crate) fn in_line(value: Value, unit: &str, with_sign: bool) -> String {
    let written = written(value, with_sign, 1);
    let unit = spaced_unit(unit);
    match written.uncertainty {
        Some(uncertainty) => format!("{} {uncertainty}{unit}", written.number),
        None => format!("{}{unit}", written.number),
    }
}

/// The unit with the space that belongs before it: none before degrees (ISO 80000-1, 7.1.4), one
/// before all others.
pub(crate) fn spaced_unit(unit: &str) -> String {
    match unit {
        "" | "°" => unit.to_owned(),
        _ => format!("\u{a0}{unit}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_as_people_write_them() {
        assert_eq!(fixed(28800.0, 0), "28,800");
        assert_eq!(fixed(3600.0, 0), "3600");
        assert_eq!(fixed(-8.14, 1), "−8.1");
        assert_eq!(fixed(-0.04, 1), "0.0");
        assert_eq!(fixed(1234567.25, 2), "1,234,567.25");
        assert_eq!(fixed(f64::NAN, 2), "–");
        assert_eq!(fixed(-2.5e9, 0), "−2.5×10⁹");
        assert_eq!(signed(4.2, 1), "+4.2");
        assert_eq!(signed(0.04, 1), "0.0");
        assert_eq!(signed(-4.2, 0), "−4");
    }

    #[test]
    fn figures_follow_the_uncertainty() {
        // The two examples of the Particle Data Group's rule, and that of JCGM 100:2008, 7.2.6.
        assert_eq!(in_line(Value::new(0.827, 0.119), "", false), "0.83 ± 0.12");
        assert_eq!(in_line(Value::new(0.827, 0.367), "", false), "0.8 ± 0.4");
        assert_eq!(in_line(Value::new(10.05762, 0.027), "Ω", false), "10.058 ± 0.027\u{a0}Ω");
    }

    #[test]
    fn units_signs_and_missing_uncertainties() {
        assert_eq!(in_line(Value::new(4.234, 0.4), "s/d", true), "+4.2 ± 0.4\u{a0}s/d");
        assert_eq!(in_line(Value::new(280.6, 4.0), "°", false), "281 ± 4°");
        assert_eq!(in_line(Value::new(4.2, 0.0), "s/d", true), "+4.2 ± 0.0\u{a0}s/d");
        assert_eq!(in_line(Value::bare(4.25), "s/d", true), "+4.2\u{a0}s/d");
        assert_eq!(in_line(Value::new(4.2, f64::NAN), "s/d", true), "+4.2\u{a0}s/d");
        assert_eq!(in_line(Value::new(4.2, 1e-9), "s/d", true), "+4.2000 ± 0.0000\u{a0}s/d");
    }

    #[test]
    fn decimals_do_not_run_away() {
        for (sd, decimals) in
            [(0.04, 2), (0.097, 2), (0.1, 2), (0.2, 2), (0.36, 1), (3.0, 1), (9.6, 0), (1e9, 0)]
        {
            assert_eq!(decimals_for(sd), decimals, "{sd}");
        }
        assert_eq!(decimals_for(f64::NAN), 1);
        assert_eq!(decimals_for(1e-300), MOST_DECIMALS);
    }
}
