use crate::source::{Arrived, Source, SourceFacts};
use audio::{AudioError, AudioFile, Encoding};
use std::path::Path;
use std::time::{Duration, Instant};

/// Sound is handed over in blocks of this length, seconds: what a sound card does.
const BLOCK_S: f64 = 0.05;

/// How fast a file is played.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pace {
    /// As it was recorded: a minute of it takes a minute.
    RealTime,
    /// As fast as it is taken.
    AsFast,
}

/// A recording played as if it were a pickup.
pub struct FileSource {
    file: AudioFile,
    facts: SourceFacts,
    pace: Pace,
    /// Read but not yet handed over.
    read: Vec<f32>,
    /// How much of it has been.
    handed: usize,
    /// Frames handed over so far.
    frames: u64,
    started: Option<Instant>,
    at_end: Option<Option<String>>,
}

impl FileSource {
    /// Opens a file.
    ///
    /// # Errors
    /// As [`AudioFile::open`].
    pub fn open(path: &Path, pace: Pace) -> Result<Self, AudioError> {
        let file = AudioFile::open(path)?;
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let facts = SourceFacts {
            name,
            sample_rate: file.sample_rate(),
            channels: file.channels(),
            encoding: Encoding::Bits24,
        };
        Ok(Self {
            file,
            facts,
            pace,
            read: Vec::new(),
            handed: 0,
            frames: 0,
            started: None,
            at_end: None,
        })
    }

    /// Reads on until so many frames are there, or the file ends.
    fn read_ahead(&mut self, frames: usize) {
        let wanted = frames * self.facts.channels;
        if self.handed > 0 && self.read.len() - self.handed < wanted {
            self.read.drain(..self.handed);
            self.handed = 0;
        }
        while self.at_end.is_none() && self.read.len() - self.handed < wanted {
            match self.file.next_block(&mut self.read) {
                Ok(true) => {}
                Ok(false) => self.at_end = Some(None),
                Err(error) => self.at_end = Some(Some(error.to_string())),
            }
        }
    }
}

impl Source for FileSource {
    fn facts(&self) -> &SourceFacts {
        &self.facts
    }

    fn next(&mut self, into: &mut Vec<f32>, wait: Duration) -> Arrived {
        let rate_hz = self.facts.sample_rate.hz();
        let block = (BLOCK_S * rate_hz) as usize;
        if self.pace == Pace::RealTime {
            let started = *self.started.get_or_insert_with(Instant::now);
            let due_s = (self.frames + block as u64) as f64 / rate_hz;
            let due = started + Duration::from_secs_f64(due_s);
            let left = due.saturating_duration_since(Instant::now());
            std::thread::sleep(left.min(wait));
            if left > wait {
                return Arrived::Nothing;
            }
        }
        self.read_ahead(block);
        let there = self.read.len() - self.handed;
        let now = there.min(block * self.facts.channels);
        if now == 0 {
            return Arrived::End(self.at_end.clone().flatten());
        }
        into.extend_from_slice(&self.read[self.handed..self.handed + now]);
        self.handed += now;
        let first_frame = self.frames;
        self.frames += (now / self.facts.channels) as u64;
        Arrived::Sound { first_frame }
    }
}
