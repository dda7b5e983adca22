use quantities::{Amplitude, BeatFrequency, LiftAngle, Measured, OutOfRange};
use std::f64::consts::PI;

/// Largest amplitude that the conversion takes, degrees.
///
/// A lever balance knocks on the back of the fork from about 330 degrees (horopedia.org, "knock")
/// and cannot reach a full turn; the rest leaves room for the scatter of single beats, which would
/// pull the mean down if it were cut off at the physical limit.
pub const MOST_AMPLITUDE_DEG: f64 = 400.0;

/// Least amplitude that the conversion takes, as a share of the lift angle.
///
/// The balance must pass half the lift angle on either side of rest to unlock at all. Right at
/// one half the time from unlocking to drop no longer depends on the amplitude (the derivative
/// vanishes), so an uncertainty carried through it would be a lie; a twentieth above, it does.
const LEAST_SHARE_OF_LIFT: f64 = 0.55;

/// Amplitude in degrees, from the lift angle and the time from unlocking to drop.
///
/// The balance swings as `A sin(2 pi f t)` and turns through the lift angle while it passes rest,
/// from half a lift angle before to half a lift angle after:
///
/// ```text
/// A = lift / (2 sin(pi f dt)),   f = beats per hour / 7200
/// ```
///
/// The principle (lift angle over the time between the first and the third noise of a beat) is
/// common to the trade's handbooks; the order of the noises is that of bib:horlogerie-suisse-chocs.
/// Friction and the impulse itself bend the swing a little within the lift; the formula, like
/// the trade, leaves that out.
///
/// # Errors
/// Where the time is not a number, or stands for an amplitude over [`MOST_AMPLITUDE_DEG`] or
/// hardly over half the lift angle.
///
/// # Examples
/// ```
/// use quantities::{BeatFrequency, LiftAngle};
/// let beat = BeatFrequency::from_per_hour(28_800.0)?;
/// let deg = horology::amplitude_deg_from_time(LiftAngle::from_deg(52.0)?, beat, 7.675e-3)?;
/// assert!((deg - 270.0).abs() < 0.05);
/// # Ok::<(), quantities::OutOfRange>(())
/// ```
pub fn amplitude_deg_from_time(
    lift: LiftAngle,
    beat: BeatFrequency,
    unlocking_to_drop_s: f64,
) -> Result<f64, OutOfRange> {
    let least_s = crossing_s(lift, beat, MOST_AMPLITUDE_DEG);
    let most_s = crossing_s(lift, beat, LEAST_SHARE_OF_LIFT * lift.deg());
    if unlocking_to_drop_s >= least_s && unlocking_to_drop_s <= most_s {
        Ok(lift.deg() / (2.0 * (PI * beat.oscillation_hz() * unlocking_to_drop_s).sin()))
    } else {
        Err(OutOfRange {
            quantity: "time from unlocking to drop",
            unit: "ms",
            given: thousandths(1e3 * unlocking_to_drop_s),
            least: thousandths(1e3 * least_s),
            most: thousandths(1e3 * most_s),
        })
    }
}

/// Amplitude with its standard uncertainty, degrees, from a measured time in seconds and its
/// standard deviation, to first order (GUM, bib:jcgm100 clause 5.1.2).
///
/// The lift angle counts as exact: an error in it is common to every reading of the watch and
/// scales them all alike.
///
/// # Errors
/// As [`amplitude_deg_from_time`].
pub fn amplitude_deg_from_measured_time(
    lift: LiftAngle,
    beat: BeatFrequency,
    unlocking_to_drop_s: Measured,
) -> Result<Measured, OutOfRange> {
    let deg = amplitude_deg_from_time(lift, beat, unlocking_to_drop_s.value)?;
    let slope = amplitude_sensitivity_deg_per_s(lift, beat, unlocking_to_drop_s.value)?;
    Ok(Measured::new(deg, slope * unlocking_to_drop_s.sd))
}

/// How fast the amplitude falls as the time from unlocking to drop grows, degrees per second of
/// that time; always negative.
///
/// The derivative of the formula of [`amplitude_deg_from_time`]: `-A pi f / tan(pi f dt)`.
///
/// # Errors
/// As [`amplitude_deg_from_time`].
pub fn amplitude_sensitivity_deg_per_s(
    lift: LiftAngle,
    beat: BeatFrequency,
    unlocking_to_drop_s: f64,
) -> Result<f64, OutOfRange> {
    let deg = amplitude_deg_from_time(lift, beat, unlocking_to_drop_s)?;
    let angular = PI * beat.oscillation_hz();
    Ok(-deg * angular / (angular * unlocking_to_drop_s).tan())
}

