use quantities::{ClockError, Measured, OutOfRange, RecorderClock};
use std::fmt;

/// What a recording of a reference says of the recorder's clock.
#[derive(Debug, Clone, PartialEq)]
pub struct ClockReading {
    /// Error of the recorder's clock, ppm, one standard deviation with the reference's own in it.
    pub error_ppm: Measured,
    /// The same as if the reference were right; its deviation comes from the residuals alone.
    pub apparent_ppm: Measured,
    /// Steps whose times carry the result.
    pub steps_used: u64,
    /// Steps that there should be between the first and the last one found.
    pub steps_expected: u64,
    /// From the first step to the last, recorder's seconds.
    pub span_s: f64,
    /// How much a single step comes early or late, one standard deviation, seconds.
    pub step_sd_s: f64,
    /// What the fitted line leaves of each step, in order of time; for long recordings evenly
    /// thinned to at most [`MOST_POINTS`].
    pub course: Vec<StepPoint>,
    /// What the user should know.
    pub warnings: Vec<ClockWarning>,
}

/// Most points of a course.
pub const MOST_POINTS: usize = 20_000;

/// One step of the course.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StepPoint {
    /// When it came, recorder's seconds from the first sample.
    pub at_s: f64,
    /// How much later than the fitted line has it, seconds; the constant difference between even
    /// and odd steps is taken off.
    pub residual_s: f64,
    /// Its say in the fit, 0 to 1; far outliers have none.
    pub say: f64,
    /// Whether it is of the second of the two alternating kinds.
    pub odd: bool,
}

impl ClockReading {
    /// The result in the form in which a reading of a watch takes it.
    ///
    /// # Errors
    /// An error too large for any clock, which marks with the wrong times can give.
    pub fn recorder_clock(&self) -> Result<RecorderClock, OutOfRange> {
        recorder_clock(self.error_ppm)
    }
}

pub(super) fn recorder_clock(error_ppm: Measured) -> Result<RecorderClock, OutOfRange> {
    Ok(RecorderClock::calibrated(ClockError::from_ppm(error_ppm.value)?, error_ppm.sd))
}

/// Something the user should know about the reading of a clock: a stable code and a sentence.
#[derive(Debug, Clone, PartialEq)]
pub enum ClockWarning {
    /// Not long enough for [`GOOD_SD_PPM`].
    TooShort {
        /// What is enough, seconds.
        needed_s: f64,
    },
    /// Nobody has said how good the reference is.
    ReferenceUncertain {
        /// What was taken as its standard deviation, ppm.
        sd_ppm: f64,
    },
    /// The period is one that a watch's beats can have, and sound alone cannot tell them apart.
    CouldBeWatch {
        /// Beats per hour of such a watch.
        beats_per_hour: u32,
    },
    /// Many steps were not found.
    StepsMissing {
        /// Steps used.
        used: u64,
        /// Steps expected.
        expected: u64,
    },
    /// Even and odd steps come at quite unequal intervals.
    UnevenAlternation {
        /// How much every second step is late, seconds.
        by_s: f64,
    },
    /// The clock changed while it was measured.
    ClockDrifted {
        /// Error at the end less error at the beginning, ppm.
        change_ppm: f64,
    },
    /// The times of the steps jump: samples are missing or were put in.
    Jump {
        /// Where, recorder's seconds from the first sample.
        at_s: f64,
        /// By how much the steps come late after it, seconds.
        by_s: f64,
    },
    /// The reference was lost and found again; stretches are fitted with one error but no common
    /// count.
    Interrupted {
        /// Number of stretches.
        stretches: usize,
    },
    /// An error beyond what crystals of recorders have.
    Implausible {
        /// The error, ppm.
        error_ppm: f64,
    },
}

/// The deviation, ppm, up to which no longer recording is asked for: 0.026 s/d.
pub const GOOD_SD_PPM: f64 = 0.3;

