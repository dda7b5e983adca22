//! A recording and what the user tells the engine about it.

use truth::Scenario;

/// One recording of a study.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Recording {
    /// What is laid down.
    pub(crate) scenario: Scenario,
    /// What the user knows.
    pub(crate) told: Told,
    /// In what the samples are stored before the engine gets them.
    pub(crate) store_as: Store,
    /// Which kind within its family.
    pub(crate) kind: &'static str,
}

/// What the user tells the engine; empty where nothing.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Told {
    /// Lift angles, degrees.
    pub(crate) lift_deg: Vec<f64>,
    /// Nominal beats per hour.
    pub(crate) beats_per_hour: Vec<f64>,
    /// Number of balances.
    pub(crate) balances: Option<usize>,
    /// The clock's error and its standard deviation, ppm.
    pub(crate) clock_ppm: Option<(f64, f64)>,
}

/// How finely samples are stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum Store {
    /// As they are.
    #[default]
    Float,
    /// In steps of full scale over 2^(bits - 1), without dither.
    Bits(u32),
}

impl Store {
    /// Rounds samples to the nearest step and holds them within full scale.
    pub(crate) fn round(self, samples: &mut [f32]) {
        let Self::Bits(bits) = self else { return };
        let steps = (1_u64 << (bits - 1)) as f32;
        for x in samples {
            *x = (*x * steps).round().clamp(-steps, steps - 1.0) / steps;
        }
    }
}

impl Recording {
    /// A recording of which the user knows the lift angles (one where all are alike) and the
    /// exact error of the recorder's clock.
    pub(crate) fn new(kind: &'static str, scenario: Scenario) -> Self {
        let mut lift_deg: Vec<f64> = scenario.balances.iter().map(|b| b.lift_deg).collect();
        if lift_deg.windows(2).all(|w| w[0] == w[1]) {
            lift_deg.truncate(1);
        }
        let clock_ppm = Some((scenario.clock_error_ppm, 0.0));
        let told = Told { lift_deg, clock_ppm, ..Told::default() };
        Self { scenario, told, store_as: Store::Float, kind }
    }

    /// The user also knows how many balances there are.
    pub(crate) fn told_balances(mut self) -> Self {
        self.told.balances = Some(self.scenario.balances.len());
        self
    }

    /// Stored in this way.
    pub(crate) fn stored_as(mut self, store_as: Store) -> Self {
        self.store_as = store_as;
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Three bits: steps of a quarter from -1 to 0.75 (by hand).
    #[test]
    fn rounds_to_steps() {
        let mut x = [0.1, 0.13, -0.9, 1.0, -1.5];
        Store::Bits(3).round(&mut x);
        assert_eq!(x, [0.0, 0.25, -1.0, 0.75, -1.0]);
    }
}
