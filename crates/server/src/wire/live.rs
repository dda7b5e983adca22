//! A watch heard live.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use utoipa::ToSchema;

/// A sound device of the bench.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct SoundDevice {
    /// How the system calls it; asked for by this.
    pub name: String,
    /// For people.
    pub words: String,
    /// Sample rates, Hz, that it offers.
    pub sample_rates_hz: Vec<f64>,
    /// Most channels.
    pub channels: u32,
    /// Whether the system would take it if none is named.
    pub usual: bool,
}

/// Sound devices of the bench.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct SoundDeviceList {
    /// The usual one first.
    pub devices: Vec<SoundDevice>,
    /// Why there are none, where there are none.
    pub why_none: Option<String>,
}

/// Where the sound comes from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum LiveSource {
    /// A sound device of the bench.
    Device {
        /// As in the list.
        name: String,
    },
    /// The microphone of the browser that asks.
    Browser {
        /// How the browser calls it.
        name: String,
        /// Of its audio context.
        sample_rate_hz: f64,
        /// Channels that it will send.
        channels: u32,
    },
}

/// What is told of the watch.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(deny_unknown_fields)]
pub struct LiveSettings {
    /// Lift angles, degrees: none (the usual), one for all, or one each.
    pub lift_angles_deg: Vec<f64>,
    /// Beats per hour: none (heard), one for all, or one each.
    pub beats_per_hour: Vec<f64>,
    /// How many balances, where known.
    pub balances: Option<u32>,
}

/// Begin to listen.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct LiveStart {
    /// To what.
    pub source: LiveSource,
    /// What is told.
    pub settings: LiveSettings,
    /// For which job, where for one.
    #[serde(default)]
    pub job_id: Option<String>,
}

/// Listening has begun.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct LiveStarted {
    /// By which it is asked for.
    pub id: String,
}

/// What a watch that is heard live is doing.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct LiveState {
    /// By which it is asked for.
    pub id: String,
    /// Where the sound comes from.
    pub source: LiveSource,
    /// The name under which the clock of the device is kept.
    pub device: String,
    /// What is told.
    pub settings: LiveSettings,
    /// For which job.
    pub job_id: Option<String>,
    /// Seconds of sound since it began.
    pub elapsed_s: f64,
    /// Whether sound is coming; if not, why, as a sentence.
    pub waiting: Option<String>,
    /// The reading that is being taken.
    pub taking: Option<ReadingProgress>,
    /// The quartz movement that the device's clock is compared with.
    pub quartz: Option<QuartzProgress>,
    /// The device's clock against the computer's, where that is kept right by time servers.
    pub clock: Option<FoundClock>,
}

/// Compare the device's clock with a quartz movement laid on the pickup.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct QuartzWish {
    /// For how long; 20 s at least.
    pub seconds: f64,
    /// Seconds from step to step; one where left out.
    #[serde(default)]
    pub period_s: Option<f64>,
    /// The quartz's own error, parts in a million, where it is known.
    #[serde(default)]
    pub reference_error_ppm: Option<f64>,
    /// The uncertainty of that.
    #[serde(default)]
    pub reference_sd_ppm: Option<f64>,
}

/// A quartz movement that is being listened to.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct QuartzProgress {
    /// Seconds heard.
    pub elapsed_s: f64,
    /// Seconds wished.
    pub seconds: f64,
}

/// A clock's error, as it was found.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct FoundClock {
    /// Parts in a million.
    pub error_ppm: f64,
    /// The uncertainty of that.
    pub sd_ppm: f64,
}

/// Everything that is heard live now.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct LiveList {
    /// The oldest first.
    pub live: Vec<LiveState>,
}

/// How loud it is.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Level {
    /// Seconds of sound since it began.
    pub elapsed_s: f64,
    /// Highest sample of the last moments, dB below full scale, per channel.
    pub peak_dbfs: Vec<f64>,
    /// Root mean square of the last moments, dB below full scale, per channel.
    pub rms_dbfs: Vec<f64>,
    /// Samples at full scale since it began.
    #[ts(type = "number")]
    pub clipped_samples: u64,
    /// Samples that never arrived.
    #[ts(type = "number")]
    pub lost_samples: u64,
    /// What to do about it, a sentence; null where nothing.
    pub hint: Option<String>,
}

