/// Why there is no answer about a move.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RegulatorError {
    /// A number that is none.
    #[error("the {what} must be a number, not {given}")]
    NotANumber {
        /// Plain name.
        what: &'static str,
        /// What was given.
        given: f64,
    },
    /// A number that must be positive.
    #[error("the {what} must be above zero, not {given}")]
    NotPositive {
        /// Plain name.
        what: &'static str,
        /// What was given.
        given: f64,
    },
    /// A move of nothing.
    #[error("a move of nothing says nothing of the regulator; leave it out")]
    NoMove,
    /// A beat error that cannot be.
    #[error(transparent)]
    BeatError(#[from] quantities::OutOfRange),
}

pub(super) fn finite(what: &'static str, given: f64) -> Result<f64, RegulatorError> {
    if given.is_finite() { Ok(given) } else { Err(RegulatorError::NotANumber { what, given }) }
}

pub(super) fn positive(what: &'static str, given: f64) -> Result<f64, RegulatorError> {
    if given > 0.0 && given.is_finite() {
        Ok(given)
    } else {
        Err(RegulatorError::NotPositive { what, given })
    }
}
