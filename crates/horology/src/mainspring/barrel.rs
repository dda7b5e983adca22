use super::{Fitted, Unfit};
use quantities::{Measured, OutOfRange};
use std::f64::consts::PI;

/// Least and most of any length here, mm: from the thinnest spring to that of a tower clock.
const LENGTHS_MM: (f64, f64) = (0.01, 100_000.0);

/// Most turns that are asked for.
const MOST_TURNS: f64 = 1_000.0;

/// The room for a spring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Barrel {
    inner_diameter_mm: Measured,
    arbor_diameter_mm: Measured,
    height_mm: Option<f64>,
}

/// A spring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spring {
    /// Thickness of the strip.
    pub thickness_mm: Measured,
    /// Its length, unrolled.
    pub length_mm: Measured,
    /// Its height (width of the strip); `None` where it was not measured: then it has no torque.
    pub height_mm: Option<Measured>,
    /// Coils that it has lying free out of the barrel, counted negative where they curve the other
    /// way; 0 for a strip that would lie straight.
    pub coils_free: f64,
}

impl Barrel {
    /// From the inner diameter of the barrel, the diameter of its arbor (hook left out), and the
    /// height inside, where it was measured.
    ///
    /// # Errors
    /// Where a size is out of range, or the arbor fills the barrel.
    pub fn new(
        inner_diameter_mm: Measured,
        arbor_diameter_mm: Measured,
        height_mm: Option<f64>,
    ) -> Result<Self, Unfit> {
        length("inner diameter of the barrel", inner_diameter_mm.value)?;
        length("diameter of the arbor", arbor_diameter_mm.value)?;
        if let Some(height_mm) = height_mm {
            length("height inside the barrel", height_mm)?;
        }
        if arbor_diameter_mm.value >= inner_diameter_mm.value {
            return Err(Unfit::ArborFillsBarrel {
                barrel_mm: inner_diameter_mm.value,
                arbor_mm: arbor_diameter_mm.value,
            });
        }
        Ok(Self { inner_diameter_mm, arbor_diameter_mm, height_mm })
    }

    /// Inner radius.
    pub(super) fn radius_mm(&self) -> Measured {
        self.inner_diameter_mm.scaled(0.5)
    }

    /// Radius of the arbor.
    pub(super) fn arbor_radius_mm(&self) -> Measured {
        self.arbor_diameter_mm.scaled(0.5)
    }

    /// Height inside, where it was measured.
    #[must_use]
    pub fn height_mm(&self) -> Option<f64> {
        self.height_mm
    }

    /// Area between arbor and wall, seen from above.
    #[must_use]
    pub fn free_area_mm2(&self) -> f64 {
        let (outer, inner) = (self.radius_mm().value, self.arbor_radius_mm().value);
        PI * (outer * outer - inner * inner)
    }

    /// The radius to which a spring of best length reaches, run down as wound up: it parts the free
    /// area into halves.
    #[must_use]
    pub fn halving_radius_mm(&self) -> f64 {
        let (outer, inner) = (self.radius_mm().value, self.arbor_radius_mm().value);
        ((outer * outer + inner * inner) / 2.0).sqrt()
    }

    /// Length of a spring of this thickness with which the barrel makes most turns: run down it fills
    /// half of the free area, `L = pi (R^2 - r^2) / (2 e)` (bib:goodrich1905, chapter XV).
    ///
    /// # Errors
    /// Where the thickness is out of range.
    pub fn best_length_mm(&self, thickness_mm: f64) -> Result<f64, Unfit> {
        Ok(self.best_for_mm(length("thickness of the spring", thickness_mm)?))
    }

    /// Most turns that a spring of this thickness can give here:
    /// `N = (2 sqrt((R^2 + r^2) / 2) - R - r) / e`, from the same rule.
    ///
    /// # Errors
    /// Where the thickness is out of range.
    pub fn most_turns(&self, thickness_mm: f64) -> Result<f64, Unfit> {
        Ok(self.most_for(length("thickness of the spring", thickness_mm)?))
    }

    /// Thickness of the spring that gives so many turns at its best length: the same turned round.
    ///
    /// # Errors
    /// Where so many turns cannot be had.
    pub fn thickness_for_turns_mm(&self, turns: f64) -> Result<f64, Unfit> {
        if !(turns > 0.0 && turns < MOST_TURNS) {
            return Err(Unfit::TooManyTurns { turns });
        }
        Ok(self.depth_of_turns_mm() / turns)
    }

    /// Best length for a thickness that was checked.
    pub(super) fn best_for_mm(&self, thickness_mm: f64) -> f64 {
        self.free_area_mm2() / (2.0 * thickness_mm)
    }

    /// Most turns for a thickness that was checked.
    pub(super) fn most_for(&self, thickness_mm: f64) -> f64 {
        self.depth_of_turns_mm() / thickness_mm
    }

    fn depth_of_turns_mm(&self) -> f64 {
        2.0 * self.halving_radius_mm() - self.radius_mm().value - self.arbor_radius_mm().value
    }

    /// A spring in this barrel.
    ///
    /// # Errors
    /// Where a size is out of range, or the spring has no room.
    pub fn fitted(&self, spring: &Spring) -> Result<Fitted, Unfit> {
        let thickness_mm = length("thickness of the spring", spring.thickness_mm.value)?;
        let length_mm = length("length of the spring", spring.length_mm.value)?;
        if let Some(height) = spring.height_mm {
            length("height of the spring", height.value)?;
        }
        if !(-MOST_TURNS..=MOST_TURNS).contains(&spring.coils_free) {
            return Err(Unfit::Size(OutOfRange {
                quantity: "number of coils of the free spring",
                unit: "coils",
                given: spring.coils_free,
                least: -MOST_TURNS,
                most: MOST_TURNS,
            }));
        }
        if length_mm * thickness_mm >= self.free_area_mm2() {
            return Err(Unfit::TooMuchSpring {
                length_mm,
                room_for_mm: self.free_area_mm2() / thickness_mm,
                best_mm: self.best_for_mm(thickness_mm),
            });
        }
        Ok(Fitted::of(*self, *spring))
    }
}

fn length(quantity: &'static str, given_mm: f64) -> Result<f64, OutOfRange> {
    let (least, most) = LENGTHS_MM;
    if given_mm >= least && given_mm <= most {
        Ok(given_mm)
    } else {
        Err(OutOfRange { quantity, unit: "mm", given: given_mm, least, most })
    }
}
