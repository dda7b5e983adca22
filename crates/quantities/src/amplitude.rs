/// Amplitude of a balance in degrees, from rest to a turning point.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Amplitude(f64);

impl Amplitude {
    /// From degrees.
    #[must_use]
    pub fn from_deg(deg: f64) -> Self {
        Self(deg)
    }

    /// Degrees from rest to a turning point.
    #[must_use]
    pub fn deg(self) -> f64 {
        self.0
    }
}
