use super::error::{EscapementError, positive};
use quantities::{Amplitude, BeatFrequency, LiftAngle, Measured};
use std::f64::consts::PI;

/// A turning point that an eye can judge, by a mark on the rim or by the arms.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SightMark {
    /// A half turn from rest: the mark stands opposite its place at rest. 180 degrees.
    HalfTurn,
    /// Three quarters of a turn from rest: 270 degrees.
    ThreeQuarterTurn,
}

impl SightMark {
    /// Amplitude, degrees, with what an eye is good for: 5 degrees (common practice, no published
    /// source).
    #[must_use]
    pub fn amplitude_deg(self) -> Measured {
        match self {
            Self::HalfTurn => Measured::new(180.0, 5.0),
            Self::ThreeQuarterTurn => Measured::new(270.0, 5.0),
        }
    }
}

/// Lift angle, degrees, from the time from unlocking to drop, s, at an amplitude that is known by
/// sight: `lift = 2 A sin(pi f dt)`, the formula of [`crate::amplitude_deg_from_time`] turned
/// round.
///
/// Let the mainspring down until the turning points stand at the mark, and read. Uncertainties to
/// first order, amplitude and time independent: `dA/A` in full, and the time's by the slope `2 A pi
/// f cos(pi f dt)`. The amplitude's is common to repeated readings at one mark: take it by sight
/// anew, or at the other mark, before averaging.
///
/// # Errors
/// [`EscapementError::NotPositive`]; [`EscapementError::Reading`] where the result is no lift
/// angle.
///
/// # Examples
/// ```
/// use horology::escapement::{SightMark, lift_from_amplitude_by_sight};
/// use quantities::{BeatFrequency, Measured};
///
/// let beat = BeatFrequency::from_per_hour(28_800.0)?;
/// let half_turn = SightMark::HalfTurn.amplitude_deg();
/// let lift = lift_from_amplitude_by_sight(half_turn, beat, Measured::new(11.535e-3, 0.1e-3))?;
/// assert!((lift.value - 52.0).abs() < 0.01);
/// # Ok::<(), horology::escapement::EscapementError>(())
/// ```
pub fn lift_from_amplitude_by_sight(
    amplitude_deg: Measured,
    beat: BeatFrequency,
    unlocking_to_drop_s: Measured,
) -> Result<Measured, EscapementError> {
    let amplitude = positive("amplitude", amplitude_deg.value)?;
    let time = positive("time from unlocking to drop", unlocking_to_drop_s.value)?;
    let angular = PI * beat.oscillation_hz();
    // Beyond half a beat the balance would be past its turning point.
    let phase = (angular * time).min(0.5 * PI);
    let lift = 2.0 * amplitude * phase.sin();
    LiftAngle::from_deg(lift)?;
    let by_amplitude = lift * amplitude_deg.sd / amplitude;
    let by_time = 2.0 * amplitude * angular * phase.cos() * unlocking_to_drop_s.sd;
    Ok(Measured::new(lift, by_amplitude.hypot(by_time)))
}

