use quantities::{Amplitude, BeatError, BeatFrequency, Measured, OutOfRange};
use std::f64::consts::PI;

/// Beat error with its standard uncertainty, ms, from the means of the two kinds of beat interval
/// in ms: half their difference, never negative.
///
/// The two means count as independent. Where they come from one fit, whose two lines share a
/// slope, take the uncertainty from that fit.
#[must_use]
pub fn beat_error_ms_from_intervals(one_ms: Measured, other_ms: Measured) -> Measured {
    let half = one_ms.minus(other_ms).scaled(0.5);
    Measured::new(half.value.abs(), half.sd)
}

/// Beat error of a balance whose rest position lies `offset_deg` away from the middle of the
/// escapement's action.
///
/// The escapement then acts at `+offset` of a sine, once on the way there and once on the way
/// back: the intervals are `T/2 +- (T/pi) asin(offset/A)`, so half of their difference is
/// `(T/pi) asin(offset/A)` with `T` the time of a whole oscillation. Derived from simple harmonic
/// motion; the sign of the offset does not matter.
///
/// # Errors
/// Where the offset is not a number or not smaller than the amplitude.
pub fn beat_error_from_rest_offset(
    beat: BeatFrequency,
    amplitude: Amplitude,
    offset_deg: f64,
) -> Result<BeatError, OutOfRange> {
    let share = (offset_deg / amplitude.deg()).abs();
    if share < 1.0 {
        Ok(BeatError::from_ms(1e3 * beat.oscillation_s() / PI * share.asin()))
    } else {
        Err(OutOfRange {
            quantity: "offset of the rest position",
            unit: "degrees (the amplitude)",
            given: offset_deg,
            least: -amplitude.deg(),
            most: amplitude.deg(),
        })
    }
}

/// How far the rest position is off, degrees, for a beat error at an amplitude: the formula of
/// [`beat_error_from_rest_offset`] turned round, `A sin(pi e / T)`. Never negative.
///
/// # Errors
/// Where the beat error is not a number, or a whole beat or more (then the two beats fall together).
pub fn rest_offset_deg_from_beat_error(
    beat: BeatFrequency,
    amplitude: Amplitude,
    beat_error: BeatError,
) -> Result<f64, OutOfRange> {
    let most_ms = 1e3 * beat.beat_s();
    let ms = beat_error.ms().abs();
    if ms < most_ms {
        Ok(amplitude.deg().abs() * (PI * ms / (1e3 * beat.oscillation_s())).sin())
    } else {
        Err(OutOfRange {
            quantity: "beat error",
            unit: "ms",
            given: beat_error.ms(),
            least: -most_ms,
            most: most_ms,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn beat(per_hour: f64) -> BeatFrequency {
        BeatFrequency::from_per_hour(per_hour).unwrap()
    }

    /// One degree off at 270 degrees, half the difference in ms. Computed with Python's math
    /// module from `(T/pi) asin(1/270)`, outside this project; no published table.
    const ONE_DEGREE_AT_270: [(f64, f64); 3] =
        [(18_000.0, 0.472), (21_600.0, 0.393), (28_800.0, 0.295)];

    #[test]
    fn beat_error_of_one_degree() {
        for (per_hour, ms) in ONE_DEGREE_AT_270 {
            for offset in [1.0, -1.0] {
                let e =
                    beat_error_from_rest_offset(beat(per_hour), Amplitude::from_deg(270.0), offset)
                        .unwrap();
                // Printed to 0.001 ms.
                assert!((e.ms() - ms).abs() <= 0.000_51, "{per_hour}: {e:?}");
                // The other convention quotes twice that.
                assert!((e.full_difference_ms() - 2.0 * ms).abs() <= 0.001_1);
            }
        }
    }

    #[test]
    fn offset_of_a_beat_error() {
        for (per_hour, ms) in ONE_DEGREE_AT_270 {
            let deg = rest_offset_deg_from_beat_error(
                beat(per_hour),
                Amplitude::from_deg(270.0),
                BeatError::from_ms(ms),
            )
            .unwrap();
            // 0.0005 ms of rounding in 0.295 ms is 0.17 per cent.
            assert!((deg - 1.0).abs() < 0.001_8, "{per_hour}: {deg}");
        }
    }

    /// The swing itself: where a sine of 180 degrees passes +12 degrees, found by bisection, gives
    /// the two intervals, and half their difference is what the formula says.
    #[test]
    fn agrees_with_crossings_of_a_swing() {
        let (f, amplitude, offset) = (2.5, 180.0, 12.0);
        let crossing = |mut low: f64, mut high: f64| {
            let side = |t: f64| amplitude * (2.0 * PI * f * t).sin() > offset;
            let rising = side(high);
            for _ in 0..60 {
                let middle = f64::midpoint(low, high);
                if side(middle) == rising { high = middle } else { low = middle }
            }
            low
        };
        // Quarter points of the oscillation of 0.4 s bracket one crossing each.
        let (up, down, next) = (crossing(-0.1, 0.1), crossing(0.1, 0.3), crossing(0.3, 0.5));
        let from_intervals = BeatError::from_intervals_ms(1e3 * (down - up), 1e3 * (next - down));
        let from_formula =
            beat_error_from_rest_offset(beat(18_000.0), Amplitude::from_deg(amplitude), offset);
        // Bisection to 1e-16 s: the difference is rounding.
        assert!((from_intervals.ms() - from_formula.unwrap().ms()).abs() < 1e-9);
    }

    /// GUM (bib:jcgm100) clause 5.1.2: deviations of 0.03 and 0.04 give 0.05 for the
    /// difference, half of it 0.025.
    #[test]
    fn half_difference_carries_its_uncertainty() {
        let (one, other) = (Measured::new(124.6, 0.03), Measured::new(125.4, 0.04));
        for got in
            [beat_error_ms_from_intervals(one, other), beat_error_ms_from_intervals(other, one)]
        {
            assert!((got.value - 0.4).abs() < 1e-9, "{got:?}");
            assert!((got.sd - 0.025).abs() < 1e-12, "{got:?}");
        }
    }

    #[test]
    fn refuses_offsets_beyond_the_swing() {
        let of = |amplitude, offset| {
            beat_error_from_rest_offset(beat(18_000.0), Amplitude::from_deg(amplitude), offset)
                .is_err()
        };
        assert!(of(180.0, 180.0) && of(180.0, -200.0) && of(180.0, f64::NAN) && of(0.0, 0.0));
        assert!(!of(180.0, 179.0) && !of(180.0, 0.0));
        let back = |ms| {
            rest_offset_deg_from_beat_error(
                beat(18_000.0),
                Amplitude::from_deg(270.0),
                BeatError::from_ms(ms),
            )
            .is_err()
        };
        assert!(back(200.0) && back(f64::NAN) && !back(199.0));
    }
}
