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
        write!(
            f,
            "{} must lie between {} and {} {}, not {}",
            self.quantity, self.least, self.most, self.unit, self.given
        )
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
