use crate::stance::Upright;

/// Why nothing can be said of the poise from what was given.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PoiseError {
    /// No reading at all.
    #[error("there is no upright reading; read the rate in four positions a quarter turn apart")]
    NoReadings,
    /// The positions do not surround the dial.
    #[error(
        "{upright} different upright positions in one state of wind leave the direction open; it \
         takes three at least, and four a quarter turn apart tell how well they agree"
    )]
    TooFewPositions {
        /// Most different positions that any set has.
        upright: usize,
    },
    /// A reading that is no number.
    #[error("the {what} in {position} must be a number, not {given}")]
    NotANumber {
        /// Plain name of the quantity.
        what: &'static str,
        /// Where.
        position: Upright,
        /// What was given.
        given: f64,
    },
    /// An amplitude at which no lever watch runs, or that no balance reaches.
    #[error("the amplitude in {position} must lie between 60 and 400 degrees, not {given}")]
    Amplitude {
        /// Where.
        position: Upright,
        /// Degrees.
        given: f64,
    },
    /// A setting that cannot be.
    #[error("the {what} must be a number and not below zero, not {given}")]
    Setting {
        /// Plain name.
        what: &'static str,
        /// What was given.
        given: f64,
    },
    /// A quantity that must be positive is not.
    #[error("{what} must be above zero, not {given}")]
    NotPositive {
        /// Plain name.
        what: &'static str,
        /// What was given.
        given: f64,
    },
}
