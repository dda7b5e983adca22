//! Amounts of money, in whole minor units so that nothing is lost by rounding.

use crate::invalid::{Invalid, Problem};
use crate::text::limit;
use std::fmt;

/// A currency by its three letters of ISO 4217.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Currency([u8; 3]);

impl Currency {
    /// From three capital letters.
    ///
    /// # Errors
    ///
    /// Where the text is not three capital letters. Which letters are in use changes with the
    /// world; any three are taken.
    pub fn from_letters(letters: &str) -> Result<Self, Invalid> {
        match letters.as_bytes() {
            &[a, b, c] if [a, b, c].iter().all(u8::is_ascii_uppercase) => Ok(Self([a, b, c])),
            _ => Err(Invalid::new(
                "currency",
                Problem::Contradiction(
                    "a currency is written with three capital letters, such as EUR; please enter \
                     those.",
                ),
            )),
        }
    }

    /// The three letters.
    #[must_use]
    pub fn letters(&self) -> &str {
        // Always ASCII: checked where it was made.
        std::str::from_utf8(&self.0).unwrap_or("XXX")
    }

    /// How many decimal digits its minor unit has, by ISO 4217:2015, list one ("Minor unit").
    #[must_use]
    pub fn minor_digits(&self) -> usize {
        OTHER_MINOR_DIGITS
            .iter()
            .find(|(letters, _)| *letters == self.letters())
            .map_or(Self::USUAL_MINOR_DIGITS, |(_, digits)| *digits)
    }

    /// Decimal digits of most currencies' minor units.
    pub const USUAL_MINOR_DIGITS: usize = 2;

    /// Letters and digits of each currency whose minor unit is another one.
    pub fn with_other_minor_digits() -> impl Iterator<Item = (&'static str, usize)> {
        OTHER_MINOR_DIGITS.into_iter()
    }
}

/// Of ISO 4217:2015, list one, those whose minor unit has not two digits.
#[rustfmt::skip]
const OTHER_MINOR_DIGITS: [(&str, usize); 24] = [
    ("BHD", 3), ("BIF", 0), ("CLP", 0), ("DJF", 0), ("GNF", 0), ("IQD", 3), ("ISK", 0), ("JOD", 3),
    ("JPY", 0), ("KMF", 0), ("KRW", 0), ("KWD", 3), ("LYD", 3), ("OMR", 3), ("PYG", 0), ("RWF", 0),
    ("TND", 3), ("UGX", 0), ("UYI", 0), ("VND", 0), ("VUV", 0), ("XAF", 0), ("XOF", 0), ("XPF", 0),
];

impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.letters())
    }
}

/// An amount of money.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Money {
    /// In whole minor units of the currency (cents, where it has cents).
    pub minor_units: i64,
    /// Which currency.
    pub currency: Currency,
}

impl Money {
    pub(crate) fn check(self, field: &str) -> Result<(), Invalid> {
        if self.minor_units.unsigned_abs() <= limit::MINOR_UNITS.unsigned_abs() {
            return Ok(());
        }
        let at = |minor_units| Self { minor_units, ..self }.to_string();
        let (from, to) = (at(-limit::MINOR_UNITS), at(limit::MINOR_UNITS));
        Err(Invalid::new(field, Problem::OutOfRange { is: self.to_string(), from, to }))
    }
}

impl fmt::Display for Money {
    /// As "12.50 EUR": a point, no grouping.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let digits = self.currency.minor_digits();
        let sign = if self.minor_units < 0 { "-" } else { "" };
        let all = format!("{:0width$}", self.minor_units.unsigned_abs(), width = digits + 1);
        let (whole, part) = all.split_at(all.len() - digits);
        let point = if digits == 0 { "" } else { "." };
        write!(f, "{sign}{whole}{point}{part} {}", self.currency)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(minor_units: i64, letters: &str) -> String {
        Money { minor_units, currency: Currency::from_letters(letters).unwrap() }.to_string()
    }

    /// Numbers of digits from ISO 4217: euro 2, yen 0, Kuwaiti dinar 3.
    #[test]
    fn each_currency_has_its_digits() {
        assert_eq!(shown(1250, "EUR"), "12.50 EUR");
        assert_eq!(shown(-5, "EUR"), "-0.05 EUR");
        assert_eq!(shown(1250, "JPY"), "1250 JPY");
        assert_eq!(shown(1250, "KWD"), "1.250 KWD");
        assert_eq!(shown(i64::MIN, "EUR"), "-92233720368547758.08 EUR");
    }

    #[test]
    fn letters_must_be_three_capitals() {
        for bad in ["", "eur", "EU", "EURO", "€UR", "E R"] {
            assert!(Currency::from_letters(bad).is_err(), "{bad}");
        }
    }
}
