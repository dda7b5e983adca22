use quantities::{BeatFrequency, LiftAngle, RecorderClock};

/// What the user knows, or wants, of a reading. Everything can be left at its default.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// Lift angles: none (the usual one), one for every balance, or one per balance in the
    /// order of their letters.
    pub lift_angles: Vec<LiftAngle>,
    /// Nominal beat, where known: one for every balance, or one per balance. Empty: heard.
    pub beats_per_hour: Vec<BeatFrequency>,
    /// How many balances there are, where known.
    pub balances: Option<usize>,
    /// The recorder's clock.
    pub clock: RecorderClock,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            lift_angles: Vec::new(),
            beats_per_hour: Vec::new(),
            balances: None,
            clock: RecorderClock::unknown(),
        }
    }
}

impl Settings {
    /// Lift angle of the balance with this index (0 for A).
    #[must_use]
    pub fn lift_angle_of(&self, balance: usize) -> LiftAngle {
        self.lift_angles
            .get(balance)
            .or(self.lift_angles.last())
            .copied()
            .unwrap_or(LiftAngle::USUAL)
    }
}
