use std::fmt;

/// Which turns of a spring are used where stop-work holds it from being let down and wound wholly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StopWork {
    /// The turn, counted from run down, at which the stop ends the running.
    pub from_turn: f64,
    /// The turn at which it ends the winding.
    pub to_turn: f64,
    /// Turns that are never wound.
    pub unused_above: f64,
}

/// Stop-work asks for more turns than there are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StopWorkTooLong {
    /// Turns of the spring.
    pub turns: f64,
    /// Turns that the stop-work would need, set-up included.
    pub needed: f64,
}

impl fmt::Display for StopWorkTooLong {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { turns, needed } = self;
        write!(
            f,
            "The stop-work would need {needed:.1} turns, its set-up included, and the spring has \
             {turns:.1}: set it up less, or take a thinner spring."
        )
    }
}

impl std::error::Error for StopWorkTooLong {}

/// The turns of a spring that stop-work uses: `allowed` of its `turns`, after `set_up` turns that
/// stay in the spring when the stop ends the running.
///
/// # Errors
/// Where these are more turns than the spring has, or a number is negative or none.
pub fn stop_work(turns: f64, allowed: f64, set_up: f64) -> Result<StopWork, StopWorkTooLong> {
    let needed = set_up + allowed;
    if set_up >= 0.0 && allowed > 0.0 && needed <= turns {
        Ok(StopWork { from_turn: set_up, to_turn: needed, unused_above: turns - needed })
    } else {
        Err(StopWorkTooLong { turns, needed })
    }
}
