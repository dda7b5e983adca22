use quantities::OutOfRange;

/// What is wrong with a scenario. Nothing is laid down until the scenario is sound.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ScenarioError {
    /// A number outside its range.
    #[error("{place}: {source}")]
    OutOfRange {
        /// Which part of the scenario, e.g. `balance 2`.
        place: String,
        /// The quantity, what was given and what is allowed.
        source: OutOfRange,
    },
    /// The balance would not swing far enough to unlock and drop.
    #[error(
        "{place}: an amplitude of {lowest_deg:.1} degrees is too low for a lift angle of \
         {lift_deg} degrees; it must stay above {needed_deg:.1} degrees throughout"
    )]
    TooLowToUnlock {
        /// Which balance.
        place: String,
        /// Lowest amplitude in its course, degrees.
        lowest_deg: f64,
        /// Its lift angle, degrees.
        lift_deg: f64,
        /// Lowest amplitude that would do, degrees.
        needed_deg: f64,
    },
    /// Ripple and rate together would let the watch stand still or run backwards.
    #[error("{place}: rate and ripples together are too strong; the watch would stand still")]
    StandsStill {
        /// Which balance.
        place: String,
    },
    /// It stops before it starts.
    #[error("{place}: it stops at {stops_at_s} s, which is not after it starts at {starts_at_s} s")]
    StopsBeforeStart {
        /// Which balance.
        place: String,
        /// Start, seconds.
        starts_at_s: f64,
        /// Stop, seconds.
        stops_at_s: f64,
    },
    /// Paths are given, but not one for each channel.
    #[error("{place}: {given} paths are given for {channels} channels; give one each, or none")]
    PathPerChannel {
        /// Which balance or reference.
        place: String,
        /// Number of paths given.
        given: usize,
        /// Number of channels.
        channels: usize,
    },
}
