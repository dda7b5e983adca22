//! Arguments of `endshake measure`.

use super::values;
use super::{ChannelWish, EngineWords, Seconds};
use clap::{Args, ValueEnum};
use std::path::PathBuf;

const PICTURE: &str = "Picture";

const EXAMPLES: &str = "\
Examples:
  endshake measure morning.wav --lift-angle 52
  endshake measure twin.flac --balances 2 --lift-angle 50 --lift-angle 52 --plot twin.png
  endshake measure stops.wav --movement movement.toml
  endshake measure *.m4a --clock bench-recorder --format json
  arecord -f cd -d 30 | endshake measure -

Several recordings print one JSON object a line, in the order given. A balance is told by its letter: \
A is the loudest, of balances about equally loud the fastest. Standard input is read to its end before \
it is measured, and kept until then in a file without a name in the folder for temporary files (TMPDIR).

A picture replaces a file of its name, but never a recording or clock that is read, another picture, a \
device or a pipe; through a link, what it leads to is replaced.

Exit status: 0 done, 1 something could not be written, 2 wrong use, 3 a recording that cannot be \
read, 4 no watch heard; of several recordings, the worst in the order 2, 1, 3, 4, 0.";

/// Measure recordings: the balances in each, their rate, amplitude and beat error.
#[derive(Debug, Args)]
#[command(allow_negative_numbers = true, after_help = EXAMPLES)]
pub(crate) struct MeasureWishes {
    /// Recordings to measure: WAV, FLAC, Ogg, MP3, M4A, AIFF, CAF; - for one on standard input.
    #[arg(required = true, value_name = "FILE")]
    pub(crate) files: Vec<PathBuf>,

    #[command(flatten)]
    pub(crate) engine: EngineWords,

    /// The movement, a TOML file as endshake train reads it: what repeats in the beats is named by the
    /// wheel or the teeth that it agrees with. Without it, what it could be in a usual movement is told.
    #[arg(long, value_name = "FILE")]
    pub(crate) movement: Option<PathBuf>,

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
    #[arg(long, value_name = "FORMAT", default_value = "text", hide_possible_values = true)]
    pub(crate) format: Format,

    /// Add to the JSON all series behind the numbers: drift, courses, averaged beats, periodograms.
    #[arg(long)]
    pub(crate) detail: bool,

    /// Draw a picture into this .svg or .png file; for several recordings put {} in its name, which
    /// becomes the recording's.
    #[arg(long, value_name = "FILE", help_heading = PICTURE)]
    pub(crate) plot: Option<PathBuf>,

    /// What to draw: sheet (everything on one page), drift, scatter (drift without rates), beats, course
    /// or periodogram.
    #[arg(long, value_name = "KIND", default_value = "sheet", requires = "plot")]
    #[arg(hide_possible_values = true, help_heading = PICTURE)]
    pub(crate) plot_kind: PictureKind,

    /// Draw on light paper or on dark.
    #[arg(long, value_name = "light|dark", default_value = "light", requires = "plot")]
    #[arg(hide_possible_values = true, help_heading = PICTURE)]
    pub(crate) theme: ThemeWish,

    /// Width of the picture in CSS pixels, 280 to 2400; a PNG has twice as many.
    #[arg(long, value_name = "PX", requires = "plot", help_heading = PICTURE)]
    #[arg(value_parser = values::count::<280, 2400>)]
    pub(crate) plot_width: Option<u16>,

    /// Rates within tolerance in seconds per day, shown as a wedge in the drift picture.
    #[arg(long, num_args = 2, value_names = ["LOW", "HIGH"])]
    #[arg(value_parser = values::number, requires = "plot", help_heading = PICTURE)]
    pub(crate) tolerance: Vec<f64>,

    /// Heading of the sheet; without it the name of the recording.
    #[arg(long, value_name = "WORDS", requires = "plot", help_heading = PICTURE)]
    pub(crate) title: Option<String>,

    /// How many recordings to work on at once, at most 16; without it as many as the machine has
    /// processors. Those of more than a minute take turns, so that memory stays small.
    #[arg(long, value_name = "N", value_parser = values::count::<1, 16>)]
    pub(crate) jobs: Option<u16>,
}

/// How to print.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Format {
    /// For people.
    Text,
    /// JSON.
    Json,
    /// Comma-separated values, where rows make sense.
    Csv,
}

/// What to draw.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum PictureKind {
    /// Everything on one page.
    Sheet,
    /// Accumulated gain against time.
    Drift,
    /// Averaged beats.
    Beats,
    /// Amplitude and rate against time.
    Course,
    /// What repeats.
    Periodogram,
    /// What is left of the drift when each rate is taken out.
    Scatter,
}

/// Light or dark.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum ThemeWish {
    /// Dark ink on light paper.
    Light,
    /// Light ink on dark.
    Dark,
}
