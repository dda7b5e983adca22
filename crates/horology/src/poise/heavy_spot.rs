use super::error::PoiseError;
use super::gravity::{STANDARD_GRAVITY_M_PER_S2, rate_from_heavy_spot_s_per_d};
use crate::stance::{Upright, degrees, turn_deg};
use quantities::{BeatFrequency, Measured};
use std::f64::consts::PI;

/// Standard deviations that hold 95 in 100 of normal errors on both sides.
const TWO_SIDED_95: f64 = 1.96;

/// Where a balance is heavy, and how much.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeavySpot {
    /// Direction from the staff with the balance at rest, degrees clockwise from 12 seen from the
    /// dial, 0 to 360.
    pub direction_deg: Measured,
    /// `m g r / k`, without unit.
    pub strength: Measured,
}

impl HeavySpot {
    /// The same direction clockwise from the dial's 12 for whoever looks from the side of the
    /// train, degrees, 0 to 360.
    #[must_use]
    pub fn direction_from_train_side_deg(&self) -> f64 {
        turn_deg(-self.direction_deg.value)
    }

    /// What it adds to the rate in a position at an amplitude, s/d: its course over the amplitude
    /// shows the change of sign at 219.54 degrees.
    #[must_use]
    pub fn rate_s_per_d(&self, position: Upright, amplitude_deg: f64) -> f64 {
        let direction = self.direction_deg.value;
        rate_from_heavy_spot_s_per_d(self.strength.value, direction, position, amplitude_deg)
    }

    /// Half the sector, degrees, in which the heavy spot lies with 95 in 100; 180: anywhere.
    #[must_use]
    pub fn sector_half_angle_deg(&self) -> f64 {
        (TWO_SIDED_95 * self.direction_deg.sd).min(180.0)
    }

    /// `m r / I`, per metre: all that rates alone say of the size. `k / I` is the square of the
    /// angular frequency.
    #[must_use]
    pub fn moment_over_inertia_per_m(&self, beat: BeatFrequency) -> Measured {
        let angular = 2.0 * PI * beat.oscillation_hz();
        self.strength.scaled(angular * angular / STANDARD_GRAVITY_M_PER_S2)
    }

    /// Mass times radius, `m r`, kg m, from the balance's inertia, kg m², and its beat:
    /// `strength I w² / g`.
    ///
    /// # Errors
    /// [`PoiseError::NotPositive`].
    pub fn moment_kg_m_with_inertia(
        &self,
        inertia_kg_m2: Measured,
        beat: BeatFrequency,
    ) -> Result<Measured, PoiseError> {
        let inertia = positive("the inertia", inertia_kg_m2.value)?;
        let ratio = self.moment_over_inertia_per_m(beat);
        let share = (ratio.sd / ratio.value).hypot(inertia_kg_m2.sd / inertia);
        let moment = ratio.value * inertia;
        Ok(Measured::new(moment, moment * share))
    }

    /// Mass, kg, to take off at this distance from the staff, m, for a hairspring of this
    /// stiffness, N m/rad: `m = strength k / (g r)`. Added at the same distance on the opposite
    /// side it does the same. All three are taken to be independent.
    ///
    /// # Errors
    /// [`PoiseError::NotPositive`].
    pub fn mass_kg_with_stiffness(
        &self,
        stiffness_n_m_per_rad: Measured,
        radius_m: Measured,
    ) -> Result<Measured, PoiseError> {
        let stiffness = positive("the stiffness", stiffness_n_m_per_rad.value)?;
        let radius = positive("the radius", radius_m.value)?;
        let mass = self.strength.value * stiffness / (STANDARD_GRAVITY_M_PER_S2 * radius);
        let share = (self.strength.sd / self.strength.value)
            .hypot(stiffness_n_m_per_rad.sd / stiffness)
            .hypot(radius_m.sd / radius);
        Ok(Measured::new(mass, mass * share))
    }

    /// As [`Self::mass_kg_with_stiffness`], from the balance's inertia, kg m², and its beat.
    ///
    /// # Errors
    /// [`PoiseError::NotPositive`].
    pub fn mass_kg_with_inertia(
        &self,
        inertia_kg_m2: Measured,
        beat: BeatFrequency,
        radius_m: Measured,
    ) -> Result<Measured, PoiseError> {
        positive("the inertia", inertia_kg_m2.value)?;
        let angular = 2.0 * PI * beat.oscillation_hz();
        self.mass_kg_with_stiffness(inertia_kg_m2.scaled(angular * angular), radius_m)
    }

    /// By how many degrees the direction would be wrong if a share of the spring's own, s/d, hid in
    /// the readings square to the heavy spot; `factor_s_per_d` is
    /// [`super::gravity_factor_s_per_d`] at their amplitude. What one amplitude cannot tell.
    #[must_use]
    pub fn turned_by_spring_share_deg(&self, share_s_per_d: f64, factor_s_per_d: f64) -> f64 {
        degrees(share_s_per_d.abs().atan2((self.strength.value * factor_s_per_d).abs()))
    }
}

