use std::fs::{self, File};
use std::io::{self, ErrorKind, Read, Seek, SeekFrom};
use std::path::Path;

use quantities::SampleRate;

use crate::damage::{Damage, DamageKind, DamageLog};
use crate::error::{AudioError, OpenFailure};
use crate::frames::{FrameSource, Shape};
use crate::ogg::Ogg;
use crate::packets::Packets;
use crate::plain::{Layout, Plain};
use crate::selection::{Channels, Selection};
use crate::sniff::{Container, sniff};
use crate::source::{ByteSource, Search};

/// A recording that is open for reading, from its start (or the chosen one) to its end.
///
/// When it has been opened, its first block has been decoded: sample rate and channels are facts,
/// not claims of a header.
pub struct AudioFile {
    source: Patient,
    damage: DamageLog,
    sample_rate: SampleRate,
    channels: usize,
    file_channels: usize,
    format: String,
    duration_s: Option<f64>,
    choice: Channels,
    /// Decoded at opening, not yet handed over: interleaved, all channels.
    first: Vec<f32>,
    /// Where blocks land before channels are picked.
    scratch: Vec<f32>,
    frames_left: Option<u64>,
    frames_read: u64,
    start_frame: u64,
}

impl AudioFile {
    /// Opens the whole of a recording.
    ///
    /// # Errors
    /// See [`AudioError`]; a file that yields no sound at all is one.
    pub fn open(path: &Path) -> Result<Self, AudioError> {
        Self::open_part(path, &Selection::default())
    }

    /// Opens part of a recording.
    ///
    /// # Errors
    /// As [`AudioFile::open`], and [`AudioError::Selection`] where the part is not in it.
    pub fn open_part(path: &Path, selection: &Selection) -> Result<Self, AudioError> {
        Self::from_reader(open_file(path)?, selection)
    }

    /// Opens part of a recording from anything that can be read and searched. A reader whose `read`
    /// fails (but not as interrupted) ends the work soon, even where a decoder is looking for sound
    /// in what is none.
    ///
    /// # Errors
    /// As [`AudioFile::open_part`].
    pub fn from_reader<R>(reader: R, selection: &Selection) -> Result<Self, AudioError>
    where
        R: Read + Seek + Send + 'static,
    {
        let mut bytes = ByteSource::new(Box::new(reader))
            .map_err(|error| AudioError::ReadFailed(error.to_string()))?;
        let search = bytes.search();
        let source = sniff(&mut bytes).and_then(|container| open_container(bytes, container));
        let source = source.map_err(|error| given_up(&search).unwrap_or(error))?;
        Self::start(Patient { source, search }, selection)
    }

    fn start(mut source: Patient, selection: &Selection) -> Result<Self, AudioError> {
        let mut damage = DamageLog::default();
        let mut first = Vec::new();
        // Some sources only know their rate once they have decoded something; they cannot skip.
        let skipped = match source.shape().check() {
            Ok(rate) => source.source.skip(selection.in_frames(rate.hz())?.0)?,
            Err(_) => 0,
        };
        let some = source.next_block(&mut first, &mut damage)?;
        if !some && skipped == 0 {
            return Err(nothing_read(&damage));
        }
        let shape = source.shape().clone();
        let sample_rate = shape.check()?;
        let (start_frame, frames_left) = selection.in_frames(sample_rate.hz())?;
        let mut file = Self {
            source,
            damage,
            sample_rate,
            channels: selection.channels.count(shape.channels)?,
            file_channels: shape.channels,
            duration_s: shape.frames_hint.map(|frames| frames as f64 / sample_rate.hz()),
            format: shape.format,
            choice: selection.channels,
            first,
            scratch: Vec::new(),
            frames_left,
            frames_read: 0,
            start_frame,
        };
        file.drop_frames(start_frame.saturating_sub(skipped), skipped, some)?;
        Ok(file)
    }

