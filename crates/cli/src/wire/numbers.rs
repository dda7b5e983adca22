//! Numbers as they stand in JSON.

use quantities::Measured;
use serde::{Serialize, Serializer};

/// A number that is whole is written without a fraction: 28800, not 28800.0.
pub(crate) fn whole_where_it_is<S: Serializer>(
    number: &Option<f64>,
    serializer: S,
) -> Result<S::Ok, S::Error> {
    // Whole numbers are exact in an f64 up to here.
    const LARGEST: f64 = 9_007_199_254_740_992.0;
    match number {
        Some(number) if number.fract() == 0.0 && number.abs() < LARGEST => {
            serializer.serialize_i64(*number as i64)
        }
        Some(number) if number.is_finite() => serializer.serialize_f64(*number),
        _ => serializer.serialize_none(),
    }
}

/// A value and its standard uncertainty, both in the unit that the field's name says.
#[derive(Debug, Clone, Copy, Serialize)]
pub(super) struct WithSd {
    value: f64,
    sd: f64,
}

impl From<Measured> for WithSd {
    fn from(measured: Measured) -> Self {
        Self { value: measured.value, sd: measured.sd }
    }
}
