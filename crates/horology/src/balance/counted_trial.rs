use super::error::{BalanceError, finite, positive};
use quantities::{BeatFrequency, Measured, Rate};

/// A hairspring hung on the balance that it is meant for and held at a trial length, its beats
/// counted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CountedTrial {
    /// Length from the collet to where the tweezers hold it, mm.
    pub trial_length_mm: Measured,
    /// Beats counted: single swings, not there and back.
    pub beats: f64,
    /// Time in which they were counted, s, from one passing to the last.
    pub time_s: Measured,
}

/// What a counted trial says of the length for a wished beat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpringLength {
    /// Beats per hour at the trial length.
    pub trial_beats_per_hour: Measured,
    /// Active length for the wished beat, mm.
    pub active_length_mm: Measured,
    /// How much further out (positive) or in (negative) than the trial to hold it, mm.
    pub move_mm: Measured,
    /// Uncertainty of the rate from counting alone, s/d: what the index must be able to take up.
    pub rate_sd: Rate,
}

impl CountedTrial {
    /// Active length for a wished beat: stiffness goes as one over the length and the beat as the
    /// root of the stiffness, so `L = L_trial (trial / wished)^2` (from the laws at
    /// [`super::Knowns::complete`]; counting a trial length is common practice).
    ///
    /// `length_there_mm` is how much of the spring there is, where that is known: a spring that
    /// would have to be longer is refused.
    ///
    /// Uncertainties to first order, length and time independent. Holding the spring a millimetre
    /// off is an error of its own, which `trial_length_mm` should carry.
    ///
    /// # Errors
    /// [`BalanceError::NotPositive`], [`BalanceError::SpringTooShort`].
    pub fn length_for(
        &self,
        wished: BeatFrequency,
        length_there_mm: Option<f64>,
    ) -> Result<SpringLength, BalanceError> {
        let length = positive("the trial length", self.trial_length_mm.value)?;
        let beats = positive("the count of beats", self.beats)?;
        let time = positive("the time of counting", self.time_s.value)?;
        finite("an uncertainty", self.trial_length_mm.sd + self.time_s.sd)?;
        let per_hour = 3_600.0 * beats / time;
        let time_share = self.time_s.sd / time;
        let ratio = (per_hour / wished.per_hour()).powi(2);
        let length_share = self.trial_length_mm.sd / length;
        let wanted = length * ratio;
        if let Some(have_mm) = length_there_mm
            && wanted > have_mm
        {
            return Err(BalanceError::SpringTooShort { wanted_mm: wanted, have_mm });
        }
        // Of the move, the length's own error enters only where the two lengths differ.
        let move_sd = (wanted * 2.0 * time_share).hypot((ratio - 1.0) * self.trial_length_mm.sd);
        Ok(SpringLength {
            trial_beats_per_hour: Measured::new(per_hour, per_hour * time_share),
            active_length_mm: Measured::new(wanted, wanted * length_share.hypot(2.0 * time_share)),
            move_mm: Measured::new(wanted - length, move_sd),
            rate_sd: Rate::from_fraction(time_share),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn trial(length_mm: f64, beats: f64, time_s: f64) -> CountedTrial {
        CountedTrial {
            trial_length_mm: Measured::new(length_mm, 0.5),
            beats,
            time_s: Measured::new(time_s, 0.1),
        }
    }

    fn beat(per_hour: f64) -> BeatFrequency {
        BeatFrequency::from_per_hour(per_hour).unwrap()
    }

    /// By hand: 303 beats in a minute for a wished 300 (18,000 an hour) is 2 % too much stiffness:
    /// 100 mm become 102.01.
    #[test]
    fn three_beats_too_many_in_a_minute() {
        let got = trial(100.0, 303.0, 60.0).length_for(beat(18_000.0), None).unwrap();
        assert!((got.trial_beats_per_hour.value - 18_180.0).abs() < 1e-9);
        assert!((got.active_length_mm.value - 102.01).abs() < 1e-9);
        assert!((got.move_mm.value - 2.01).abs() < 1e-9);
        // A tenth of a second in sixty is 144 s/d, and twice its share of the length.
        assert!((got.rate_sd.s_per_d() - 144.0).abs() < 1e-9);
        assert!((got.move_mm.sd - 0.34_f64.hypot(0.0201 * 0.5)).abs() < 0.000_1, "{got:?}");
    }

    #[test]
    fn says_when_the_spring_is_too_short() {
        let refused = trial(100.0, 330.0, 60.0).length_for(beat(18_000.0), Some(110.0));
        assert_eq!(
            refused.unwrap_err().to_string(),
            "the beat wants an active length of 121.00 mm, but only 110.00 mm of this spring are \
             there; a stiffer spring is longer for the same beat"
        );
        assert!(trial(100.0, 0.0, 60.0).length_for(beat(18_000.0), None).is_err());
    }

    proptest! {
        /// Held at the length found, the spring beats as wished: by the law of the period.
        #[test]
        fn at_the_length_found_the_beat_is_the_wished(
            length in 30.0..300.0_f64,
            count in 100.0..1_000.0_f64,
            wished in 12_000.0..36_000.0_f64,
        ) {
            let first = trial(length, count, 60.0);
            let found = first.length_for(beat(wished), None).unwrap();
            let stiffness_ratio = length / found.active_length_mm.value;
            let beats = count * stiffness_ratio.sqrt();
            prop_assert!((beats * 60.0 / wished - 1.0).abs() < 1e-12);
        }
    }
}
