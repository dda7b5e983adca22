/// Why angles make no escapement.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum EscapementError {
    /// A quantity that must be positive is not, or is no number.
    #[error("the {what} must be above zero, not {given}")]
    NotPositive {
        /// Plain name.
        what: &'static str,
        /// What was given.
        given: f64,
    },
    /// A quantity that must not be negative.
    #[error("the {what} must not be below zero, not {given}")]
    Negative {
        /// Plain name.
        what: &'static str,
        /// What was given.
        given: f64,
    },
    /// Tooth and pallet together fill the pitch: the wheel cannot turn.
    #[error(
        "tooth and pallet take {taken_deg:.3} degrees of the {half_pitch_deg:.3} between two beats \
         of this wheel and leave no drop; the teeth would jam"
    )]
    NoDrop {
        /// Tooth and pallet, degrees.
        taken_deg: f64,
        /// Half of the tooth pitch, degrees.
        half_pitch_deg: f64,
    },
    /// A pair of pallets cannot span so many teeth.
    #[error("pallets cannot span {spanned} teeth of a wheel of {teeth}")]
    Span {
        /// Teeth spanned.
        spanned: u32,
        /// Teeth of the wheel.
        teeth: u32,
    },
    /// The balance is in the fork for all of its swing.
    #[error(
        "the balance is in the fork for {lift_deg:.1} degrees, and swings {arc_deg:.1} in all; \
         nothing of the swing is free"
    )]
    NoFreeArc {
        /// Degrees in the fork.
        lift_deg: f64,
        /// Whole arc, degrees.
        arc_deg: f64,
    },
    /// A reading that stands for no lift angle.
    #[error("the reading gives no lift angle: {0}")]
    Reading(#[from] quantities::OutOfRange),
}

pub(super) fn positive(what: &'static str, given: f64) -> Result<f64, EscapementError> {
    if given > 0.0 && given.is_finite() {
        Ok(given)
    } else {
        Err(EscapementError::NotPositive { what, given })
    }
}

pub(super) fn not_negative(what: &'static str, given: f64) -> Result<f64, EscapementError> {
    if given >= 0.0 && given.is_finite() {
        Ok(given)
    } else {
        Err(EscapementError::Negative { what, given })
    }
}
