/// Why hands apart cannot be computed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum HandsApartError {
    /// A number that is none.
    #[error("the {what} must be a number, not {given}")]
    NotANumber {
        /// Plain name.
        what: &'static str,
        /// What was given.
        given: f64,
    },
    /// A number that must not be negative is, or is not finite.
    #[error("the {what} must not be below zero, not {given}")]
    Negative {
        /// Plain name.
        what: &'static str,
        /// What was given.
        given: f64,
    },
}

pub(super) fn finite(what: &'static str, given: f64) -> Result<f64, HandsApartError> {
    if given.is_finite() { Ok(given) } else { Err(HandsApartError::NotANumber { what, given }) }
}

pub(super) fn not_negative(what: &'static str, given: f64) -> Result<f64, HandsApartError> {
    if given >= 0.0 && given.is_finite() {
        Ok(given)
    } else {
        Err(HandsApartError::Negative { what, given })
    }
}
