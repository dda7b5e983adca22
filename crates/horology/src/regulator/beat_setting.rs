use super::error::{RegulatorError, finite};
use crate::rest_offset_deg_from_beat_error;
use quantities::{Amplitude, BeatError, BeatFrequency, Measured};

/// A turn of the stud (or its carrier) and the beat error before and after it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StudMove {
    /// How far the stud was turned, degrees, clockwise positive as seen from the side that one
    /// works from. Where the collet is turned on the staff instead, give the turn the other sign.
    pub turned_deg: f64,
    /// Beat error before, ms, half the difference.
    pub before_ms: Measured,
    /// Beat error after, ms.
    pub after_ms: Measured,
}

/// How to turn the stud for no beat error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum StudTurn {
    /// So far and this way: degrees, clockwise positive.
    Known {
        /// Signed.
        deg: Measured,
    },
    /// So far, either way: the sound of a beat error does not say on which side rest lies. Turn it
    /// one way; where the beat error grows, turn it back twice as far.
    EitherWay {
        /// Never negative.
        deg: Measured,
    },
}

/// How many times likelier one way must be than the other before it is named.
const LIKELIER: f64 = 20.0;

/// How far, and where known which way, to turn the stud, from the beat error now and the turns made
/// so far.
///
/// Rest lies off by `A sin(pi e / T)` ([`rest_offset_deg_from_beat_error`]) on one side or the
/// other, and a turn of the stud moves it by as much. Each turn with its beat errors speaks for one
/// of the sides.
///
/// # Errors
/// [`RegulatorError::NotANumber`]; [`RegulatorError::BeatError`] for one of a whole beat or more.
pub fn turn_of_stud(
    beat: BeatFrequency,
    amplitude: Amplitude,
    now_ms: Measured,
    moves: &[StudMove],
) -> Result<StudTurn, RegulatorError> {
    let offset = |ms: Measured| -> Result<Measured, RegulatorError> {
        finite("beat error's uncertainty", ms.sd)?;
        let at = |ms| rest_offset_deg_from_beat_error(beat, amplitude, BeatError::from_ms(ms));
        let deg = at(ms.value)?;
        // The sine is straight over an uncertainty: a beat error is a small part of a beat.
        let slope = at(0.01 * beat.beat_s())? / (0.01 * beat.beat_s());
        Ok(Measured::new(deg, slope * ms.sd))
    };
    let now = offset(now_ms)?;
    // For each side on which rest may lie now, follow the turns back and compare sizes.
    let mut ln_likelihood = [0.0; 2];
    for (ln, side) in ln_likelihood.iter_mut().zip([1.0, -1.0]) {
        let mut lies_deg = side * now.value;
        for (place, done) in moves.iter().enumerate().rev() {
            let mut before = offset(done.before_ms)?;
            // After the turn before this one it was read too, often in the very same reading.
            if let Some(earlier) = place.checked_sub(1).and_then(|place| moves.get(place)) {
                let after = offset(earlier.after_ms)?;
                let mean = 0.5 * (before.value + after.value);
                before = Measured::new(mean, before.sd.max(after.sd));
            }
            lies_deg -= finite("turn", done.turned_deg)?;
            let by_hand = HAND_SHARE * done.turned_deg;
            let sd = before.sd.hypot(now.sd).hypot(by_hand).max(LEAST_SD_DEG);
            *ln -= 0.5 * ((lies_deg.abs() - before.value) / sd).powi(2);
        }
    }
    let [clockwise, anticlockwise] = ln_likelihood;
    let certain = (clockwise - anticlockwise).abs() > LIKELIER.ln();
    Ok(if certain {
        let side = if clockwise > anticlockwise { 1.0 } else { -1.0 };
        StudTurn::Known { deg: now.scaled(-side) }
    } else {
        StudTurn::EitherWay { deg: now }
    })
}

/// How well a hand turns the stud as far as it means (common practice, no published source).
const HAND_SHARE: f64 = 0.2;

/// Turns are not made better than this, degrees.
const LEAST_SD_DEG: f64 = 0.05;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::beat_error_from_rest_offset;
    use proptest::prelude::*;

    fn beat() -> BeatFrequency {
        BeatFrequency::from_per_hour(28_800.0).unwrap()
    }

    const AMPLITUDE_DEG: f64 = 270.0;

    /// Beat error of a rest position, as the formula that knows the offset has it.
    fn ms(lies_deg: f64) -> Measured {
        let amplitude = Amplitude::from_deg(AMPLITUDE_DEG);
        let error = beat_error_from_rest_offset(beat(), amplitude, lies_deg).unwrap();
        Measured::new(error.ms(), 0.02)
    }

    fn turn(now: Measured, moves: &[StudMove]) -> StudTurn {
        turn_of_stud(beat(), Amplitude::from_deg(AMPLITUDE_DEG), now, moves).unwrap()
    }

    /// One degree at 270 and 28,800 is 0.295 ms (by arithmetic, see `beat_error.rs`).
    #[test]
    fn the_sound_does_not_say_which_way() {
        let StudTurn::EitherWay { deg } = turn(Measured::new(0.295, 0.0295), &[]) else {
            panic!("a way without a turn")
        };
        assert!((deg.value - 1.0).abs() < 0.002 && (deg.sd - 0.1).abs() < 0.001, "{deg:?}");
    }

    #[test]
    fn a_turn_too_small_says_nothing() {
        let done = StudMove { turned_deg: 0.02, before_ms: ms(2.0), after_ms: ms(2.02) };
        assert!(matches!(turn(ms(2.02), &[done]), StudTurn::EitherWay { .. }));
        assert!(
            turn_of_stud(beat(), Amplitude::from_deg(270.0), Measured::new(130.0, 0.1), &[])
                .is_err()
        );
    }

    /// Two turns, the second too small to tell by itself; the first has told.
    #[test]
    fn earlier_turns_are_remembered() {
        let first = StudMove { turned_deg: 1.0, before_ms: ms(-3.0), after_ms: ms(-2.0) };
        let second = StudMove { turned_deg: 0.1, before_ms: ms(-2.0), after_ms: ms(-1.9) };
        let StudTurn::Known { deg } = turn(ms(-1.9), &[first, second]) else {
            panic!("no way after two turns")
        };
        assert!((deg.value - 1.9).abs() < 1e-6, "{deg:?}");
    }

    proptest! {
        /// After one turn of half a degree or more, on a beat error that is to be heard, the way is
        /// known and right, whether the turn helped, went too far, or made it worse.
        #[test]
        fn one_turn_tells_the_way(
            lies in prop_oneof![-6.0..-1.0_f64, 1.0..6.0_f64],
            turned in prop_oneof![-4.0..-0.5_f64, 0.5..4.0_f64],
        ) {
            let after = lies + turned;
            // Rest then lies where the other side would have been told by the same sizes.
            prop_assume!(after.abs() > 0.5 && (after - turned).abs() > 0.5);
            let done = StudMove { turned_deg: turned, before_ms: ms(lies), after_ms: ms(after) };
            if let StudTurn::Known { deg } = turn(ms(after), &[done]) {
                prop_assert!((deg.value + after).abs() < 1e-6, "{deg:?} {after}");
            } else {
                // Allowed only where both sides predict much the same beat error before.
                let (one, other) = ((after - turned).abs(), (-after - turned).abs());
                prop_assert!((one - other).abs() < 3.0 * (0.2 * turned).abs().max(0.15));
            }
        }
    }
}