/// From the strength's two parts, towards 12 and towards 3, and their covariance.
pub(super) fn from_parts(parts: [f64; 2], covariance: [[f64; 2]; 2]) -> HeavySpot {
    let [north, east] = parts;
    let strength = north.hypot(east);
    let (cos, sin) = (north / strength, east / strength);
    let [[nn, ne], [_, ee]] = covariance;
    let along = cos * cos * nn + 2.0 * cos * sin * ne + sin * sin * ee;
    let across = sin * sin * nn - 2.0 * cos * sin * ne + cos * cos * ee;
    let direction_sd = degrees(across.max(0.0).sqrt().atan2(strength));
    HeavySpot {
        direction_deg: Measured::new(turn_deg(degrees(east.atan2(north))), direction_sd),
        strength: Measured::new(strength, along.max(0.0).sqrt()),
    }
}

fn positive(what: &'static str, given: f64) -> Result<f64, PoiseError> {
    if given > 0.0 && given.is_finite() {
        Ok(given)
    } else {
        Err(PoiseError::NotPositive { what, given })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn exactly(value: f64) -> Measured {
        Measured::new(value, 0.0)
    }

    /// By hand: parts of 3 and 4 are a strength of 5, and an uncertainty of 0.1 all round is
    /// 1.146 degrees in 5.
    #[test]
    fn parts_to_direction() {
        let spot = from_parts([-3.0, 4.0], [[0.01, 0.0], [0.0, 0.01]]);
        assert!((spot.strength.value - 5.0).abs() < 1e-12);
        assert!((spot.strength.sd - 0.1).abs() < 1e-12);
        assert!((spot.direction_deg.value - 126.87).abs() < 0.005);
        assert!((spot.direction_deg.sd - 1.146).abs() < 0.001);
        assert!((spot.direction_from_train_side_deg() - 233.13).abs() < 0.005);
        assert!((spot.sector_half_angle_deg() - 2.246).abs() < 0.002);
    }

    /// 10 micrograms at 4 mm on 1e-9 kg m² at 18,000: m g r / k = 3.92266e-10 / 2.46740e-7.
    #[test]
    fn mass_and_ratio() {
        let spot = HeavySpot {
            direction_deg: exactly(0.0),
            strength: exactly(3.922_66e-10 / 2.467_401e-7),
        };
        let beat = BeatFrequency::from_per_hour(18_000.0).unwrap();
        let mass =
            spot.mass_kg_with_inertia(Measured::new(1e-9, 5e-11), beat, exactly(4e-3)).unwrap();
        assert!((mass.value / 10e-9 - 1.0).abs() < 1e-6, "{mass:?}");
        assert!((mass.sd / mass.value - 0.05).abs() < 1e-9);
        // A radius of 4 mm that is known to a twentieth makes it sqrt(2) of that (GUM, bib:jcgm100).
        let radius = Measured::new(4e-3, 2e-4);
        let loose = spot.mass_kg_with_inertia(Measured::new(1e-9, 5e-11), beat, radius).unwrap();
        assert!((loose.sd / loose.value - 0.070_71).abs() < 1e-5);
        // m r = 1e-8 kg at 4e-3 m.
        let moment = spot.moment_kg_m_with_inertia(Measured::new(1e-9, 5e-11), beat).unwrap();
        assert!((moment.value / 4e-11 - 1.0).abs() < 1e-6, "{moment:?}");
        assert!((moment.sd / moment.value - 0.05).abs() < 1e-9);
        // m r / I = 4e-11 / 1e-9.
        let ratio = spot.moment_over_inertia_per_m(beat).value;
        assert!((ratio / 0.04 - 1.0).abs() < 1e-6, "{ratio}");
        assert!(spot.mass_kg_with_inertia(exactly(1e-9), beat, exactly(0.0)).is_err());
    }

    /// bib:kleinlein1920, No. 28: below the staff it gains at one turn (180 degrees) and loses
    /// above his neutral arc; towards 6 is below while 12 is uppermost. It does nothing at the zero
    /// of J1.
    #[test]
    fn its_course_changes_sign() {
        let spot = HeavySpot { direction_deg: exactly(180.0), strength: exactly(1e-3) };
        let at = |deg| spot.rate_s_per_d(Upright::FOUR[0], deg);
        assert!(at(180.0) > 0.0 && at(219.0) > 0.0 && at(220.0) < 0.0 && at(270.0) < 0.0);
        assert!(at(super::super::gravity::NEUTRAL_AMPLITUDE_DEG).abs() < 1e-8);
        assert!(spot.rate_s_per_d(Upright::FOUR[2], 270.0) > 0.0);
    }

    #[test]
    fn a_spring_share_square_to_it_turns_it() {
        let spot = HeavySpot { direction_deg: exactly(0.0), strength: exactly(1e-3) };
        // 1e-3 x 5000 s/d is 5 s/d; 5 s/d beside it is 45 degrees.
        assert!((spot.turned_by_spring_share_deg(5.0, -5_000.0) - 45.0).abs() < 1e-9);
    }
}
