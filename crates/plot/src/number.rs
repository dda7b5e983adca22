//! Values as they are set in a picture: number, uncertainty, unit.

use crate::values::Value;
use quantities::digits;

const MOST_DECIMALS: usize = 4;
// From here on a number is written as a power of ten.
const LARGEST_PLAIN: f64 = 1e8;

/// The number with so many decimals, a proper minus, and commas from 10,000 on.
pub(crate) fn fixed(number: f64, decimals: usize) -> String {
    if number.is_finite() && number.abs() >= LARGEST_PLAIN {
        return power_of_ten(number);
    }
    digits::plain(number, decimals.min(MOST_DECIMALS + 5))
}

/// Like [`fixed`], with a plus before numbers above zero.
pub(crate) fn signed(number: f64, decimals: usize) -> String {
    digits::with_plus(number, fixed(number, decimals))
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
    let decimals = sd
        .filter(|sd| *sd > 0.0)
        .map_or(plain_decimals, |sd| digits::decimals_for(sd, MOST_DECIMALS));
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
    fn large_numbers_are_powers_of_ten() {
        assert_eq!(fixed(-2.5e9, 0), "−2.5×10⁹");
        assert_eq!(signed(2.5e9, 0), "+2.5×10⁹");
        assert_eq!(fixed(99_999_999.0, 0), "99,999,999");
        assert_eq!(fixed(f64::INFINITY, 0), "–");
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
}