/// Points of the Drift picture, thinned, oldest first; four lists of one length.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct LiveDrift {
    /// Seconds since it began.
    pub time_s: Vec<f64>,
    /// Accumulated gain, milliseconds.
    pub gain_ms: Vec<f64>,
    /// True for tock.
    pub tock: Vec<bool>,
    /// Whether the beat was used.
    pub used: Vec<bool>,
}

/// The averaged beat of one side.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct AveragedBeatShape {
    /// True for tock.
    pub tock: bool,
    /// Time of the first value, milliseconds.
    pub start_ms: f64,
    /// Step from value to value.
    pub step_ms: f64,
    /// Mean, 0 to 1.
    pub mean: Vec<f64>,
    /// Standard deviation from beat to beat.
    pub spread: Vec<f64>,
    /// Unlocking, milliseconds.
    pub unlocking_ms: Option<f64>,
    /// Impulse.
    pub impulse_ms: Option<f64>,
    /// Drop.
    pub drop_ms: Option<f64>,
    /// Where the drop would stand at so many degrees: pairs of milliseconds and degrees.
    pub amplitude_scale: Vec<(f64, f64)>,
}

/// A balance, heard live.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct LiveBalance {
    /// Its numbers.
    pub numbers: super::ReadingBalance,
    /// The rate as far as its uncertainty supports digits.
    pub rate_words: Option<String>,
    /// The amplitude so.
    pub amplitude_words: Option<String>,
    /// The beat error so.
    pub beat_error_words: Option<String>,
    /// For the Drift picture.
    pub drift: LiveDrift,
    /// For the Beat picture.
    pub averaged_beats: Vec<AveragedBeatShape>,
}

/// What is heard now.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct LiveReading {
    /// Seconds of sound that this stands on.
    pub duration_s: f64,
    /// Where that sound begins, seconds since listening began.
    pub from_s: f64,
    /// The balances, A first.
    pub balances: Vec<LiveBalance>,
    /// How they stand to each other.
    pub relation: Option<super::Relation>,
    /// That as a sentence.
    pub relation_words: Option<String>,
    /// What to know about it.
    pub warnings: Vec<super::ReadingWarning>,
    /// The recorder's clock, as a sentence.
    pub clock_words: String,
}

/// A reading that is being taken.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ReadingProgress {
    /// For which job.
    pub job_id: String,
    /// Position.
    pub position: Option<super::Position>,
    /// State of wind.
    pub wind: String,
    /// Seconds taken.
    pub elapsed_s: f64,
    /// Seconds wished.
    pub seconds: Option<f64>,
    /// Uncertainty of the rate that was wished.
    pub until_sd_s_per_d: Option<f64>,
    /// The largest of the balances' now.
    pub sd_s_per_d: Option<f64>,
}

/// Take a reading.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct LiveReadingWish {
    /// For which job.
    pub job_id: String,
    /// Position.
    #[serde(default)]
    pub position: Option<super::Position>,
    /// State of wind, in words.
    #[serde(default)]
    pub wind: Option<String>,
    /// For so long, at most.
    #[serde(default)]
    pub seconds: Option<f64>,
    /// Until every balance's rate is known so well.
    #[serde(default)]
    pub until_sd_s_per_d: Option<f64>,
    /// Free note.
    #[serde(default)]
    pub note: Option<String>,
}

/// What the program sends over a live connection.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
#[serde(tag = "type", rename_all = "snake_case")]
pub enum LiveFrame {
    /// Some ten a second.
    Level(Level),
    /// About one a second.
    Reading(Box<LiveReading>),
    /// Whenever something changes.
    State(Box<LiveState>),
    /// A reading was kept.
    Kept {
        /// Which.
        reading_id: String,
    },
    /// The clock of the device was found and kept.
    ClockKept(super::Clock),
    /// A reading could not be kept, or listening ended; nothing follows of it.
    Failed {
        /// What and what to do.
        message: String,
    },
    /// Listening has ended.
    Ended,
}
