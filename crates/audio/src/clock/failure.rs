use thiserror::Error;

/// Why a recording says nothing of the recorder's clock. Each message says what is wrong and what
/// to do.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ClockFailure {
    /// Not a single sound, or no samples at all.
    #[error(
        "The recording is silent: check that the microphone is switched on and record the \
         reference again."
    )]
    Silent,
    /// Too few steps can be in it.
    #[error(
        "The recording is too short to read the recorder's clock: it lasts {heard_s:.1} s; record \
         at least {least_s:.0} s, better {good_s:.0} s for 0.3 ppm."
    )]
    TooShort {
        /// Length of the recording, seconds.
        heard_s: f64,
        /// Least that is tried, seconds.
        least_s: f64,
        /// What gives 0.3 ppm with steps as they usually are, seconds.
        good_s: f64,
    },
    /// Nothing in the recording repeats with the period of the reference.
    #[error(
        "No reference that steps every {period_s} s is heard: lay the clock nearer to the \
         microphone in a quieter place, or give its true period."
    )]
    NotHeard {
        /// Period that was looked for, seconds.
        period_s: f64,
    },
    /// Something pulses more often than the reference should.
    #[error(
        "What is heard pulses {count} times in {period_s} s, not once: it is a watch or another \
         kind of movement, not the reference. Record the reference alone, or give its true period."
    )]
    OtherPulses {
        /// Period that was looked for, seconds.
        period_s: f64,
        /// Pulses in that time.
        count: u32,
    },
    /// Something repeats, but its times scatter too widely for a quartz movement.
    #[error(
        "What repeats every {period_s} s is not steady enough for a reference (it comes \
         {scatter_ms:.1} ms early or late): record a quartz movement alone, in a quiet place."
    )]
    NotSteady {
        /// Period that was looked for, seconds.
        period_s: f64,
        /// Standard deviation of a step's time, ms.
        scatter_ms: f64,
    },
    /// Something is heard, but in too few of the places where it should be.
    #[error(
        "Only {used} of {expected} steps can be told from the noise: lay the clock nearer to the \
         microphone and record again, or give its true period."
    )]
    TooFewSteps {
        /// Steps found.
        used: u64,
        /// Steps that there should be.
        expected: u64,
    },
}
