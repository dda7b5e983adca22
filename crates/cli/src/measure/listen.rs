//! One recording through the engine.

use super::turns::{self, Turns};
use crate::failure::{Failure, Status};
use crate::progress::Progress;
use crate::sound::{Sound, SourceFacts};
use audio::Selection;
use beats::{Listener, Reading, Settings};
use horology::train::Cycle;
use quantities::RecorderClock;
use std::borrow::Cow;
use std::path::Path;
use std::sync::Arc;

/// A recording and what was heard in it.
#[derive(Debug)]
pub(crate) struct Heard {
    pub(crate) source: SourceFacts,
    pub(crate) settings: Settings,
    pub(crate) reading: Reading,
    /// What else should be known, as stable code and sentence.
    pub(crate) remarks: Vec<(&'static str, String)>,
    /// Everything that repeats in the movement, where that is known.
    pub(crate) cycles: Option<Arc<[Cycle]>>,
}

impl Heard {
    /// Warnings of engine, file and ourselves, as stable code and sentence.
    pub(crate) fn notices(&self) -> impl Iterator<Item = (&'static str, Cow<'_, str>)> {
        let engine = self.reading.warnings.iter();
        let engine = engine.map(|w| (w.code.name(), Cow::Borrowed(w.message.as_str())));
        let remarks = self.remarks.iter().map(|(code, words)| (*code, Cow::Borrowed(&**words)));
        engine.chain(remarks).chain(self.source.notices())
    }

    /// What the engine knew of the recorder's clock.
    pub(crate) fn clock(&self) -> &RecorderClock {
        &self.settings.clock
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
    turns: &Turns,
) -> Result<Heard, Failure> {
    let opened = turns::apart(|| Sound::open(path, selection, progress));
    let sound = opened.unwrap_or_else(|_| Err(failed()))?;
    let samples_per_s = sound.sample_rate().hz() * sound.channels() as f64;
    let _turn = turns.for_recording(samples_per_s, sound.length_hint_s());
    turns::apart(|| attempt(sound, settings)).unwrap_or_else(|_| Err(failed()))
}

fn failed() -> Failure {
    Failure::Unreadable(
        "The program itself failed on this recording: please keep the file and report it.".into(),
    )
}

fn attempt(mut sound: Sound<'_>, settings: &Settings) -> Result<Heard, Failure> {
    let mut listener = Listener::new(sound.sample_rate(), sound.channels(), settings.clone());
    while let Some(block) = sound.next_block()? {
        listener.push(block);
    }
    Ok(Heard {
        source: sound.finish(),
        settings: settings.clone(),
        reading: listener.reading(),
        remarks: Vec::new(),
        cycles: None,
    })
}
