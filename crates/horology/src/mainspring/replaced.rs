use super::Fitted;
use quantities::Measured;

/// What another spring changes, each as new over old.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Replaced {
    /// Torque for each turn of winding: `h e^3 / L` of the new over the old. `None` where a height
    /// was not measured.
    pub torque: Option<Measured>,
    /// Turns, and with them running time.
    pub turns: Measured,
}

/// What the new spring does against the old one, both in the same kind of steel.
#[must_use]
pub fn replaced(old: &Fitted, new: &Fitted) -> Replaced {
    // The modulus cancels.
    let stiffness = |fitted: &Fitted| Some(fitted.torque(1.0)?.per_turn_n_mm);
    let torque = stiffness(old).zip(stiffness(new)).map(|(old, new)| quotient(new, old));
    Replaced { torque, turns: quotient(new.turns(), old.turns()) }
}

/// Of two independent values, the uncertainty to first order.
fn quotient(above: Measured, below: Measured) -> Measured {
    let value = above.value / below.value;
    Measured::new(value, value * above.sd / above.value)
        .with_added_sd(value * below.sd / below.value)
}