/// The time from unlocking to drop, s, that was heard where a reading gave this amplitude with this
/// lift angle: [`lift_from_amplitude_by_sight`] turned round. Its uncertainty is the amplitude's, to
/// first order: `dt = tan(pi f t) / (pi f) dA / A`; the lift angle is what the reading took, and exact.
///
/// # Errors
/// [`EscapementError::NotPositive`], [`EscapementError::Reading`] for an amplitude that cannot be.
pub fn unlocking_to_drop_s(
    amplitude_deg: Measured,
    lift: LiftAngle,
    beat: BeatFrequency,
) -> Result<Measured, EscapementError> {
    let amplitude = positive("amplitude", amplitude_deg.value)?;
    let time_s = crate::time_s_from_amplitude(lift, beat, Amplitude::from_deg(amplitude))?;
    let angular = PI * beat.oscillation_hz();
    let slope_s = (angular * time_s).tan() / angular;
    Ok(Measured::new(time_s, slope_s * amplitude_deg.sd / amplitude))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time_s_from_amplitude;
    use proptest::prelude::*;

    fn beat(per_hour: f64) -> BeatFrequency {
        BeatFrequency::from_per_hour(per_hour).unwrap()
    }

    /// Times for a lift angle of 52 degrees at 180 and 270 degrees, ms: computed with Python's math
    /// module from `dt = T/pi asin(lift / 2A)`, outside this project (the table at `amplitude.rs`).
    #[test]
    fn fifty_two_degrees() {
        for (per_hour, half_ms, three_quarters_ms) in
            [(14_400.0, 23.070, 15.350), (18_000.0, 18.456, 12.280), (28_800.0, 11.535, 7.675)]
        {
            for (mark, ms) in
                [(SightMark::HalfTurn, half_ms), (SightMark::ThreeQuarterTurn, three_quarters_ms)]
            {
                let lift = lift_from_amplitude_by_sight(
                    mark.amplitude_deg(),
                    beat(per_hour),
                    Measured::new(ms / 1e3, 0.0),
                )
                .unwrap();
                // 0.0005 ms of rounding in 7.675 ms is 0.0034 degrees.
                assert!((lift.value - 52.0).abs() < 0.003_5, "{per_hour} {ms}: {lift:?}");
                // Five degrees in 180, or in 270.
                let share = 5.0 / mark.amplitude_deg().value;
                assert!((lift.sd / lift.value - share).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn refuses_what_is_no_lift_angle() {
        let of = |ms: f64| {
            lift_from_amplitude_by_sight(
                Measured::new(270.0, 5.0),
                beat(28_800.0),
                Measured::new(ms / 1e3, 0.0),
            )
        };
        assert!(of(0.0).is_err() && of(f64::NAN).is_err() && of(100.0).is_err());
        assert!(
            of(1.0).unwrap_err().to_string().starts_with("the reading gives no lift angle: lift")
        );
    }

    proptest! {
        /// There and back: the time that an amplitude takes gives the lift angle it was made with.
        #[test]
        fn round_trip(lift in 30.0..70.0_f64, amplitude in 120.0..330.0_f64) {
            let angle = LiftAngle::from_deg(lift).unwrap();
            let time = time_s_from_amplitude(angle, beat(21_600.0), Amplitude::from_deg(amplitude));
            let back = lift_from_amplitude_by_sight(
                Measured::new(amplitude, 0.0),
                beat(21_600.0),
                Measured::new(time.unwrap(), 0.0),
            );
            prop_assert!((back.unwrap().value - lift).abs() < 1e-9);
        }

        /// A reading's amplitude gives the time that was heard, and with the reading's own lift angle
        /// that time gives the amplitude back. Its uncertainty is the slope, by a central difference.
        #[test]
        fn the_time_that_was_heard(lift in 30.0..70.0_f64, amplitude in 120.0..330.0_f64) {
            let angle = LiftAngle::from_deg(lift).unwrap();
            let heard = |deg: f64, sd| {
                unlocking_to_drop_s(Measured::new(deg, sd), angle, beat(21_600.0)).unwrap()
            };
            let time = heard(amplitude, 1.0);
            let back = lift_from_amplitude_by_sight(
                Measured::new(amplitude, 0.0), beat(21_600.0), Measured::new(time.value, 0.0),
            );
            prop_assert!((back.unwrap().value - lift).abs() < 1e-9);
            let h = 1e-3;
            let slope = (heard(amplitude + h, 0.0).value - heard(amplitude - h, 0.0).value) / (2.0 * h);
            prop_assert!((time.sd / slope.abs() - 1.0).abs() < 1e-5, "{} {slope}", time.sd);
        }

        /// The uncertainty by the time is its slope.
        #[test]
        fn slope(amplitude in 150.0..320.0_f64, time in 6e-3..12e-3_f64) {
            let at = |time, sd| {
                lift_from_amplitude_by_sight(
                    Measured::new(amplitude, 0.0),
                    beat(28_800.0),
                    Measured::new(time, sd),
                )
                .unwrap()
            };
            let h = 1e-7;
            let central = (at(time + h, 0.0).value - at(time - h, 0.0).value) / (2.0 * h);
            // Central difference: relative error of order (h / dt)^2, under 1e-9.
            prop_assert!((at(time, 1e-4).sd / (central * 1e-4) - 1.0).abs() < 1e-6);
        }
    }
}
