//! Arguments of `endshake measure`.

use super::values;
use super::{ChannelWish, Seconds};
use clap::{Args, ValueEnum};
use quantities::{BeatFrequency, ClockError, LiftAngle};
use std::path::PathBuf;

/// Measure recordings: the balances in each, their rate, amplitude and beat error.
#[derive(Debug, Args)]
pub(crate) struct MeasureWishes {
    /// Recordings to measure: WAV, FLAC, Ogg, MP3, M4A, AIFF, CAF.
    #[arg(required = true, value_name = "FILE")]
    pub(crate) files: Vec<PathBuf>,

    /// Lift angle in degrees, once for all balances or once for each in the order of their letters.
    #[arg(long, value_name = "DEG", value_parser = values::lift_angle)]
    pub(crate) lift_angle: Vec<LiftAngle>,

    /// Beats per hour, once for all balances or once for each; without it the beat is heard.
    #[arg(long, value_name = "N", value_parser = values::beats_per_hour)]
    pub(crate) beats_per_hour: Vec<BeatFrequency>,

    /// How many balances there are, where you know.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u8).range(1..=26))]
    pub(crate) balances: Option<u8>,

    /// Error of the recorder's clock in parts per million, positive where it runs fast.
    #[arg(long, value_name = "PPM", allow_negative_numbers = true)]
    #[arg(value_parser = values::clock_error_ppm)]
    pub(crate) clock_error_ppm: Option<ClockError>,

    /// Standard uncertainty of --clock-error-ppm; without it the error counts as exact.
    #[arg(long, value_name = "PPM", requires = "clock_error_ppm")]
    #[arg(value_parser = values::not_negative)]
    pub(crate) clock_error_sd_ppm: Option<f64>,

    /// Where in the recording to start, in seconds or like 1m30s.
    #[arg(long, value_name = "TIME")]
    pub(crate) start: Option<Seconds>,

    /// How much of the recording to listen to, in seconds or like 1m30s.
    #[arg(long, value_name = "TIME")]
    pub(crate) length: Option<Seconds>,

    /// Which channel to listen to, the first being 1, or all of them together.
    #[arg(long, value_name = "N|all", default_value = "all")]
    pub(crate) channel: ChannelWish,

    /// How to print the result: text for people, json or csv for programs.
    #[arg(long, value_name = "FORMAT", default_value = "text")]
    pub(crate) format: Format,
}

/// How to print.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Format {
    /// For people.
    Text,
    /// One JSON object a recording.
    Json,
}
