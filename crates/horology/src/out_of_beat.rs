use quantities::BeatFrequency;
use std::f64::consts::PI;

/// By how much the amplitude is larger than [`crate::amplitude_deg_from_time`] says where the
/// balance is out of beat; 1 or more.
///
/// The lift then lies to one side of rest. Unlocking and drop come where the swing `A sin(w t)`
/// passes `offset - lift/2` and `offset + lift/2`, so with `dt` the time between them and `m` the
/// middle of it, from the passing of rest, the sum and difference of two sines give
///
/// ```text
/// 2 A cos(w m) sin(w dt / 2) = lift,   A sin(w m) cos(w dt / 2) = offset
/// ```
///
/// The middle comes late on the one swing and early on the other, so tock is later than the middle
/// between ticks by `2 m`: `tock_late_s`, seconds, of either sign. The factor is `1 / cos(w m)`.
/// Derived from simple harmonic motion.
#[must_use]
pub fn amplitude_factor_out_of_beat(beat: BeatFrequency, tock_late_s: f64) -> f64 {
    1.0 / (PI * beat.oscillation_hz() * tock_late_s).cos()
}

/// Beat error in seconds, of the sign of `tock_late_s`, where that was taken between the middles of
/// unlocking and drop, `unlocking_to_drop_s` apart.
///
/// The swing is not even within the lift, so the middle in time is a little later than the middle
/// of the lift. By the second equation of [`amplitude_factor_out_of_beat`] the latter is passed at
/// `asin(sin(w m) cos(w dt / 2)) / w`, which is the formula of
/// [`crate::beat_error_from_rest_offset`].
#[must_use]
pub fn beat_error_s_from_middles(
    beat: BeatFrequency,
    tock_late_s: f64,
    unlocking_to_drop_s: f64,
) -> f64 {
    let half_angular = PI * beat.oscillation_hz();
    let share = (half_angular * tock_late_s).sin() * (half_angular * unlocking_to_drop_s).cos();
    share.asin() / half_angular
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{amplitude_deg_from_time, beat_error_from_rest_offset};
    use quantities::{Amplitude, LiftAngle};

    /// Against the swing itself: where `A sin(w t)` passes either end of a lift that lies to one
    /// side. The beat error is that of the formula that knows the offset. Both are exact but for
    /// rounding, of which the tolerances leave some thousand times as much.
    #[test]
    fn a_lift_to_one_side_gives_back_amplitude_and_beat_error() {
        for per_hour in [14_400.0, 21_600.0, 36_000.0] {
            let beat = BeatFrequency::from_per_hour(per_hour).unwrap();
            let angular = 2.0 * PI * beat.oscillation_hz();
            for (amplitude_deg, lift_deg) in [(150.0, 60.0), (231.0, 44.0), (330.0, 52.0)] {
                for offset_deg in [-30.0, -4.0, 0.0, 0.5, 12.0, 30.0] {
                    let passes = |deg: f64| (deg / amplitude_deg).asin() / angular;
                    let unlocking = passes(offset_deg - 0.5 * lift_deg);
                    let drop = passes(offset_deg + 0.5 * lift_deg);
                    let (span, late) = (drop - unlocking, unlocking + drop);
                    let lift = LiftAngle::from_deg(lift_deg).unwrap();
                    let centred = amplitude_deg_from_time(lift, beat, span).unwrap();
                    let found = centred * amplitude_factor_out_of_beat(beat, late);
                    assert!((found - amplitude_deg).abs() < 1e-9, "{found}");
                    let error_s = beat_error_s_from_middles(beat, late, span);
                    let amplitude = Amplitude::from_deg(amplitude_deg);
                    let expected =
                        beat_error_from_rest_offset(beat, amplitude, offset_deg).unwrap();
                    assert!((1e3 * error_s.abs() - expected.ms()).abs() < 1e-9, "{error_s}");
                    assert!(error_s * offset_deg >= 0.0);
                }
            }
        }
    }
}
