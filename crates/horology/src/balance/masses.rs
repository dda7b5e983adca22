use super::error::{BalanceError, finite, positive};
use quantities::Measured;

/// A mass at a distance from the staff: a screw, a washer, a thin rim.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MassAtRadius {
    /// Mass, kg.
    pub mass_kg: Measured,
    /// Distance from the axis, m.
    pub radius_m: Measured,
}

/// Moment of inertia of masses at their radii, kg m²: the sum of `m r^2` (definition), with its
/// standard uncertainty to first order, all masses and radii independent.
///
/// A thin rim is one mass at its radius; so is a ring of screws. A thick rim or an arm is not.
///
/// # Errors
/// [`BalanceError::NotPositive`] for a mass or radius that is not.
pub fn inertia_of_masses(masses: &[MassAtRadius]) -> Result<Measured, BalanceError> {
    let mut sum = Measured::new(0.0, 0.0);
    for MassAtRadius { mass_kg, radius_m } in masses {
        let mass = positive("a mass", mass_kg.value)?;
        let radius = positive("a radius", radius_m.value)?;
        let inertia = mass * radius * radius;
        let relative = (mass_kg.sd / mass).hypot(2.0 * radius_m.sd / radius);
        sum = Measured::new(sum.value + inertia, sum.sd.hypot(inertia * relative));
    }
    Ok(sum)
}

/// Something done to the masses of a balance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MassChange {
    /// A mass added at a radius.
    Added {
        /// kg.
        mass_kg: f64,
        /// m.
        radius_m: f64,
    },
    /// A mass taken off at a radius.
    Taken {
        /// kg.
        mass_kg: f64,
        /// m.
        radius_m: f64,
    },
    /// A mass moved from one radius to another, as a screw is turned out or in.
    Moved {
        /// kg.
        mass_kg: f64,
        /// Before, m.
        from_m: f64,
        /// After, m.
        to_m: f64,
    },
}

impl MassChange {
    /// Change of the moment of inertia, kg m²: `m r^2`, or `m (r2^2 - r1^2)` (definition).
    ///
    /// # Errors
    /// [`BalanceError::NotPositive`] for a mass that is not; [`BalanceError::NotANumber`].
    pub fn inertia_kg_m2(self) -> Result<f64, BalanceError> {
        let (mass, change) = match self {
            Self::Added { mass_kg, radius_m } => (mass_kg, radius_m * radius_m),
            Self::Taken { mass_kg, radius_m } => (mass_kg, -radius_m * radius_m),
            Self::Moved { mass_kg, from_m, to_m } => (mass_kg, (to_m - from_m) * (to_m + from_m)),
        };
        let mass = positive("a mass", mass)?;
        finite("a radius", change).map(|change| mass * change)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(mass_kg: f64, radius_m: f64) -> MassAtRadius {
        MassAtRadius {
            mass_kg: Measured::new(mass_kg, 0.01 * mass_kg),
            radius_m: Measured::new(radius_m, 0.0),
        }
    }

    /// By hand: 1 mg at 2 mm is 4e-12, two of them 8e-12; independent hundredths add as 1/sqrt 2.
    #[test]
    fn sums_masses_at_radii() {
        let two = inertia_of_masses(&[at(1e-6, 2e-3), at(1e-6, 2e-3)]).unwrap();
        assert!((two.value - 8e-12).abs() < 1e-24);
        assert!((two.sd - 8e-14 / 2.0_f64.sqrt()).abs() < 1e-24);
        assert!(inertia_of_masses(&[at(0.0, 1e-3)]).is_err());
    }

    #[test]
    fn a_move_is_a_taking_and_an_adding() {
        let mass_kg = 3e-6;
        let moved = MassChange::Moved { mass_kg, from_m: 4e-3, to_m: 4.2e-3 };
        let taken = MassChange::Taken { mass_kg, radius_m: 4e-3 };
        let added = MassChange::Added { mass_kg, radius_m: 4.2e-3 };
        let [moved, taken, added] = [moved, taken, added].map(|c| c.inertia_kg_m2().unwrap());
        assert!((moved - taken - added).abs() < 1e-22);
    }
}
