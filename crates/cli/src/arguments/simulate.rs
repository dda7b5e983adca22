//! Arguments of `endshake simulate`.

use super::keys::described;
use super::sounds::{self, BalanceWords};
use super::{Seconds, values};
use clap::{Args, ValueEnum};
use horology::stance::Stance;
use quantities::ClockError;
use std::path::PathBuf;
use truth::{Clicks, Hum, Knocks, Music, Room, Speech, SteppingReference};

/// Make a recording of watches with known truth.
#[derive(Debug, Args)]
#[command(allow_negative_numbers = true, after_help = EXAMPLES, after_long_help = long_help())]
pub(crate) struct SimulateWishes {
    /// WAV or, where its name ends in .flac, FLAC file to write, or - for WAV on standard output.
    #[arg(short, long, value_name = "FILE", required_unless_present = "truth")]
    pub(crate) output: Option<PathBuf>,

    /// Write down what is in the recording as JSON.
    #[arg(long, value_name = "FILE.json")]
    pub(crate) truth: Option<PathBuf>,

    /// Length of the recording, in seconds or like 1m30s.
    #[arg(long, value_name = "TIME", default_value = "30")]
    pub(crate) duration: Seconds,

    /// Samples per second of the recorder's clock, in hertz.
    #[arg(long, value_name = "HZ", default_value_t = 48_000, value_parser = values::hertz)]
    pub(crate) sample_rate: u32,

    /// How samples are written: 16 or 24 bits, or float for 32-bit floating point.
    #[arg(long, value_name = "16|24|float", default_value = "16", hide_possible_values = true)]
    pub(crate) bit_depth: BitDepth,

    /// Channels of the recording.
    #[arg(long, value_name = "N", default_value_t = 1)]
    #[arg(value_parser = values::count::<1, 64>)]
    pub(crate) channels: u16,

    /// Seed of everything random: the same seed gives the same bytes.
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = values::seed)]
    pub(crate) seed: u64,

    /// Error of the recorder's clock in parts per million, positive where it runs fast.
    #[arg(long, value_name = "PPM", default_value = "0")]
    #[arg(value_parser = values::clock_error_ppm)]
    pub(crate) clock_error_ppm: ClockError,

    /// Level beyond which the recorder clips, 1 being full scale.
    #[arg(long, value_name = "LEVEL", default_value_t = 1.0, value_parser = values::number)]
    pub(crate) clip: f64,

    /// A balance, described by key=value words (see below); once for each balance.
    #[arg(long, value_name = "KEY=VALUE,...", value_parser = sounds::balance)]
    #[arg(conflicts_with = "no_balance")]
    pub(crate) balance: Vec<BalanceWords>,

    /// How the watch lies, like CH, 6H or 1:30H: what a balance with a heavy spot goes by.
    #[arg(long, value_name = "POSITION", value_parser = ratefile::position)]
    pub(crate) position: Option<Stance>,

    /// No balance at all, only noises.
    #[arg(long)]
    pub(crate) no_balance: bool,

    /// A movement that steps once a second, as a reference for calibrate; takes key=value words.
    #[arg(long, value_name = "KEY=VALUE,...", num_args = 0..=1, default_missing_value = "")]
    #[arg(value_parser = sounds::reference)]
    pub(crate) reference: Option<SteppingReference>,

    /// Level of the recorder's white noise in decibels of the rms, or none.
    #[arg(long, value_name = "DB|none", default_value = "-60")]
    #[arg(value_parser = level_or_none, help_heading = NOISES)]
    pub(crate) noise: Level,

    /// Level of the room's pink noise in decibels of the rms.
    #[arg(long, value_name = "DB", value_parser = values::number)]
    #[arg(help_heading = NOISES)]
    pub(crate) pink: Option<f64>,

    /// Mains hum.
    #[arg(long, value_name = "KEY=VALUE,...", num_args = 0..=1, default_missing_value = "")]
    #[arg(value_parser = sounds::hum, help_heading = NOISES)]
    pub(crate) hum: Option<Hum>,

    /// Knocks on the bench.
    #[arg(long, value_name = "KEY=VALUE,...", num_args = 0..=1, default_missing_value = "")]
    #[arg(value_parser = sounds::knocks, help_heading = NOISES)]
    pub(crate) knocks: Option<Knocks>,

    /// Clicks at random times.
    #[arg(long, value_name = "KEY=VALUE,...", num_args = 0..=1, default_missing_value = "")]
    #[arg(value_parser = sounds::clicks, help_heading = NOISES)]
    pub(crate) clicks: Option<Clicks>,

    /// Speech-like sound.
    #[arg(long, value_name = "KEY=VALUE,...", num_args = 0..=1, default_missing_value = "")]
    #[arg(value_parser = sounds::speech, help_heading = NOISES)]
    pub(crate) speech: Option<Speech>,

    /// Music-like sound.
    #[arg(long, value_name = "KEY=VALUE,...", num_args = 0..=1, default_missing_value = "")]
    #[arg(value_parser = sounds::music, help_heading = NOISES)]
    pub(crate) music: Option<Music>,

    /// A room that rings after the balances, knocks, clicks, speech and music.
    #[arg(long, value_name = "KEY=VALUE,...", num_args = 0..=1, default_missing_value = "")]
    #[arg(value_parser = sounds::room, help_heading = NOISES)]
    pub(crate) room: Option<Room>,
}

const NOISES: &str = "What else is heard";

const EXAMPLES: &str = "\
Where no balance and no reference is described there are two, for a first look.
Files of these names are replaced, but no device or pipe; through a link, what it leads to.

Examples:
  endshake simulate --output two.wav
  endshake simulate --output one.wav --balance bph=21600,rate=-4,amplitude=250,beat-error=1.2 --hum
  endshake simulate --output down.wav --position 6H --balance heavy=0.0001,heavy-towards=200
  endshake simulate --output quartz.wav --reference --duration 2m --clock-error-ppm -22";

fn long_help() -> String {
    let group = |option, keys: String| format!("Keys of {option}:\n{keys}\n\n");
    let keys = [
        group("--balance", described(sounds::BALANCE)),
        group("--reference", described(sounds::REFERENCE)),
        group("--hum", described(sounds::HUM)),
        group("--knocks", described(sounds::KNOCKS)),
        group("--clicks", described(sounds::CLICKS)),
        group("--speech", described(sounds::SPEECH)),
        group("--music", described(sounds::MUSIC)),
        group("--room", described(sounds::ROOM)),
    ];
    keys.concat() + EXAMPLES
}

/// How samples are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum BitDepth {
    /// 16 bits.
    #[value(name = "16")]
    Bits16,
    /// 24 bits.
    #[value(name = "24")]
    Bits24,
    /// 32-bit floating point.
    Float,
}

/// A level in decibels, or no such sound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Level(pub(crate) Option<f64>);

fn level_or_none(words: &str) -> Result<Level, String> {
    match words.trim() {
        "none" => Ok(Level(None)),
        level => values::number(level).map(|db| Level(Some(db))),
    }
}
