//! Runs the study that the command line names.

use crate::arguments::Arguments;
use crate::families::FAMILIES;
use crate::hearing::NotLaidDown;
use crate::{by_kind, case, clock, day, ends, none, one, retimed, two, wheels};
use std::io::Write;

/// Why a study gave no result, or one that is not good enough.
#[derive(Debug)]
#[non_exhaustive]
pub enum Failure {
    /// The command line makes no sense.
    WrongUse(String),
    /// A recording could not be laid down.
    Recording(String),
    /// Something could not be written.
    Writing(std::io::Error),
    /// With `--check`: the result is short of its aim.
    Short(Vec<String>),
}

impl std::fmt::Display for Failure {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::WrongUse(sentence) => f.write_str(sentence),
            Self::Recording(sentence) => write!(f, "a recording cannot be laid down: {sentence}"),
            Self::Writing(error) => write!(f, "cannot write: {error}"),
            Self::Short(what) => write!(f, "short of its aim: {}", what.join("; ")),
        }
    }
}

impl std::error::Error for Failure {}

impl From<std::io::Error> for Failure {
    fn from(error: std::io::Error) -> Self {
        Self::Writing(error)
    }
}

impl From<NotLaidDown> for Failure {
    fn from(NotLaidDown(sentence): NotLaidDown) -> Self {
        Self::Recording(sentence)
    }
}

/// Runs one study with these arguments (without the program's name) and prints Markdown.
///
/// # Errors
/// See [`Failure`].
pub fn run(arguments: &[String], out: &mut dyn Write) -> Result<(), Failure> {
    let arguments = Arguments::read(arguments)?;
    let study = arguments.words.first().map(String::as_str);
    let short = match study {
        Some("one") => one::one(&arguments, out)?,
        Some(kind @ ("hard" | "poor" | "rates" | "levels")) => {
            by_kind::by_kind(kind, &arguments, out)?
        }
        Some("ends") => ends::ends(&arguments, out)?,
        Some("clock") => clock::clock(&arguments, out)?,
        Some("day") => day::day(&arguments, out)?,
        Some("two") => two::two(&arguments, out)?,
        Some("several") => two::several(&arguments, out)?,
        Some("none") => none::none(&arguments, out)?,
        Some("wheels") => wheels::wheels(&arguments, out)?,
        Some("retimed") => retimed::retimed(&arguments, out)?,
        Some("case") => {
            case::case(&arguments, out)?;
            Vec::new()
        }
        Some("help") => {
            help(out)?;
            Vec::new()
        }
        Some(other) => {
            return Err(Failure::WrongUse(format!(
                "there is no study {other:?}; see `studies help`"
            )));
        }
        None => return Err(Failure::WrongUse("which study? see `studies help`".to_owned())),
    };
    if !short.is_empty() {
        writeln!(out, "\nShort of its aim:\n")?;
        for sentence in &short {
            writeln!(out, "- {sentence}")?;
        }
        if arguments.check {
            return Err(Failure::Short(short));
        }
    }
    Ok(())
}

const HELP: &str = "\
usage: studies STUDY [OPTIONS]

  one        one balance in clear sound: rate against the least possible, uncertainties
  hard       one balance in poor sound
  poor       one balance whose lesser shocks hardly stand out of the noise
  rates      sample rates of 8 to 192 kHz, 16 bits
  levels     sound that is quantised, faint or clipped
  ends       a watch that starts or stops within the recording
  clock      the recorder's clock: not calibrated, or calibrated more or less well
  day        a simulated day, streamed: rate, course, memory
  two        two balances over lag, difference of rate and loudness: a map
  several    crossing, locked, mixed beats, three balances, two pickups and others
  none       no watch: false balances
  wheels     a wheel that disturbs the beat: is it named, and none where none does
  retimed    ticks cut out of real recordings, laid down anew at known times
  case FAMILY SEED
             one recording: what was laid down and what was heard

options
  --recordings N   how many recordings (of each kind or cell, where a study has such)
  --first-seed N   seed of the first recording (0)
  --check          exit status 2 where the result is short of its aim
  --figures DIR    write figures there, as SVG
  --wav FILE       with case: write the sound (32-bit float WAV); with retimed: that of the
                   first recording
  --real FOLDER    with retimed: where the real recordings are
  --hours H        with day: its length (24)
  --balances N     with case: tell the engine how many balances there are

families of case
";

fn help(out: &mut dyn Write) -> Result<(), Failure> {
    out.write_all(HELP.as_bytes())?;
    for family in FAMILIES {
        writeln!(out, "  {:<10} {}", family.name, family.about)?;
    }
    Ok(())
}
