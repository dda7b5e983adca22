//! A recording as it is read: block by block, with progress, and stopped by Ctrl-C.

use crate::arguments::{ChannelWish, Seconds};
use crate::failure::Failure;
use crate::interrupt::{self, Stoppable};
use crate::progress::{Piece, Progress};
use crate::shown;
use crate::standard_input;
use audio::{AudioError, AudioFile, Channels, Damage, DamageKind, Selection};
use quantities::SampleRate;
use std::borrow::Cow;
use std::path::{Path, PathBuf};

/// A recording that is being read.
pub(crate) struct Sound<'a> {
    path: PathBuf,
    file: AudioFile,
    piece: Piece<'a>,
    block: Vec<f32>,
    broken_off: Option<AudioError>,
    length_hint_s: Option<f64>,
}

/// What the recording is, once it has been read.
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
    /// How much was listened to: frames, one sample a channel...
    pub(crate) frames: u64,
    /// ... and seconds of the recorder's nominal clock.
    pub(crate) duration_s: f64,
    damage: Vec<Damage>,
    damage_beyond_list: u64,
    /// Why reading ended before the end of the file, where it did.
    broken_off: Option<AudioError>,
}

/// Which part of a recording to read.
pub(crate) fn selection(
    start: Option<Seconds>,
    length: Option<Seconds>,
    channel: ChannelWish,
) -> Selection {
    Selection {
        start_s: start.map_or(0.0, |s| s.0),
        length_s: length.map(|s| s.0),
        channels: match channel {
            ChannelWish::All => Channels::All,
            ChannelWish::Number(number) => Channels::One(number.saturating_sub(1)),
        },
    }
}

/// The name of a file without its folder.
pub(crate) fn name(path: &Path) -> String {
    if standard_input::is_meant(path) {
        return standard_input::shown(path);
    }
    shown::safe(&path.file_name().unwrap_or_default().to_string_lossy()).into_owned()
}

impl<'a> Sound<'a> {
    pub(crate) fn open(
        path: &Path,
        selection: &Selection,
        progress: &'a Progress,
    ) -> Result<Self, Failure> {
        let file = if standard_input::is_meant(path) {
            standard_input::spooled()?
        } else {
            audio::open_file(path).map_err(|e| failure(&e))?
        };
        let file = AudioFile::from_reader(Stoppable::new(file), selection);
        let file = file.map_err(|e| failure(&e))?;
        let length_hint_s = length_hint_s(&file, selection);
        let piece = Piece::new(progress, length_hint_s);
        let (path, block) = (path.to_owned(), Vec::new());
        Ok(Self { path, file, piece, block, broken_off: None, length_hint_s })
    }

    /// How much sound is to be expected, where the file's header says.
    pub(crate) fn length_hint_s(&self) -> Option<f64> {
        self.length_hint_s
    }

    pub(crate) fn sample_rate(&self) -> SampleRate {
        self.file.sample_rate()
    }

    pub(crate) fn channels(&self) -> usize {
        self.file.channels()
    }

    /// The next interleaved samples; `None` at the end. Where the file breaks off, what was read
    /// before stays good.
    pub(crate) fn next_block(&mut self) -> Result<Option<&[f32]>, Failure> {
        self.block.clear();
        let read = self.file.next_block(&mut self.block);
        // What was stopped may look like the end of the file.
        if interrupt::pressed() {
            return Err(Failure::Interrupted);
        }
        match read {
            Ok(true) => {
                self.piece.reached(self.read_s());
                Ok(Some(&self.block))
            }
            Ok(false) => Ok(None),
            Err(error) if self.file.frames_read() > 0 => {
                self.broken_off = Some(error);
                Ok(None)
            }
            Err(error) => Err(failure(&error)),
        }
    }

    fn read_s(&self) -> f64 {
        self.file.frames_read() as f64 / self.file.sample_rate().hz()
    }

    pub(crate) fn finish(self) -> SourceFacts {
        let duration_s = self.read_s();
        let file = self.file;
        SourceFacts {
            path: self.path,
            format: file.format().to_owned(),
            sample_rate: file.sample_rate(),
            channels: file.channels(),
            channels_in_file: file.file_channels(),
            start_s: file.start_frame() as f64 / file.sample_rate().hz(),
            frames: file.frames_read(),
            duration_s,
            damage: file.damage().to_vec(),
            damage_beyond_list: file.damage_beyond_list(),
            broken_off: self.broken_off,
        }
    }
}

/// Stable code of a warning that the file itself is damaged.
const DAMAGED_FILE: &str = "damaged_file";

impl SourceFacts {
    /// Of sound that was heard live, and lies in this file where it was kept.
    #[cfg(feature = "capture")]
    pub(crate) fn live(path: PathBuf, device: &str, taken: &live::Taken) -> Self {
        Self {
            path,
            format: format!("live from “{}”", shown::safe(device)),
            sample_rate: taken.sample_rate,
            channels: taken.channels,
            channels_in_file: taken.channels,
            start_s: 0.0,
            frames: taken.frames,
            duration_s: taken.duration_s,
            damage: Vec::new(),
            damage_beyond_list: 0,
            broken_off: None,
        }
    }

    /// Why what was read is not the whole of what was recorded in one go, as a sentence, where it is
    /// not. Samples that are no numbers are all there, so they take nothing from its length.
    pub(crate) fn not_whole(&self) -> Option<String> {
        let broken = self.broken_off.as_ref().map(ToString::to_string);
        let listed = || self.damage.iter().find(|d| d.kind != DamageKind::NotNumbers);
        let beyond = (self.damage_beyond_list > 0)
            .then(|| format!("The file is damaged in {} more places.", self.damage_beyond_list));
        broken.or_else(|| listed().map(ToString::to_string)).or(beyond)
    }

    /// A place between these two moments of the file, seconds, where sound of unknown length is
    /// missing: times before and after it do not belong together.
    pub(crate) fn gap_between(&self, from_s: f64, to_s: f64) -> Option<String> {
        let between = |d: &&Damage| d.kind == DamageKind::LengthUnknown && d.at_s > from_s;
        self.damage.iter().filter(between).find(|d| d.at_s < to_s).map(ToString::to_string)
    }

    /// What is wrong with the file, as stable code and sentence.
    pub(crate) fn notices(&self) -> impl Iterator<Item = (&'static str, Cow<'_, str>)> {
        let listed = self.damage.iter().map(ToString::to_string);
        let more = (self.damage_beyond_list > 0)
            .then(|| format!("The file is damaged in {} more places.", self.damage_beyond_list));
        let broken = self.broken_off.iter().map(|error| {
            let at_s = self.start_s + self.duration_s;
            format!("Only the first {at_s:.1} s of the file were used. {error}")
        });
        listed.chain(more).chain(broken).map(|words| (DAMAGED_FILE, Cow::Owned(words)))
    }
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
fn failure(error: &AudioError) -> Failure {
    match error {
        _ if interrupt::pressed() => Failure::Interrupted,
        AudioError::Selection(_) => Failure::WrongUse(error.to_string()),
        _ => Failure::Unreadable(error.to_string()),
    }
}
