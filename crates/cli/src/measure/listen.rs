//! One recording through the engine.

use crate::failure::{Failure, Status};
use crate::interrupt;
use crate::progress::{Piece, Progress};
use audio::{AudioError, AudioFile, Damage, Selection};
use beats::{Listener, Reading, Settings};
use quantities::{RecorderClock, SampleRate};
use std::borrow::Cow;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};

/// A recording and what was heard in it.
#[derive(Debug)]
pub(crate) struct Heard {
    pub(crate) source: SourceFacts,
    pub(crate) settings: Settings,
    pub(crate) clock: RecorderClock,
    pub(crate) reading: Reading,
    pub(crate) damage: Vec<Damage>,
    pub(crate) damage_beyond_list: u64,
    /// Why reading ended before the end of the file, where it did.
    pub(crate) broken_off: Option<AudioError>,
    /// What else should be known, as stable code and sentence.
    pub(crate) remarks: Vec<(&'static str, String)>,
}

/// What the file is.
#[derive(Debug)]
pub(crate) struct SourceFacts {
    pub(crate) path: PathBuf,
    pub(crate) format: String,
    pub(crate) sample_rate: SampleRate,
    /// Channels listened to.
    pub(crate) channels: usize,
    pub(crate) channels_in_file: usize,
    /// Where listening began, seconds from the start of the file.
    pub(crate) start_s: f64,
}

/// Stable code of a warning that the file itself is damaged.
const DAMAGED_FILE: &str = "damaged_file";

impl Heard {
    /// Warnings of engine, file and ourselves, as stable code and sentence.
    pub(crate) fn notices(&self) -> impl Iterator<Item = (&'static str, Cow<'_, str>)> {
        let engine = self.reading.warnings.iter();
        let engine = engine.map(|w| (w.code.name(), Cow::Borrowed(w.message.as_str())));
        let remarks = self.remarks.iter().map(|(code, words)| (*code, Cow::Borrowed(&**words)));
        let file = self.damage.iter().map(|d| (DAMAGED_FILE, Cow::Owned(d.to_string())));
        let more = (self.damage_beyond_list > 0).then(|| {
            let count = self.damage_beyond_list;
            (DAMAGED_FILE, Cow::Owned(format!("The file is damaged in {count} more places.")))
        });
        let broken = self.broken_off.iter().map(|error| {
            let at_s = self.source.start_s + self.reading.duration_s;
            let words = format!("Only the first {at_s:.1} s of the file were used. {error}");
            (DAMAGED_FILE, Cow::Owned(words))
        });
        engine.chain(remarks).chain(file).chain(more).chain(broken)
    }

    /// Whether a watch was heard.
    pub(crate) fn status(&self) -> Status {
        if self.reading.balances.is_empty() { Status::NoWatch } else { Status::Done }
    }
}

/// Reads a recording from end to end and listens to it. A fault of our own in one recording does
/// not take the others with it.
pub(crate) fn listen(
    path: &Path,
    selection: &Selection,
    settings: &Settings,
    progress: &Progress,
) -> Result<Heard, Failure> {
    catch_unwind(AssertUnwindSafe(|| attempt(path, selection, settings, progress))).unwrap_or_else(
        |_| {
            Err(Failure::Unreadable(
                "The program itself failed on this recording: please keep the file and report it."
                    .into(),
            ))
        },
    )
}

fn attempt(
    path: &Path,
    selection: &Selection,
    settings: &Settings,
    progress: &Progress,
) -> Result<Heard, Failure> {
    let mut file = AudioFile::open_part(path, selection).map_err(|e| failure(&e))?;
    let sample_rate = file.sample_rate();
    let mut piece = Piece::new(progress, length_hint_s(&file, selection));
    let mut listener = Listener::new(sample_rate, file.channels(), settings.clone());
    let mut block = Vec::new();
    let broken_off = loop {
        if interrupt::pressed() {
            return Err(Failure::Interrupted);
        }
        match file.next_block(&mut block) {
            Ok(true) => {}
            Ok(false) => break None,
            Err(error) if file.frames_read() > 0 => break Some(error),
            Err(error) => return Err(failure(&error)),
        }
        listener.push(&block);
        block.clear();
        piece.reached(file.frames_read() as f64 / sample_rate.hz());
    };
    Ok(Heard {
        source: SourceFacts {
            path: path.to_owned(),
            format: file.format().to_owned(),
            sample_rate,
            channels: file.channels(),
            channels_in_file: file.file_channels(),
            start_s: file.start_frame() as f64 / sample_rate.hz(),
        },
        settings: settings.clone(),
        clock: settings.clock,
        reading: listener.reading(),
        damage: file.damage().to_vec(),
        damage_beyond_list: file.damage_beyond_list(),
        broken_off,
        remarks: Vec::new(),
    })
}

/// How much sound is to be expected, where the file's header says.
fn length_hint_s(file: &AudioFile, selection: &Selection) -> Option<f64> {
    let left_s = file.duration_hint_s().map(|whole_s| whole_s - selection.start_s);
    match (left_s, selection.length_s) {
        (Some(left_s), Some(length_s)) => Some(left_s.min(length_s)),
        (left_s, length_s) => left_s.or(length_s),
    }
}

/// A part that is not in the recording is the user's mistake, everything else the file's.
pub(crate) fn failure(error: &AudioError) -> Failure {
    match error {
        AudioError::Selection(_) => Failure::WrongUse(error.to_string()),
        _ => Failure::Unreadable(error.to_string()),
    }
}
