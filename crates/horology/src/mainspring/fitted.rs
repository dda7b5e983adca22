use super::{Barrel, Spring};
use quantities::Measured;
use std::f64::consts::PI;

/// A spring in its barrel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fitted {
    pub(super) barrel: Barrel,
    pub(super) spring: Spring,
    /// Inner radius of the coils that lie against the wall, run down.
    down_radius_mm: f64,
    /// Outer radius of the coils around the arbor, wound up.
    up_radius_mm: f64,
}

/// Turns, and turns for each mm of thickness, length, radius of the barrel and of the arbor.
pub(super) struct Slopes {
    pub(super) turns: f64,
    pub(super) by_thickness: f64,
    pub(super) by_length: f64,
    pub(super) by_outer: f64,
    pub(super) by_inner: f64,
}

impl Fitted {
    /// The strip covers as much area run down, against the wall, as wound up, around the arbor.
    pub(super) fn of(barrel: Barrel, spring: Spring) -> Self {
        let strip = spring.length_mm.value * spring.thickness_mm.value / PI;
        let (outer, inner) = (barrel.radius_mm().value, barrel.arbor_radius_mm().value);
        Self {
            barrel,
            spring,
            down_radius_mm: (outer * outer - strip).sqrt(),
            up_radius_mm: (inner * inner + strip).sqrt(),
        }
    }

    /// Coils against the wall, run down.
    #[must_use]
    pub fn coils_down(&self) -> f64 {
        (self.barrel.radius_mm().value - self.down_radius_mm) / self.spring.thickness_mm.value
    }

    /// Coils around the arbor, wound up.
    #[must_use]
    pub fn coils_up(&self) -> f64 {
        (self.up_radius_mm - self.barrel.arbor_radius_mm().value) / self.spring.thickness_mm.value
    }

    /// How far the coils reach from the wall inwards, run down.
    #[must_use]
    pub fn pack_down_mm(&self) -> f64 {
        self.barrel.radius_mm().value - self.down_radius_mm
    }

    /// How far the coils reach from the arbor outwards, wound up.
    #[must_use]
    pub fn pack_up_mm(&self) -> f64 {
        self.up_radius_mm - self.barrel.arbor_radius_mm().value
    }

    /// Share of the free area that the spring fills; one half gives most turns.
    #[must_use]
    pub fn fill(&self) -> f64 {
        self.spring.length_mm.value * self.spring.thickness_mm.value / self.barrel.free_area_mm2()
    }

    /// Turns from run down to wound up, with what the uncertainties of thickness, length and both
    /// diameters make of it: coils wound up less coils run down (bib:goodrich1905, chapter XV).
    ///
    /// The uncertainty is to first order, each size by itself (GUM, bib:jcgm100 clause 5.1.2). Near
    /// the best length an error of the length hardly counts.
    #[must_use]
    pub fn turns(&self) -> Measured {
        let slopes = self.slopes();
        let (outer, inner) = (self.barrel.radius_mm(), self.barrel.arbor_radius_mm());
        Measured::new(slopes.turns, slopes.by_thickness * self.spring.thickness_mm.sd)
            .with_added_sd(slopes.by_length * self.spring.length_mm.sd)
            .with_added_sd(slopes.by_outer * outer.sd)
            .with_added_sd(slopes.by_inner * inner.sd)
    }

    /// How the turns change with each size: those of `N = (up + down - R - r) / e` with
    /// `up^2 = r^2 + L e / pi` and `down^2 = R^2 - L e / pi`.
    pub(super) fn slopes(&self) -> Slopes {
        let turns = self.coils_up() - self.coils_down();
        let e = self.spring.thickness_mm.value;
        let (up, down) = (self.up_radius_mm, self.down_radius_mm);
        let by_length = (1.0 / up - 1.0 / down) / (2.0 * PI);
        Slopes {
            turns,
            by_thickness: (self.spring.length_mm.value * by_length - turns) / e,
            by_length,
            by_outer: (self.barrel.radius_mm().value / down - 1.0) / e,
            by_inner: (self.barrel.arbor_radius_mm().value / up - 1.0) / e,
        }
    }

    /// Time from wound up to run down, seconds, where the barrel turns once in `turn_s` seconds: a
    /// bound, since a movement stops before its spring has no power left.
    #[must_use]
    pub fn runs_s(&self, turn_s: f64) -> Measured {
        self.turns().scaled(turn_s)
    }

    /// Height of the barrel less height of the spring, mm, where both were measured.
    #[must_use]
    pub fn height_clearance_mm(&self) -> Option<f64> {
        Some(self.barrel.height_mm()? - self.spring.height_mm?.value)
    }
}
