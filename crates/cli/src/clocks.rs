//! Recorders' clocks that have been calibrated: kept under a name in the user's data folder, or in
//! a file of the user's own.

use crate::failure::Failure;
use crate::whole_file;
use crate::wire::ClockResult;
use quantities::{ClockError, RecorderClock};
use std::io::Read;
use std::path::{Component, Path, PathBuf};

/// A clock as `measure` uses it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct KeptClock {
    pub(crate) clock: RecorderClock,
    pub(crate) sample_rate_hz: Option<f64>,
    /// What spoke against it when it was calibrated and is not in its uncertainty, as sentences.
    pub(crate) doubts: Vec<String>,
}

/// Codes of warnings of a calibration whose cause its uncertainty takes into account.
const IN_ITS_UNCERTAINTY: [&str; 4] =
    ["clock_too_short", "reference_uncertain", "marks_disagree", "clock_drifted"];

/// A calibration is well under this; whatever is longer is something else.
const MOST_BYTES: u64 = 1 << 20;

/// Reads a clock by its name, or from a file where the words look like one.
pub(crate) fn read(named: &Path) -> Result<KeptClock, Failure> {
    let path = path_of(named)?;
    let shown = path.display();
    // Before it is opened: a pipe that nobody writes to would keep us waiting for ever.
    if path.metadata().is_ok_and(|there| !there.is_file()) {
        return Err(Failure::WrongUse(format!(
            "The clock “{shown}” is a folder, a device or a pipe: name a file that endshake \
             calibrate --save-to has written."
        )));
    }
    let mut text = String::new();
    std::fs::File::open(&path)
        .and_then(|file| file.take(MOST_BYTES).read_to_string(&mut text))
        .map_err(|error| match error.kind() {
            std::io::ErrorKind::NotFound if is_name(named) => Failure::WrongUse(format!(
                "No clock is kept under the name “{}”: make one with endshake calibrate --save {0}.",
                named.display()
            )),
            _ => Failure::WrongUse(format!("The clock “{shown}” cannot be read ({error}).")),
        })?;
    parse(&text)
        .map_err(|what| Failure::WrongUse(format!("“{shown}” is no calibrated clock: {what}.")))
}

/// Where a clock lies: under its name, or in a file where the words look like one.
pub(crate) fn path_of(named: &Path) -> Result<PathBuf, Failure> {
    if is_name(named) { named_path(named) } else { Ok(named.to_owned()) }
}

fn parse(text: &str) -> Result<KeptClock, String> {
    let kept: ClockResult = serde_json::from_str(text)
        .map_err(|e| if e.is_data() { e.to_string() } else { "it does not hold JSON".into() })?;
    if kept.schema != ClockResult::SCHEMA {
        return Err(format!("it says “{}”, not “{}”", kept.schema, ClockResult::SCHEMA));
    }
    let error = ClockError::from_ppm(kept.error_ppm).map_err(|e| e.to_string())?;
    let sd_ppm = RecorderClock::checked_sd_ppm(kept.sd_ppm).map_err(|e| e.to_string())?;
    let clock = RecorderClock::calibrated(error, sd_ppm);
    let doubts = kept.warnings.into_iter();
    let doubts = doubts.filter(|w| !IN_ITS_UNCERTAINTY.contains(&w.code.as_str()));
    Ok(KeptClock {
        clock,
        sample_rate_hz: kept.source.sample_rate_hz,
        doubts: doubts.map(|w| w.message).collect(),
    })
}

/// Whether a clock can be kept under this name.
pub(crate) fn check_name(name: &str) -> Result<(), Failure> {
    if is_name(Path::new(name)) {
        return Ok(());
    }
    Err(Failure::WrongUse(format!(
        "“{name}” is no name for a clock: use letters, digits and dashes, or write a file with \
         --save-to."
    )))
}

/// Refuses a name under which a clock is kept already.
pub(crate) fn check_free(name: &str) -> Result<(), Failure> {
    let path = named_path(Path::new(name))?;
    if path.symlink_metadata().is_err() {
        return Ok(());
    }
    Err(Failure::WrongUse(format!(
        "A clock is kept under the name “{name}” already, in “{}”: choose another name, or add \
         --replace.",
        path.display()
    )))
}

