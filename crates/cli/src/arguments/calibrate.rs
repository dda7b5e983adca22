//! Arguments of `endshake calibrate`.

use super::values;
use super::{ChannelWish, MarkWords, Seconds, TextOrJson};
use clap::Args;
use std::path::PathBuf;

/// Find the error of a recorder's clock: from a recording of a stepping quartz movement, or from
/// known times.
#[derive(Debug, Args)]
#[command(allow_negative_numbers = true, after_help = EXAMPLES)]
pub(crate) struct CalibrateWishes {
    /// Recording of the reference, made with the recorder in question: some minutes of it;
    /// - for standard input.
    #[arg(value_name = "FILE")]
    pub(crate) file: PathBuf,

    /// True time from one step of the reference to the next.
    #[arg(long, value_name = "TIME", default_value = "1s")]
    pub(crate) period: Seconds,

    /// Error of the reference itself in parts per million, positive where it runs fast (1 s/d is
    /// 11.574 ppm); without it an ordinary quartz movement is assumed.
    #[arg(long, value_name = "PPM", value_parser = values::number)]
    #[arg(requires = "reference_sd_ppm")]
    pub(crate) reference_error_ppm: Option<f64>,

    /// Standard uncertainty of --reference-error-ppm; 0 for a time signal.
    #[arg(long, value_name = "PPM", requires = "reference_error_ppm")]
    #[arg(value_parser = values::clock_sd_ppm)]
    pub(crate) reference_sd_ppm: Option<f64>,

    /// True length of the recording, where a clock that is right has timed it; then nothing needs to
    /// be heard in it.
    #[arg(long, value_name = "TIME", requires = "true_length_sd", conflicts_with = "mark")]
    #[arg(help_heading = KNOWN_TIMES)]
    pub(crate) true_length: Option<Seconds>,

    /// Standard uncertainty of --true-length, like 20ms.
    #[arg(long, value_name = "TIME", requires = "true_length")]
    #[arg(help_heading = KNOWN_TIMES)]
    pub(crate) true_length_sd: Option<Seconds>,

    /// A moment of the recording and its true time, like 12.5=10:00:00 and 8h12.3s=18:00:00; at
    /// least twice, hours apart, in one unbroken recording.
    #[arg(long, value_name = "RECORDED=TRUE", value_parser = values::mark)]
    #[arg(help_heading = KNOWN_TIMES)]
    pub(crate) mark: Vec<MarkWords>,

    /// Standard uncertainty of each mark: 0.2 for a clap by a second hand, 10ms for a radio pip.
    #[arg(long, value_name = "TIME", default_value = "0.2", requires = "mark")]
    #[arg(help_heading = KNOWN_TIMES)]
    pub(crate) mark_sd: Seconds,

    /// Find each mark as the sharpest sound within this time of where it is given, at most 30s; where
    /// like sounds follow each other, less than half of what lies between them.
    #[arg(long, value_name = "TIME", requires = "mark")]
    #[arg(help_heading = KNOWN_TIMES)]
    pub(crate) find_within: Option<Seconds>,

    /// Where in the recording to start, in seconds or like 1m30s.
    #[arg(long, value_name = "TIME")]
    pub(crate) start: Option<Seconds>,

    /// How much of the recording to use, in seconds or like 1m30s.
    #[arg(long, value_name = "TIME")]
    pub(crate) length: Option<Seconds>,

    /// Which channel to use, the first being 1, or all: the one on which the reference is clearest.
    #[arg(long, value_name = "N|all", default_value = "all")]
    pub(crate) channel: ChannelWish,

    /// Keep the clock under this name for measure --clock NAME.
    #[arg(long, value_name = "NAME")]
    pub(crate) save: Option<String>,

    /// Let --save replace a clock that is kept under this name already.
    #[arg(long, requires = "save")]
    pub(crate) replace: bool,

    /// Write the clock to this file for measure --clock FILE.
    #[arg(long, value_name = "FILE.json")]
    pub(crate) save_to: Option<PathBuf>,

    /// How to print the result: text for people, json for programs.
    #[arg(long, value_name = "FORMAT", default_value = "text", hide_possible_values = true)]
    pub(crate) format: TextOrJson,
}

const KNOWN_TIMES: &str = "Known times instead of a reference";

const EXAMPLES: &str = "\
Examples:
  endshake calibrate quartz.wav --save bench-recorder
  endshake calibrate quartz.wav --reference-error-ppm 1.9 --reference-sd-ppm 0.2 --format json
  endshake calibrate night.wav --mark 12=22:00:00 --mark 9h12s=31:00:00 --find-within 2s

Lay a quartz movement that steps once a second beside the microphone and record five minutes. A \
calibration holds for one recorder, one sample rate and roughly one temperature.

--save-to replaces a file of its name, but never the recording, a device or a pipe; through a link, \
what it leads to is replaced.

Exit status: 0 done, 1 something could not be written, 2 wrong use, 3 a recording that cannot be \
read, 4 no such reference heard.";
