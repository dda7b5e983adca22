use crate::range::{OutOfRange, within};

/// Lift angle in degrees: how far the balance turns between unlocking and drop.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct LiftAngle(f64);

impl LiftAngle {
    /// Taken where the user names none: 50 to 52 degrees are common in wrist watches (from
    /// memory, no published list).
    pub const USUAL: Self = Self(52.0);

    /// From degrees.
    ///
    /// # Errors
    /// Outside 10 to 120 degrees, or not a number.
    pub fn from_deg(deg: f64) -> Result<Self, OutOfRange> {
        within("lift angle", "degrees", deg, 10.0, 120.0).map(Self)
    }

    /// Degrees.
    #[must_use]
    pub fn deg(self) -> f64 {
        self.0
    }
}
