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

/// A measured number that may be nought or below, with its standard uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Number(pub(crate) Measured);

/// A daily rate at a temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RateAt {
    /// Temperature, °C.
    pub deg_c: f64,
    /// Rate there, s/d.
    pub s_per_d: Measured,
}

/// `0.10` or `0.10 ± 0.003`, where `+-` and `+/-` stand for the sign that few keyboards have; nothing
/// where it is no number above zero, or its uncertainty is none.
#[must_use]
pub fn size_in_words(text: &str) -> Option<Measured> {
    number_in_words(text).filter(|measured| measured.value > 0.0)
}

/// The same of a number that may be nought or below.
fn number_in_words(text: &str) -> Option<Measured> {
    let text = text.trim();
    let parted = ["±", "+/-", "+-"].iter().find_map(|sign| text.split_once(sign));
    let (value, sd) = match parted {
        Some((value, sd)) => (number(value)?, number(sd)?),
        None => (number(text)?, 0.0),
    };
    (sd >= 0.0).then(|| Measured::new(value, sd))
}

/// `8 = +4.0 ± 0.2`: °C and s/d.
fn rate_at_in_words(text: &str) -> Option<RateAt> {
    let (deg_c, rate) = text.split_once('=')?;
    let deg_c = deg_c.trim().trim_end_matches("°C");
    Some(RateAt { deg_c: number(deg_c)?, s_per_d: number_in_words(rate)? })
}

fn number(text: &str) -> Option<f64> {
    let text = text.trim();
    // What Rust reads beyond this, `inf` and `nan`, nobody has measured.
    let plain = text.bytes().all(|b| b.is_ascii_digit() || b".eE+-".contains(&b));
    text.parse().ok().filter(|number: &f64| plain && number.is_finite())
}

/// Reads a number, or a text that holds one with its uncertainty.
struct Reading {
    wanted: &'static str,
    fits: fn(f64) -> bool,
    text: fn(&str) -> Option<Measured>,
}

impl Visitor<'_> for Reading {
    type Value = Measured;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.wanted)
    }

    fn visit_i64<E: de::Error>(self, number: i64) -> Result<Measured, E> {
        self.visit_f64(number as f64)
    }

    fn visit_f64<E: de::Error>(self, number: f64) -> Result<Measured, E> {
        if number.is_finite() && (self.fits)(number) {
            Ok(Measured::new(number, 0.0))
        } else {
            Err(E::custom(format_args!("write {}, not {number}", self.wanted)))
        }
    }

    fn visit_str<E: de::Error>(self, text: &str) -> Result<Measured, E> {
        (self.text)(text).ok_or_else(|| E::custom(format_args!("write {}", self.wanted)))
    }
}

impl<'de> Deserialize<'de> for Size {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let reading = Reading { wanted: WANTED, fits: |number| number > 0.0, text: size_in_words };
        deserializer.deserialize_any(reading).map(Self)
    }
}

impl<'de> Deserialize<'de> for Number {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let wanted = "a number, or one with its standard uncertainty like \"-240 ± 10\"";
        let reading = Reading { wanted, fits: |_| true, text: number_in_words };
        deserializer.deserialize_any(reading).map(Self)
    }
}

impl<'de> Deserialize<'de> for RateAt {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        let wanted = "write temperature and rate like \"8 = +4.0 ± 0.2\", °C and s/d";
        rate_at_in_words(&text).ok_or_else(|| de::Error::custom(wanted))
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

    #[test]
    fn rates_at_temperatures() {
        for (text, deg_c, rate, sd) in [
            ("8 = +4.0 ± 0.2", 8.0, 4.0, 0.2),
            ("-5=-3.5", -5.0, -3.5, 0.0),
            ("38 °C = 0 +- 0.1", 38.0, 0.0, 0.1),
        ] {
            let s_per_d = Measured::new(rate, sd);
            assert_eq!(rate_at_in_words(text), Some(RateAt { deg_c, s_per_d }), "{text}");
        }
        for wrong in ["", "8", "8 =", "= 4", "8 = 4 ± -1", "8 = 4 = 5", "warm = 4"] {
            assert_eq!(rate_at_in_words(wrong), None, "{wrong}");
        }
    }
}
