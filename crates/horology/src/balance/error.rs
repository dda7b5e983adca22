use super::knowns::Piece;

/// Why the arithmetic of a balance has no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum BalanceError {
    /// A quantity that must be positive is not, or is not a number.
    #[error("{what} must be above zero, not {given}")]
    NotPositive {
        /// Plain name of the quantity.
        what: &'static str,
        /// What was given.
        given: f64,
    },
    /// A number that must be finite is not.
    #[error("{what} must be a number, not {given}")]
    NotANumber {
        /// Plain name of the quantity.
        what: &'static str,
        /// What was given.
        given: f64,
    },
    /// What is known does not lead to what is wanted.
    #[error("{wanted} cannot be found from what is given; add {would_do}")]
    NotEnough {
        /// What is wanted.
        wanted: Piece,
        /// What would do, in words.
        would_do: String,
    },
    /// What is given contradicts itself.
    #[error(
        "what is given contradicts itself: {law} would make {piece} {factor:.4} times what is \
         given, far outside the uncertainties; leave out or measure again one of them"
    )]
    Contradiction {
        /// The law that does not hold, in words.
        law: &'static str,
        /// The piece that stands on the left of the law.
        piece: Piece,
        /// By the law over what is given.
        factor: f64,
    },
    /// More would be taken off than is there.
    #[error(
        "a change of {change_kg_m2:.3e} kg m2 would leave nothing of an inertia of \
         {inertia_kg_m2:.3e} kg m2"
    )]
    NothingLeft {
        /// The change, kg m².
        change_kg_m2: f64,
        /// What the balance has, kg m².
        inertia_kg_m2: f64,
    },
    /// A rate so low that the watch would stand still or run backwards.
    #[error("no balance can lose {loss_s_per_d} seconds in a day of 86,400")]
    StandsStill {
        /// The loss, s/d.
        loss_s_per_d: f64,
    },
    /// A share of the spring that is not between none and all of it.
    #[error("{given} of the spring's length cannot be taken; it must be below 1")]
    WholeSpring {
        /// Share of the active length, 1 being all of it.
        given: f64,
    },
    /// The spring at hand is too weak or too short for the beat.
    #[error(
        "the beat wants an active length of {wanted_mm:.2} mm, but only {have_mm:.2} mm of this \
         spring are there; a stiffer spring is longer for the same beat"
    )]
    SpringTooShort {
        /// What the beat wants, mm.
        wanted_mm: f64,
        /// What is there, mm.
        have_mm: f64,
    },
    /// Two temperatures that are one.
    #[error("the two temperatures are both {deg_c} °C; a coefficient wants two that differ")]
    OneTemperature {
        /// The temperature, °C.
        deg_c: f64,
    },
}

/// Lets a positive finite number through.
pub(super) fn positive(what: &'static str, given: f64) -> Result<f64, BalanceError> {
    if given > 0.0 && given.is_finite() {
        Ok(given)
    } else {
        Err(BalanceError::NotPositive { what, given })
    }
}

/// Lets a finite number through.
pub(super) fn finite(what: &'static str, given: f64) -> Result<f64, BalanceError> {
    if given.is_finite() { Ok(given) } else { Err(BalanceError::NotANumber { what, given }) }
}