/// Crystals of recorders are sold to ±100 ppm at worst (common practice, no published source);
/// three times that is no crystal.
pub(super) const IMPLAUSIBLE_PPM: f64 = 300.0;

impl ClockWarning {
    /// Stable name, for programs.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::TooShort { .. } => "clock_too_short",
            Self::ReferenceUncertain { .. } => "reference_uncertain",
            Self::CouldBeWatch { .. } => "reference_could_be_watch",
            Self::StepsMissing { .. } => "reference_steps_missing",
            Self::UnevenAlternation { .. } => "reference_uneven",
            Self::ClockDrifted { .. } => "clock_drifted",
            Self::Jump { .. } => "samples_lost",
            Self::Interrupted { .. } => "reference_interrupted",
            Self::Implausible { .. } => "clock_implausible",
        }
    }
}

impl fmt::Display for ClockWarning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Self::TooShort { needed_s } => write!(
                f,
                "The recording is short: {} would give 0.3 ppm with this sound.",
                length(needed_s)
            ),
            Self::ReferenceUncertain { sd_ppm } => write!(
                f,
                "Nobody has said how good the reference is, so {sd_ppm:.0} ppm ({:.1} s/d) of \
                 uncertainty were added: follow it against a time signal for some weeks, at the \
                 temperature of the bench, and give its error.",
                sd_ppm * 0.0864
            ),
            Self::CouldBeWatch { beats_per_hour } => write!(
                f,
                "A watch of {beats_per_hour} beats per hour has the same period: make sure that \
                 it is the reference that was recorded."
            ),
            Self::StepsMissing { used, expected } => write!(
                f,
                "Only {used} of {expected} steps were found: lay the reference nearer to the \
                 microphone."
            ),
            Self::UnevenAlternation { by_s } => write!(
                f,
                "Every second step comes {:.1} ms late, which a stepping quartz movement does not \
                 do: make sure that it is the reference that was recorded.",
                by_s * 1e3
            ),
            Self::ClockDrifted { change_ppm } => write!(
                f,
                "The recorder's clock changed against the reference by {change_ppm:+.1} ppm while \
                 it was recorded: let both come to an even temperature first."
            ),
            Self::Jump { at_s, by_s } => write!(
                f,
                "At {at_s:.1} s the steps jump by {:+.1} ms, so samples were lost or added; the \
                 parts before and after were fitted apart.",
                by_s * 1e3
            ),
            Self::Interrupted { stretches } => write!(
                f,
                "The reference was lost on the way and found again; its {stretches} stretches \
                 were fitted apart."
            ),
            Self::Implausible { error_ppm } => write!(
                f,
                "An error of {error_ppm:.0} ppm is more than the clock of a recorder has: check \
                 the period of the reference and the sample rate of the file."
            ),
        }
    }
}

/// A length of time for people, rounded up to what one would set a timer to.
fn length(seconds: f64) -> String {
    if seconds <= 90.0 {
        format!("{:.0} s", (seconds / 10.0).ceil() * 10.0)
    } else if seconds <= 5_400.0 {
        format!("{:.0} minutes", (seconds / 60.0).ceil())
    } else {
        format!("{:.0} hours", (seconds / 3_600.0).ceil())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn warnings_read_as_sentences() {
        let w = ClockWarning::TooShort { needed_s: 131.0 };
        assert_eq!(
            w.to_string(),
            "The recording is short: 3 minutes would give 0.3 ppm with this sound."
        );
        // SI Brochure, table 8: 6 ppm of 86,400 s are 0.518 s.
        let w = ClockWarning::ReferenceUncertain { sd_ppm: 6.0 };
        assert!(w.to_string().contains("6 ppm (0.5 s/d)"), "{w}");
    }

    #[test]
    fn an_absurd_error_is_no_clock() {
        assert!(recorder_clock(Measured::new(2e5, 1.0)).is_err());
        let clock = recorder_clock(Measured::new(-22.0, 0.1)).unwrap();
        assert!(clock.calibrated && clock.error.ppm() == -22.0);
    }
}