    /// Decodes and drops what lies before the chosen start.
    fn drop_frames(
        &mut self,
        mut drop: u64,
        mut behind: u64,
        mut some: bool,
    ) -> Result<(), AudioError> {
        loop {
            let held = (self.first.len() / self.file_channels) as u64;
            if held > drop {
                self.first.drain(..drop as usize * self.file_channels);
                return Ok(());
            }
            drop -= held;
            behind += held;
            self.first.clear();
            if some {
                some = self.source.next_block(&mut self.first, &mut self.damage)?;
            }
            if !some {
                let length_s = behind as f64 / self.sample_rate.hz();
                return Err(AudioError::Selection(format!(
                    "The start asked for lies behind the end of the recording, which is \
                     {length_s:.3} s long: choose an earlier start."
                )));
            }
        }
    }

    /// Samples per second of each channel.
    #[must_use]
    pub fn sample_rate(&self) -> SampleRate {
        self.sample_rate
    }

    /// Channels in the blocks, 1 to [`crate::MOST_CHANNELS`].
    #[must_use]
    pub fn channels(&self) -> usize {
        self.channels
    }

    /// Channels in the file, chosen or not.
    #[must_use]
    pub fn file_channels(&self) -> usize {
        self.file_channels
    }

    /// Length of the whole file in seconds as its header has it: a hint for progress, absent where
    /// the header does not say, and not to be relied on.
    #[must_use]
    pub fn duration_hint_s(&self) -> Option<f64> {
        self.duration_s
    }

    /// Codec and container for people, e.g. `FLAC` or `AAC in MP4`.
    #[must_use]
    pub fn format(&self) -> &str {
        &self.format
    }

    /// Frames handed over so far.
    #[must_use]
    pub fn frames_read(&self) -> u64 {
        self.frames_read
    }

    /// The first frame of the first block, counted from the start of the file.
    #[must_use]
    pub fn start_frame(&self) -> u64 {
        self.start_frame
    }

    /// What has been found wrong so far (at most a hundred places); complete once the end has been
    /// reached.
    #[must_use]
    pub fn damage(&self) -> &[Damage] {
        self.damage.entries()
    }

    /// Places found wrong beyond those that [`AudioFile::damage`] lists.
    #[must_use]
    pub fn damage_beyond_list(&self) -> u64 {
        self.damage.beyond_cap()
    }

    /// Appends the next block of interleaved samples, [`AudioFile::channels`] to a frame, whole
    /// frames only, every value finite. Gives `false` at the end, with nothing appended.
    ///
    /// # Errors
    /// Where the storage fails, the sound changes its make midway or a limit is reached; what was
    /// handed over before stays good.
    pub fn next_block(&mut self, into: &mut Vec<f32>) -> Result<bool, AudioError> {
        if self.frames_left == Some(0) {
            return Ok(false);
        }
        let before = into.len();
        if self.first.is_empty() {
            let target = if self.choice == Channels::All { &mut *into } else { &mut self.scratch };
            if !self.source.next_block(target, &mut self.damage)? {
                return Ok(false);
            }
        } else {
            std::mem::swap(&mut self.scratch, &mut self.first);
            self.first = Vec::new();
        }
        if !self.scratch.is_empty() {
            self.choice.pick(&self.scratch, self.file_channels, into);
            self.scratch.clear();
        }
        let mut frames = ((into.len() - before) / self.channels) as u64;
        if let Some(left) = &mut self.frames_left {
            frames = frames.min(*left);
            into.truncate(before + frames as usize * self.channels);
            *left -= frames;
        }
        self.silence_what_is_no_number(&mut into[before..]);
        self.frames_read += frames;
        Ok(true)
    }

    fn silence_what_is_no_number(&mut self, block: &mut [f32]) {
        if block.iter().all(|value| value.is_finite()) {
            return;
        }
        let start = self.start_frame + self.frames_read;
        for (index, value) in block.iter_mut().enumerate() {
            if !value.is_finite() {
                *value = 0.0;
                let frame = start + (index / self.channels) as u64;
                let at_s = frame as f64 / self.sample_rate.hz();
                self.damage.note(DamageKind::NotNumbers, at_s, None);
            }
        }
    }
}

