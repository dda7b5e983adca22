//! A balance that is out of poise, as it sounds in one upright position.

use crate::balance::Balance;
use crate::unpoised::Unpoised;
use std::f64::consts::PI;

/// A heavy spot of a balance in an upright watch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeavySpot {
    /// Its mass times its distance from the axis, over the balance's moment of inertia, per m.
    pub moment_by_inertia_per_m: f64,
    /// Where it lies with the spring at rest: degrees from straight down, counted the way round in
    /// which a tick swings.
    pub from_down_deg: f64,
}

impl Balance {
    /// The same balance upright and with a heavy spot: what it goes at in poise, rate and beat
    /// error, with what gravity adds at its starting amplitude. It is integrated from the equation
    /// of motion ([`Unpoised`]); its amplitude stays as it was set.
    ///
    /// `None` where the heavy spot is so strong that the balance does not swing about the spring's
    /// rest, or a number is not finite.
    ///
    /// ```
    /// use truth::{Balance, HeavySpot};
    ///
    /// let poised = Balance { amplitude_deg: 280.0, ..Balance::default() };
    /// let spot = HeavySpot { moment_by_inertia_per_m: 0.1, from_down_deg: 0.0 };
    /// // Heavy below, above the neutral amplitude: it loses.
    /// assert!(poised.with_heavy_spot(&spot).unwrap().rate_s_per_d < -8.0);
    /// ```
    #[must_use]
    pub fn with_heavy_spot(self, spot: &HeavySpot) -> Option<Self> {
        let nominal_s = 7_200.0 / self.beats_per_hour;
        let day = quantities::SECONDS_PER_DAY;
        let radians_per_s = 2.0 * PI / nominal_s * (1.0 + self.rate_s_per_d / day);
        // Only ratios matter: of a balance whose inertia is one.
        let swing = Unpoised {
            inertia_kg_m2: 1.0,
            stiffness_n_m_per_rad: radians_per_s * radians_per_s,
            moment_kg_m: spot.moment_by_inertia_per_m,
            heavy_from_down_deg: spot.from_down_deg,
        }
        .swing(self.amplitude_deg)?;
        // From the passage one way (a tick's) to that the other way, less half an oscillation.
        let tick_to_tock_s = swing.oscillation_s - (swing.passes_up_s - swing.passes_down_s);
        Some(Self {
            rate_s_per_d: day * (nominal_s / swing.oscillation_s - 1.0),
            beat_error_ms: self.beat_error_ms + 1e3 * (tick_to_tock_s - swing.oscillation_s / 2.0),
            ..self
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Scenario;

    /// 2.5 Hz, 10 micrograms at 4 mm on 1e-9 kg m²: the balance whose rates scipy integrated for
    /// `unpoised`. Here they come out of the beats that are laid down.
    #[test]
    fn the_beats_go_as_the_integrated_balance_does() {
        for (amplitude_deg, s_per_d) in [(150.0, 24.43), (220.0, -0.12), (270.0, -8.21)] {
            let poised = Balance {
                beats_per_hour: 18_000.0,
                amplitude_deg,
                jitter_us: 0.0,
                ..Balance::default()
            };
            let spot = HeavySpot { moment_by_inertia_per_m: 0.04, from_down_deg: 0.0 };
            let heavy = poised.with_heavy_spot(&spot).unwrap();
            let scenario = Scenario::new(1).with_duration_s(20.0).with_balance(heavy);
            let rate = scenario.truth().unwrap().balances[0].rate_s_per_d;
            assert!((rate - s_per_d).abs() <= 0.011, "{amplitude_deg}: {rate}");
        }
    }

    /// By symmetry: with the spot above or below, both halves of an oscillation are alike; to the
    /// side gravity turns the rest, one way on one side and the other way on the other.
    #[test]
    fn to_the_side_it_is_out_of_beat() {
        let of = |from_down_deg| {
            let spot = HeavySpot { moment_by_inertia_per_m: 0.1, from_down_deg };
            Balance::default().with_heavy_spot(&spot).unwrap().beat_error_ms
        };
        assert!(of(0.0).abs() < 1e-4 && of(180.0).abs() < 1e-4);
        assert!((of(90.0) + of(270.0)).abs() < 1e-4 && of(90.0).abs() > 1e-3, "{}", of(90.0));
    }

    #[test]
    fn without_a_spot_nothing_changes_and_nonsense_does_not_swing() {
        let balance = Balance { rate_s_per_d: 4.2, beat_error_ms: 0.3, ..Balance::default() };
        let of = |moment_by_inertia_per_m| {
            let spot = HeavySpot { moment_by_inertia_per_m, from_down_deg: 90.0 };
            balance.clone().with_heavy_spot(&spot)
        };
        let same = of(0.0).unwrap();
        // A hundred times the method's own error.
        assert!((same.rate_s_per_d - 4.2).abs() < 1e-4, "{}", same.rate_s_per_d);
        assert!((same.beat_error_ms - 0.3).abs() < 1e-6, "{}", same.beat_error_ms);
        assert_eq!(of(f64::NAN), None);
        assert_eq!(of(1e6), None);
    }
}
