use super::beat::period_s_of_beats_per_hour;
use super::error::BalanceError;
use super::knowns::{Knowns, Piece};
use quantities::{BeatFrequency, Measured};

/// What is known of a balance beside its readings, as far as its poise and its masses want it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct BalanceFacts {
    /// Its beat.
    pub beat: Option<BeatFrequency>,
    /// Moment of inertia, kg m².
    pub inertia_kg_m2: Option<Measured>,
    /// Radius of its rim, m.
    pub rim_radius_m: Option<Measured>,
}

impl BalanceFacts {
    /// From what was measured of a balance and the beat that it runs at. Where the measured pieces
    /// make no period of their own, the beat's joins them: with the stiffness it gives the inertia.
    ///
    /// # Errors
    /// [`BalanceError`] where pieces contradict each other.
    pub fn of(knowns: &Knowns, beat: Option<BeatFrequency>) -> Result<Self, BalanceError> {
        let mut completed = knowns.complete()?;
        if let Some(beat) = beat.filter(|_| completed.get(Piece::PeriodS).is_none()) {
            let period_s = period_s_of_beats_per_hour(beat.per_hour());
            let period = Measured::new(period_s, 0.0);
            completed = knowns.clone().with(Piece::PeriodS, period)?.complete()?;
        }
        Ok(Self {
            beat,
            inertia_kg_m2: completed.get(Piece::InertiaKgM2),
            rim_radius_m: completed.get(Piece::RingRadiusM),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: at 18,000 a period is 0.4 s, and 2.467401e-7 N m/rad then swing 1e-9 kg m²; a ring
    /// of 62.5 mg with that inertia has a radius of 4 mm.
    #[test]
    fn the_beat_and_the_stiffness_give_the_inertia() {
        let known =
            |piece, value| Knowns::default().with(piece, Measured::new(value, 0.0)).unwrap();
        let beat = BeatFrequency::from_per_hour(18_000.0).unwrap();
        let knowns = known(Piece::StiffnessNMPerRad, 2.467_401e-7)
            .with(Piece::RingMassKg, Measured::new(62.5e-6, 0.0))
            .unwrap();
        let facts = BalanceFacts::of(&knowns, Some(beat)).unwrap();
        assert!((facts.inertia_kg_m2.unwrap().value / 1e-9 - 1.0).abs() < 1e-6, "{facts:?}");
        assert!((facts.rim_radius_m.unwrap().value / 4e-3 - 1.0).abs() < 1e-6, "{facts:?}");
        assert_eq!(BalanceFacts::of(&knowns, None).unwrap().inertia_kg_m2, None);
    }
}
