//! Arguments of `endshake listen`.

use super::values;
use super::{EngineWords, Seconds};
use clap::{Args, ValueEnum};
use quantities::SampleRate;
use std::path::PathBuf;

const EXAMPLES: &str = "\
Examples:
  endshake listen --list-devices
  endshake listen --lift-angle 52
  endshake listen --device pickup --seconds 60 --save morning.flac
  endshake listen --until-sd 0.1 --clock bench-recorder --format json

Without --seconds and --until-sd it goes on until Ctrl-C, which ends it and prints what was found.

--save keeps the sound as FLAC. While it is written it lies beside, as NAME.part.flac, which can be \
read at any moment, whatever happens; it takes the place of a file of its name when it is whole.

While the computer's clock is kept right by time servers, the recorder's is compared with it; \
--save-clock keeps what is found for later readings. It takes an hour to be worth much.

Exit status: 0 done, 1 something could not be written, 2 wrong use, 3 a device that cannot be \
opened, 4 no watch heard.";

/// Listen live to a device of this computer: the balances, as they settle.
#[derive(Debug, Args)]
#[command(allow_negative_numbers = true, after_help = EXAMPLES)]
pub(crate) struct ListenWishes {
    /// List the devices that can be recorded from, and stop.
    #[arg(long)]
    pub(crate) list_devices: bool,

    /// Device to listen to: its name, or part of it that only one has; without it the system's usual one.
    #[arg(long, value_name = "NAME")]
    pub(crate) device: Option<String>,

    /// Samples per second; without it 48000 where the device has it.
    #[arg(long, value_name = "HZ", value_parser = values::sample_rate)]
    pub(crate) sample_rate: Option<SampleRate>,

    /// Channels to record; without it as many as the device has, at most 2.
    #[arg(long, value_name = "N", value_parser = values::count::<1, 8>)]
    pub(crate) channels: Option<u16>,

    /// How long to listen, in seconds or like 1m30s.
    #[arg(long, value_name = "TIME")]
    pub(crate) seconds: Option<Seconds>,

    /// Listen until the rate of every balance is known to this standard uncertainty, in seconds per day;
    /// ten seconds at least.
    #[arg(long, value_name = "S_PER_D", value_parser = values::positive)]
    pub(crate) until_sd: Option<f64>,

    #[command(flatten)]
    pub(crate) engine: EngineWords,

    /// Keep the sound in this file.
    #[arg(long, value_name = "FILE.flac")]
    pub(crate) save: Option<PathBuf>,

    /// Keep the recorder's clock, as the computer's has it, under this name for --clock NAME.
    #[arg(long, value_name = "NAME")]
    pub(crate) save_clock: Option<String>,

    /// Let --save-clock replace a clock that is kept under this name already.
    #[arg(long, requires = "save_clock")]
    pub(crate) replace: bool,

    /// How to print: text for people; json for programs, one object a line as it settles, the last
    /// one as measure prints it.
    #[arg(long, value_name = "FORMAT", default_value = "text", hide_possible_values = true)]
    pub(crate) format: ListenFormat,
}

/// How to print.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum ListenFormat {
    /// For people.
    Text,
    /// One JSON object a line.
    Json,
}
