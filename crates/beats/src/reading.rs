//! What the engine says of a recording. Plain values; whoever needs JSON makes its own.

use crate::warning::Warning;
use quantities::{BeatFrequency, LiftAngle, Measured};

/// Everything heard in a recording, best result plus warnings.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// Length of what was listened to, in seconds of the recorder's nominal clock.
    pub duration_s: f64,
    /// The balances, A first (loudest first, ties by rate). Empty where no watch is heard.
    pub balances: Vec<BalanceReading>,
    /// How the balances stand to each other; there when two or more are heard or claimed.
    pub relation: Option<Relation>,
    /// What the user should know about this reading.
    pub warnings: Vec<Warning>,
}

/// One balance. Values that the recording cannot give are `None`.
#[derive(Debug, Clone, PartialEq)]
pub struct BalanceReading {
    /// Nominal beat: the standard beat (or the user's) that this balance runs at.
    pub nominal: Option<BeatFrequency>,
    /// Beats per hour against the corrected recorder's clock.
    pub measured_beats_per_hour: Option<Measured>,
    /// Rate in s/d, corrected for the recorder's clock; its sd leaves the clock's out.
    pub rate_s_per_d: Option<Measured>,
    /// Uncertainty of the rate with the clock's uncertainty added, s/d.
    pub rate_sd_with_clock_s_per_d: Option<f64>,
    /// Half the difference between the two kinds of beat interval, ms, never negative.
    pub beat_error_ms: Option<Measured>,
    /// Mean amplitude, degrees.
    pub amplitude_deg: Option<Measured>,
    /// Lift angle that the amplitude was computed with.
    pub lift_angle: LiftAngle,
    /// Beats whose time entered the fit.
    pub beats_used: u64,
    /// Beats that this balance made while it ran within the recording.
    pub beats_expected: u64,
    /// Beats above the noise between them, dB (power).
    pub signal_to_noise_db: Option<f64>,
    /// From when to when this balance was heard running, seconds from the start.
    pub running_s: (f64, f64),
    /// Time of every beat against a balance at the nominal (or else fitted) beat; in recordings of
    /// hours, of groups of neighbouring beats. Where the watch stood still, the gain goes on as if
    /// it had run.
    pub drift: Vec<DriftPoint>,
    /// Amplitude against time. Empty where single beats do not show it.
    pub amplitude_course: Vec<CoursePoint>,
    /// Rate against time, s/d, over windows of equal length: 20 s at least, eight minutes in a day.
    /// Empty where there are fewer than three, where no rate can be given, and in readings that
    /// are asked for the numbers only.
    pub rate_course: Vec<CoursePoint>,
    /// The averaged beats: tick and tock, or fewer where they cannot be told apart.
    pub averaged_beats: Vec<AveragedBeat>,
    /// Periodogram of the residuals of the beat times, ms amplitude, from one turn in the recording
    /// up to three quarters of what the beats could show; at most some 33,000 frequencies.
    pub timing_periodogram: Option<Periodogram>,
    /// Periodogram of the amplitude, degrees.
    pub amplitude_periodogram: Option<Periodogram>,
}

/// Which of the two kinds of beat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Side {
    /// The kind that comes first in the recording.
    Tick,
    /// The other.
    Tock,
}

/// One beat's (or, in long recordings, one group of beats') place in the Drift picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DriftPoint {
    /// When, seconds from the start.
    pub time_s: f64,
    /// Accumulated gain, ms, positive where the watch is ahead; zero at the fit's start.
    /// The two sides lie apart by the beat error.
    pub gain_ms: f64,
    /// What is left when the fitted line (and the beat error) is taken away, ms.
    pub residual_ms: f64,
    /// Tick or tock.
    pub side: Side,
    /// Whether it entered the fit (a beat under a knock or another balance's beat may not).
    pub used: bool,
}

/// One point of something that changes with time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CoursePoint {
    /// Middle of the stretch, seconds from the start.
    pub time_s: f64,
    /// Value with its uncertainty.
    pub value: Measured,
}

/// The mean beat of one side: loudness against time, with its spread from beat to beat.
#[derive(Debug, Clone, PartialEq)]
pub struct AveragedBeat {
    /// Tick or tock.
    pub side: Side,
    /// Time of the first value relative to the beat's reference instant, ms (negative: before).
    pub start_ms: f64,
    /// Step from value to value, ms.
    pub step_ms: f64,
    /// Mean envelope, relative to the loudest value of this balance (0 to 1).
    pub mean: Vec<f64>,
    /// Standard deviation from beat to beat, same unit and length.
    pub spread: Vec<f64>,
    /// Time of unlocking, ms on the same axis.
    pub unlocking_ms: Option<f64>,
    /// Time of impulse, ms.
    pub impulse_ms: Option<f64>,
    /// Time of drop, ms.
    pub drop_ms: Option<f64>,
}

/// Power against frequency with the level that noise alone would rarely pass.
#[derive(Debug, Clone, PartialEq)]
pub struct Periodogram {
    /// Frequencies, Hz, ascending.
    pub frequency_hz: Vec<f64>,
    /// Normalised power, 0 to 1 (share of the variance that a sinusoid there explains).
    pub power: Vec<f64>,
    /// Power that noise alone passes anywhere in 1 of 100 such periodograms.
    pub one_percent_level: f64,
    /// Semi-amplitude of a sinusoid that reaches that level once the peaks are taken out, in the unit
    /// of the series (ms or degrees): less than about this does not stand out.
    pub least_seen: f64,
    /// The highest peaks above that level, highest first.
    pub peaks: Vec<PeriodogramPeak>,
    /// Mean time of a beat, seconds on the same clock as the frequencies.
    pub beat_s: f64,
    /// Longest period that counts as one, seconds.
    pub longest_period_s: f64,
    /// Whether each beat is a value; in very long recordings values are means of several.
    pub each_beat: bool,
}

/// A repeating disturbance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PeriodogramPeak {
    /// Its period, seconds of the recorder's clock.
    pub period_s: f64,
    /// Standard uncertainty of the period, seconds.
    pub period_sd_s: f64,
    /// Half of peak to peak, in the unit of the series (ms or degrees).
    pub semi_amplitude: f64,
    /// Chance that noise alone makes such a peak somewhere in the periodogram.
    pub false_alarm_probability: f64,
}

/// How balances A and B stand to each other. Where there are more than two, these are the two
/// loudest; of the others nothing is said beyond their own rates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Relation {
    /// What could be told.
    pub state: RelationState,
    /// Rate of A minus rate of B, s/d, where both are known.
    pub rate_difference_s_per_d: Option<Measured>,
    /// When a beat of A and a beat of B will next fall together, seconds after the end of the
    /// recording, tick and tock on the mean (a beat error lets some meet a little sooner and some
    /// later); `None` where they never will, where it cannot be told, and for balances of
    /// different beats, some of whose beats meet all the time.
    pub next_coincidence_s: Option<f64>,
}

/// Independent, locked or not to be told from this recording.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RelationState {
    /// Rates differ beyond doubt.
    Independent,
    /// One rate and a constant phase, for long enough that chance is excluded.
    Locked,
    /// This recording cannot tell.
    Unresolved,
}
