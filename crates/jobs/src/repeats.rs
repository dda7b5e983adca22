use crate::fields::Fields;
use crate::invalid::Invalid;
use crate::text::{self, limit};
use crate::wordlist::wordlist;
use quantities::Measured;

wordlist! {
    /// In what something repeats.
    pub enum RepeatsIn {
        /// In the times of the beats.
        Timing = "timing", "timing";
        /// In the amplitude.
        Amplitude = "amplitude", "amplitude";
    }
}

/// What was looked for in a series of a balance, and what was found: from this the wheels that disturb
/// are named, by whatever is known of the movement by then.
#[derive(Debug, Clone, PartialEq)]
pub struct Repeats {
    /// In what.
    pub of: RepeatsIn,
    /// Mean time of a beat, seconds of the recorder's clock.
    pub beat_s: f64,
    /// Shortest period that would have been found, seconds of the recorder's clock.
    pub shortest_period_s: f64,
    /// Longest period that would have been found.
    pub longest_period_s: f64,
    /// Whether each beat was a value by itself.
    pub each_beat: bool,
    /// Half of peak to peak below which a wave does not stand out, milliseconds or degrees.
    pub least_seen: f64,
    /// What stands out.
    pub waves: Vec<RepeatingWave>,
}

/// A wave that stands out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RepeatingWave {
    /// Its period, seconds of the recorder's clock.
    pub period_s: Measured,
    /// Half of peak to peak, milliseconds or degrees.
    pub half_swing: f64,
    /// Probability that noise alone makes such a wave anywhere in the series, 0 to 1.
    pub chance: f64,
}

impl Repeats {
    pub(crate) fn numbers(&self) -> impl Iterator<Item = f64> {
        let own = [self.beat_s, self.shortest_period_s, self.longest_period_s, self.least_seen];
        let waves = self.waves.iter();
        let waves = waves.flat_map(|w| [w.period_s.value, w.period_s.sd, w.half_swing, w.chance]);
        own.into_iter().chain(waves)
    }

    pub(crate) fn check(&self) -> Result<(), Invalid> {
        text::few_enough("waves", &self.waves, limit::ENTRIES)
    }

    /// `name` says of what balance, and which series of it.
    pub(crate) fn put(&self, name: &str, fields: &mut Fields) {
        let Self { of, beat_s, shortest_period_s, longest_period_s, each_beat, least_seen, waves } =
            self;
        fields.put(format!("{name}, in"), of.words());
        fields.number(&format!("{name}, beat in s"), Some(*beat_s));
        fields.number(&format!("{name}, shortest period in s"), Some(*shortest_period_s));
        fields.number(&format!("{name}, longest period in s"), Some(*longest_period_s));
        fields.put(format!("{name}, each beat by itself"), each_beat);
        fields.number(&format!("{name}, least that is seen"), Some(*least_seen));
        for (n, wave) in (1..).zip(waves) {
            let RepeatingWave { period_s, half_swing, chance } = *wave;
            fields.number(&format!("{name}, period {n} in s"), Some(period_s.value));
            let uncertainty = format!("{name}, uncertainty of period {n} in s");
            fields.number(&uncertainty, Some(period_s.sd));
            fields.number(&format!("{name}, half of peak to peak {n}"), Some(half_swing));
            fields.number(&format!("{name}, chance {n}"), Some(chance));
        }
    }
}