/// Time from unlocking to drop, seconds, of a balance with this amplitude: the formula of
/// [`amplitude_deg_from_time`] turned round.
///
/// # Errors
/// Where the amplitude is not a number, over [`MOST_AMPLITUDE_DEG`], or hardly over half the lift
/// angle.
pub fn time_s_from_amplitude(
    lift: LiftAngle,
    beat: BeatFrequency,
    amplitude: Amplitude,
) -> Result<f64, OutOfRange> {
    let least_deg = LEAST_SHARE_OF_LIFT * lift.deg();
    let deg = amplitude.deg();
    if deg >= least_deg && deg <= MOST_AMPLITUDE_DEG {
        Ok(crossing_s(lift, beat, deg))
    } else {
        Err(OutOfRange {
            quantity: "amplitude",
            unit: "degrees",
            given: deg,
            least: thousandths(least_deg),
            most: MOST_AMPLITUDE_DEG,
        })
    }
}

/// Time in which the balance crosses the lift angle around rest, seconds.
fn crossing_s(lift: LiftAngle, beat: BeatFrequency, amplitude_deg: f64) -> f64 {
    (lift.deg() / (2.0 * amplitude_deg)).asin() / (PI * beat.oscillation_hz())
}

/// Rounded for a message that a person reads.
fn thousandths(value: f64) -> f64 {
    (value * 1e3).round() / 1e3
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lift(deg: f64) -> LiftAngle {
        LiftAngle::from_deg(deg).unwrap()
    }

    fn beat(per_hour: f64) -> BeatFrequency {
        BeatFrequency::from_per_hour(per_hour).unwrap()
    }

    /// Time from unlocking to drop in ms for a lift angle of 52 degrees. Computed with Python's
    /// math module from `dt = T/pi asin(lift / 2A)`, outside this project; no published table.
    const AMPLITUDES_DEG: [f64; 5] = [180.0, 220.0, 270.0, 300.0, 315.0];
    const TABLE_MS: [(f64, [f64; 5]); 5] = [
        (14_400.0, [23.070, 18.853, 15.350, 13.811, 13.152]),
        (18_000.0, [18.456, 15.083, 12.280, 11.049, 10.521]),
        (21_600.0, [15.380, 12.569, 10.233, 9.207, 8.768]),
        (28_800.0, [11.535, 9.427, 7.675, 6.905, 6.576]),
        (36_000.0, [9.228, 7.541, 6.140, 5.524, 5.261]),
    ];

    #[test]
    fn table_of_times() {
        for (per_hour, times_ms) in TABLE_MS {
            for (deg, ms) in AMPLITUDES_DEG.into_iter().zip(times_ms) {
                let dt =
                    time_s_from_amplitude(lift(52.0), beat(per_hour), Amplitude::from_deg(deg))
                        .unwrap();
                // The table is printed to 0.001 ms, so half of that is its own rounding.
                assert!((1e3 * dt - ms).abs() <= 0.000_51, "{per_hour} {deg}: {dt}");
            }
        }
    }

    #[test]
    fn table_of_amplitudes() {
        for (per_hour, times_ms) in TABLE_MS {
            for (deg, ms) in AMPLITUDES_DEG.into_iter().zip(times_ms) {
                let got = amplitude_deg_from_time(lift(52.0), beat(per_hour), ms / 1e3).unwrap();
                // 0.0005 ms of rounding is at most 0.03 degrees (36,000 beats an hour, 315
                // degrees: 315 degrees x 0.0005 / 5.261).
                assert!((got - deg).abs() < 0.031, "{per_hour} {ms}: {got}");
            }
        }
    }

    /// bib:horlogerie-suisse-chocs: the functions of the escapement last about 10 ms at 270
    /// degrees. At 21,600 and 52 degrees that is so; "about" is read as 5 per cent.
    #[test]
    fn about_ten_ms_at_270_degrees() {
        let dt = time_s_from_amplitude(lift(52.0), beat(21_600.0), Amplitude::from_deg(270.0));
        assert!((1e3 * dt.unwrap() - 10.0).abs() < 0.5);
    }

    /// An amplitude is proportional to the lift angle it is computed with: 12.28 ms at 18,000 is
    /// 270 degrees with 52 and 259.6 with 50 (270 x 50 / 52 = 259.615).
    #[test]
    fn proportional_to_the_lift_angle() {
        let of = |deg| amplitude_deg_from_time(lift(deg), beat(18_000.0), 12.28e-3).unwrap();
        assert!((of(52.0) - 270.0).abs() < 0.05);
        assert!((of(50.0) - 259.6).abs() < 0.05);
        assert!((of(50.0) / of(52.0) - 50.0 / 52.0).abs() < 1e-12);
    }

    /// The swing itself, sampled finely, without the formula: a sine of 251 degrees at 21,600
    /// beats per hour is between -25 and +25 degrees for as long as the formula says.
    #[test]
    fn agrees_with_a_sampled_swing() {
        let (deg, f, step_s) = (251.0, 3.0, 1e-8);
        let mut inside = 0_u32;
        for i in -1_000_000..1_000_000 {
            let angle = deg * (2.0 * PI * f * f64::from(i) * step_s).sin();
            inside += u32::from(angle.abs() <= 25.0);
        }
        let dt = f64::from(inside) * step_s;
        let got = amplitude_deg_from_time(lift(50.0), beat(21_600.0), dt).unwrap();
        // Two steps of 10 ns at the ends are 0.0005 degrees at 251 degrees in 10.6 ms.
        assert!((got - deg).abs() < 0.000_6, "{got}");
    }

    #[test]
    fn sensitivity_is_the_slope_of_the_formula() {
        for (per_hour, times_ms) in TABLE_MS {
            for ms in times_ms {
                let (dt, h) = (ms / 1e3, 1e-7);
                let at = |t| amplitude_deg_from_time(lift(52.0), beat(per_hour), t).unwrap();
                let central = (at(dt + h) - at(dt - h)) / (2.0 * h);
                let got = amplitude_sensitivity_deg_per_s(lift(52.0), beat(per_hour), dt).unwrap();
                // Central difference: relative error of order (h / dt)^2, under 1e-9.
                assert!((got / central - 1.0).abs() < 1e-7, "{per_hour} {ms}");
            }
        }
    }

    /// For small angles `A` goes as `1/dt`, so a relative error of the time is that of the
    /// amplitude: 0.1 ms in 7.675 ms at 270 degrees is about 3.5 degrees.
    #[test]
    fn uncertainty_of_a_measured_time() {
        let got = amplitude_deg_from_measured_time(
            lift(52.0),
            beat(28_800.0),
            Measured::new(7.675e-3, 0.1e-3),
        )
        .unwrap();
        assert!((got.value - 270.0).abs() < 0.05);
        // 1/dt overstates the slope by x/tan x with x = 0.0965: 0.3 per cent.
        assert!((got.sd - 270.0 * 0.1 / 7.675).abs() < 0.004 * 3.518, "{got:?}");
    }

    #[test]
    fn refuses_times_that_are_no_amplitude() {
        // Python: 250 ms / pi x asin(26/400) = 5.1762 ms, 250 ms / pi x asin(1/1.1) = 90.8056 ms.
        let of = |s| amplitude_deg_from_time(lift(52.0), beat(28_800.0), s);
        for bad in [0.0, -1e-3, 5.17e-3, 0.1, 0.125, 1.0, f64::NAN, f64::INFINITY] {
            assert!(of(bad).is_err(), "{bad}");
        }
        assert!(of(5.18e-3).is_ok());
        let sentence = of(0.0).unwrap_err().to_string();
        assert_eq!(
            sentence,
            "time from unlocking to drop must lie between 5.176 and 90.806 ms, not 0"
        );
    }

    #[test]
    fn refuses_amplitudes_that_cannot_unlock() {
        let of = |deg| {
            time_s_from_amplitude(lift(52.0), beat(28_800.0), Amplitude::from_deg(deg)).is_err()
        };
        assert!(of(26.0) && of(0.0) && of(-270.0) && of(401.0) && of(f64::NAN));
        assert!(!of(28.7) && !of(400.0));
    }
}