/// Keeps a clock under a name; what was kept there before is replaced. Gives the file.
pub(crate) fn keep(name: &str, json: &str) -> Result<PathBuf, Failure> {
    check_name(name)?;
    let path = named_path(Path::new(name))?;
    if let Some(folder) = path.parent() {
        std::fs::create_dir_all(folder).map_err(|e| whole_file::cannot_write(folder, &e))?;
    }
    whole_file::write(&path, json.as_bytes())?;
    Ok(path)
}

/// A single word without an ending is a name; anything else is a path.
fn is_name(words: &Path) -> bool {
    let mut parts = words.components();
    let one = matches!((parts.next(), parts.next()), (Some(Component::Normal(_)), None));
    let plain = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | ' ');
    one && words.to_str().is_some_and(|words| words.chars().all(plain))
}

fn named_path(name: &Path) -> Result<PathBuf, Failure> {
    let folders = directories::ProjectDirs::from("", "", "endshake").ok_or_else(|| {
        Failure::CannotWrite(
            "This system has no home folder to keep clocks in: use --save-to and name the file."
                .into(),
        )
    })?;
    let mut file = name.as_os_str().to_owned();
    file.push(".json");
    Ok(folders.data_dir().join("clocks").join(file))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_and_paths() {
        for name in ["bench", "bench-recorder", "Küche 2"] {
            assert!(is_name(Path::new(name)), "{name}");
        }
        for path in ["", ".", "..", "a/b", "/a", "clock.json", "../x"] {
            assert!(!is_name(Path::new(path)), "{path}");
        }
    }

    /// What listening live keeps of the computer's clock is a clock like any other.
    #[cfg(feature = "capture")]
    #[test]
    fn a_clock_from_the_computers_is_read_again() {
        let sample_rate = quantities::SampleRate::from_hz(48_000.0).unwrap();
        let reading = beats::Listener::new(sample_rate, 1, beats::Settings::default()).reading();
        let taken = live::Taken {
            reading,
            settings: beats::Settings::default(),
            settings_changed_s: None,
            sound: None,
            sound_failed: None,
            sound_clipped: 0,
            encoding: audio::Encoding::Bits16,
            sample_rate,
            channels: 1,
            frames: 48_000,
            duration_s: 1.0,
            lost_frames: 0,
            gaps: Vec::new(),
            ended: live::Ended::Stopped,
        };
        let facts = crate::sound::SourceFacts::live("probe".into(), "probe", &taken);
        let against = audio::clock::AgainstComputer {
            error_ppm: quantities::Measured::new(-12.5, 0.8),
            span_s: 3_600.0,
            scatter_s: 0.001,
        };
        let found = crate::calibrate::Found::Computer(against);
        let json = crate::wire::lines(&ClockResult::of(&facts, &found));
        let kept = parse(&json).unwrap();
        assert_eq!((kept.clock.error.ppm(), kept.clock.sd_ppm), (-12.5, 0.8));
        assert_eq!(kept.sample_rate_hz, Some(48_000.0));
        assert!(kept.clock.calibrated && kept.doubts.is_empty());
        assert!(json.contains("\"method\": \"computer\""), "{json}");
    }

    #[test]
    fn what_is_no_clock_is_refused_with_the_reason() {
        let with = |schema: &str, error: &str, sd: &str| {
            parse(&format!(
                r#"{{"schema":"{schema}","version":"0","method":"stepping","error_ppm":{error},
                "sd_ppm":{sd},"source":{{"path":"x.wav"}},"warnings":[]}}"#
            ))
        };
        let good = with("endshake.clock/1", "-22.5", "0.3").unwrap();
        assert_eq!(good.clock.error.ppm(), -22.5);
        assert!(good.clock.calibrated);
        assert!(with("endshake.clock/2", "1", "1").unwrap_err().contains("endshake.clock/2"));
        assert!(with("endshake.clock/1", "1e9", "1").unwrap_err().contains("must lie between"));
        assert!(with("endshake.clock/1", "1", "-1").is_err());
        assert!(with("endshake.clock/1", "1", "1e308").unwrap_err().contains("100000"));
        assert!(parse("RIFF").is_err());
    }
}
