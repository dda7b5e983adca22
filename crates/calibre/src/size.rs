//! A size that was measured, and how its uncertainty is written.

use quantities::Measured;
use serde::de::{self, Deserialize, Deserializer, Visitor};
use std::fmt;

/// What to write.
const WANTED: &str =
    "a number above zero, or one with its standard uncertainty like \"0.10 ± 0.003\"";

/// A measured size above zero, with its standard uncertainty; that is zero where none is written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Size(pub(crate) Measured);

/// `0.10` or `0.10 ± 0.003`, where `+-` and `+/-` stand for the sign that few keyboards have; nothing
/// where it is no number above zero, or its uncertainty is none.
#[must_use]
pub fn size_in_words(text: &str) -> Option<Measured> {
    let text = text.trim();
    let parted = ["±", "+/-", "+-"].iter().find_map(|sign| text.split_once(sign));
    let (value, sd) = match parted {
        Some((value, sd)) => (number(value)?, number(sd)?),
        None => (number(text)?, 0.0),
    };
    (value > 0.0 && sd >= 0.0).then(|| Measured::new(value, sd))
}

fn number(text: &str) -> Option<f64> {
    let text = text.trim();
    // What Rust reads beyond this, `inf` and `nan`, nobody has measured.
    let plain = text.bytes().all(|b| b.is_ascii_digit() || b".eE+-".contains(&b));
    text.parse().ok().filter(|number: &f64| plain && number.is_finite())
}

impl<'de> Deserialize<'de> for Size {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Reading;

        impl Visitor<'_> for Reading {
            type Value = Size;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(WANTED)
            }

            fn visit_i64<E: de::Error>(self, number: i64) -> Result<Size, E> {
                self.visit_f64(number as f64)
            }

            fn visit_f64<E: de::Error>(self, number: f64) -> Result<Size, E> {
                if number > 0.0 && number.is_finite() {
                    Ok(Size(Measured::new(number, 0.0)))
                } else {
                    Err(E::custom(format_args!("write {WANTED}, not {number}")))
                }
            }

            fn visit_str<E: de::Error>(self, text: &str) -> Result<Size, E> {
                size_in_words(text)
                    .map(Size)
                    .ok_or_else(|| E::custom(format_args!("write {WANTED}")))
            }
        }

        deserializer.deserialize_any(Reading)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_as_people_write_them() {
        for (text, value, sd) in [
            ("0.1", 0.1, 0.0),
            (" 380 ", 380.0, 0.0),
            ("0.10 ± 0.003", 0.1, 0.003),
            ("0.10±0.003", 0.1, 0.003),
            ("10.4 +- 0.02", 10.4, 0.02),
            ("10.4 +/- 0", 10.4, 0.0),
            ("5e-7 ± 1e-9", 5e-7, 1e-9),
        ] {
            assert_eq!(size_in_words(text), Some(Measured::new(value, sd)), "{text}");
        }
        for wrong in
            ["", "±", "0", "-1", "0.1 ±", "± 0.1", "0.1 ± -1", "0,1", "nan", "inf", "1 ± inf"]
        {
            assert_eq!(size_in_words(wrong), None, "{wrong}");
        }
    }
}
