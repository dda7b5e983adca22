use super::effect::{Prior, PriorSource};
use crate::balance::{BalanceError, MassChange, rate_from_masses};
use quantities::Measured;

/// A computed effect is not taken for better than this factor: the inertia of a balance at the
/// bench is seldom known to a tenth (common practice, no published source).
const LEAST_FACTOR: f64 = 1.1;

/// Milligrams in a kilogram.
const MG_PER_KG: f64 = 1e6;

impl Prior {
    /// Effect of taking a milligram off at this radius, m, from a balance of this inertia, kg m².
    ///
    /// # Errors
    /// As [`rate_from_masses`].
    pub fn computed_for_mass(inertia_kg_m2: Measured, radius_m: f64) -> Result<Self, BalanceError> {
        let taken = MassChange::Taken { mass_kg: 1.0 / MG_PER_KG, radius_m };
        Self::computed(inertia_kg_m2, &[taken])
    }

    /// Effect of turning a pair of opposite screws inwards by one turn, from the mass of one, kg,
    /// the radius of its middle, m, and the pitch of its thread, m.
    ///
    /// # Errors
    /// As [`rate_from_masses`].
    pub fn computed_for_screws(
        inertia_kg_m2: Measured,
        screw_kg: f64,
        radius_m: f64,
        pitch_m: f64,
    ) -> Result<Self, BalanceError> {
        let to_m = radius_m - pitch_m;
        let moved = MassChange::Moved { mass_kg: screw_kg, from_m: radius_m, to_m };
        Self::computed(inertia_kg_m2, &[moved, moved])
    }

    fn computed(inertia_kg_m2: Measured, changes: &[MassChange]) -> Result<Self, BalanceError> {
        // First order: an effect of one unit stands for moves of any size.
        let change = rate_from_masses(inertia_kg_m2, changes)?;
        Ok(Self {
            per_unit_s_per_d: change.first_order_s_per_d,
            factor: (1.0 + inertia_kg_m2.sd / inertia_kg_m2.value).max(LEAST_FACTOR),
            source: PriorSource::Computed,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: a milligram at 4 mm is 1.6e-11 kg m², of 1e-9 sixteen thousandths: 691.2 s/d. Two
    /// screws of 2 mg at 4 mm turned in by 0.1 mm: 2 x 2e-6 x 0.1e-3 x 7.9e-3 = 3.16e-12, 136.5
    /// s/d.
    #[test]
    fn masses_and_screws() {
        let inertia = Measured::new(1e-9, 2e-10);
        let mass = Prior::computed_for_mass(inertia, 4e-3).unwrap();
        assert!((mass.per_unit_s_per_d - 691.2).abs() < 1e-6, "{mass:?}");
        assert!((mass.factor - 1.2).abs() < 1e-12);
        let screws = Prior::computed_for_screws(inertia, 2e-6, 4e-3, 1e-4).unwrap();
        assert!((screws.per_unit_s_per_d - 136.5).abs() < 0.05, "{screws:?}");
        assert_eq!(screws.source, PriorSource::Computed);
        assert!(Prior::computed_for_mass(Measured::new(0.0, 0.0), 4e-3).is_err());
    }
}