impl std::fmt::Debug for AudioFile {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("AudioFile")
            .field("format", &self.format)
            .field("sample_rate", &self.sample_rate)
            .field("channels", &self.channels)
            .field("frames_read", &self.frames_read)
            .finish_non_exhaustive()
    }
}

/// A decoder of one kind of file, given up where it searches for sound for too long.
struct Patient {
    source: Box<dyn FrameSource>,
    search: Search,
}

impl Patient {
    fn shape(&self) -> &Shape {
        self.source.shape()
    }

    fn next_block(
        &mut self,
        into: &mut Vec<f32>,
        damage: &mut DamageLog,
    ) -> Result<bool, AudioError> {
        let some = self.source.next_block(into, damage);
        if let Some(error) = given_up(&self.search) {
            return Err(error);
        }
        self.search.found();
        some
    }
}

/// Why nothing more is read, where the search for sound took too long: whatever the decoder makes of
/// it.
fn given_up(search: &Search) -> Option<AudioError> {
    let what = "there is no sound in more than a hundred megabytes of it";
    search.is_hopeless().then_some(AudioError::LimitReached(what))
}

/// Opens a file that may be a recording: none is a folder, a device or a pipe.
///
/// # Errors
/// [`AudioError::CannotOpen`].
pub fn open_file(path: &Path) -> Result<File, AudioError> {
    let cannot = AudioError::CannotOpen;
    // Looked at first, because opening a pipe waits for somebody to write to it.
    let about = fs::metadata(path).map_err(|error| cannot(open_failure(&error)))?;
    if about.is_dir() {
        return Err(cannot(OpenFailure::IsFolder));
    }
    if !about.is_file() {
        return Err(cannot(OpenFailure::NoFile));
    }
    File::open(path).map_err(|error| cannot(open_failure(&error)))
}

fn open_container(
    bytes: ByteSource,
    container: Container,
) -> Result<Box<dyn FrameSource>, AudioError> {
    match container {
        Container::Wav => open_plain(bytes, container, crate::riff::read_layout),
        Container::Aiff => open_plain(bytes, container, crate::aiff::read_layout),
        Container::Caf => open_plain(bytes, container, crate::caf::read_layout),
        Container::Ogg => Ok(Box::new(Ogg::open(bytes)?)),
        _ => Ok(Box::new(Packets::open(bytes, container)?)),
    }
}

/// Reads a header; `None` where it names a codec.
type ReadLayout = fn(&mut ByteSource) -> Result<Option<Layout>, AudioError>;

/// Plain samples by the direct way, compressed ones through the decoders.
fn open_plain(
    mut bytes: ByteSource,
    container: Container,
    read_layout: ReadLayout,
) -> Result<Box<dyn FrameSource>, AudioError> {
    if let Some(layout) = read_layout(&mut bytes)? {
        return Ok(Box::new(Plain::open(bytes, &layout)?));
    }
    bytes.seek(SeekFrom::Start(0)).map_err(|error| AudioError::ReadFailed(error.to_string()))?;
    Ok(Box::new(Packets::open(bytes, container)?))
}

fn open_failure(error: &io::Error) -> OpenFailure {
    match error.kind() {
        ErrorKind::NotFound => OpenFailure::NotFound,
        ErrorKind::PermissionDenied => OpenFailure::NotAllowed,
        ErrorKind::IsADirectory => OpenFailure::IsFolder,
        _ => OpenFailure::Other(error.to_string()),
    }
}

fn nothing_read(damage: &DamageLog) -> AudioError {
    if damage.entries().is_empty() {
        AudioError::Empty("There is no sound in this file: the recording was never started.")
    } else {
        AudioError::Damaged { what: "nothing behind its header can be decoded".into() }
    }
}
