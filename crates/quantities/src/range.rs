use std::fmt;

/// A number outside the range that its quantity allows; the message names the range.
#[derive(Debug, Clone, PartialEq)]
pub struct OutOfRange {
    /// Plain name of the quantity, e.g. `lift angle`.
    pub quantity: &'static str,
    /// Unit as shown to people, e.g. `degrees`.
    pub unit: &'static str,
    /// What was given.
    pub given: f64,
    /// Smallest value allowed.
    pub least: f64,
    /// Largest value allowed.
    pub most: f64,
}

impl fmt::Display for OutOfRange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { quantity, unit, given, least, most } = self;
        write!(f, "{quantity} must lie between {least} and {most} {unit}, not ")?;
        // Written out, some numbers have three hundred digits.
        let plain = *given == 0.0 || (1e-9..1e15).contains(&given.abs()) || !given.is_finite();
        if plain { write!(f, "{given}") } else { write!(f, "{given:e}") }
    }
}

impl std::error::Error for OutOfRange {}

/// Lets `value` through only where it is a number within `least..=most`.
pub(crate) fn within(
    quantity: &'static str,
    unit: &'static str,
    value: f64,
    least: f64,
    most: f64,
) -> Result<f64, OutOfRange> {
    if value >= least && value <= most {
        Ok(value)
    } else {
        Err(OutOfRange { quantity, unit, given: value, least, most })
    }
}

#[cfg(test)]
mod tests {
    use super::within;

    #[test]
    fn numbers_of_many_digits_are_short_in_messages() {
        let told = |given| within("rate", "s/d", given, -1.0, 1.0).unwrap_err().to_string();
        assert_eq!(told(1e308), "rate must lie between -1 and 1 s/d, not 1e308");
        assert_eq!(told(-2.5), "rate must lie between -1 and 1 s/d, not -2.5");
        assert_eq!(told(f64::NAN), "rate must lie between -1 and 1 s/d, not NaN");
    }
}
