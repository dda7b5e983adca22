//! One recording through the engine.

use audio::{AudioError, AudioFile, Damage, Selection};
use beats::{Listener, Reading, Settings};
use quantities::{RecorderClock, SampleRate};
use std::borrow::Cow;
use std::path::{Path, PathBuf};

/// A recording and what was heard in it.
#[derive(Debug)]
pub(crate) struct Heard {
    pub(crate) source: SourceFacts,
    pub(crate) clock: RecorderClock,
    pub(crate) reading: Reading,
    damage: Vec<Damage>,
    damage_beyond_list: u64,
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
    /// Warnings of engine and file, as stable code and sentence.
    pub(crate) fn notices(&self) -> impl Iterator<Item = (&'static str, Cow<'_, str>)> {
        let engine = self.reading.warnings.iter();
        let engine = engine.map(|w| (w.code.name(), Cow::Borrowed(w.message.as_str())));
        let file = self.damage.iter().map(|d| (DAMAGED_FILE, Cow::Owned(d.to_string())));
        let more = (self.damage_beyond_list > 0).then(|| {
            let count = self.damage_beyond_list;
            (DAMAGED_FILE, Cow::Owned(format!("The file is damaged in {count} more places.")))
        });
        engine.chain(file).chain(more)
    }
}

/// Reads a recording from end to end and listens to it.
pub(crate) fn listen(
    path: &Path,
    selection: &Selection,
    settings: &Settings,
) -> Result<Heard, AudioError> {
    let mut file = AudioFile::open_part(path, selection)?;
    let mut listener = Listener::new(file.sample_rate(), file.channels(), settings.clone());
    let mut block = Vec::new();
    while file.next_block(&mut block)? {
        listener.push(&block);
        block.clear();
    }
    Ok(Heard {
        source: SourceFacts {
            path: path.to_owned(),
            format: file.format().to_owned(),
            sample_rate: file.sample_rate(),
            channels: file.channels(),
            channels_in_file: file.file_channels(),
            start_s: file.start_frame() as f64 / file.sample_rate().hz(),
        },
        clock: settings.clock,
        reading: listener.reading(),
        damage: file.damage().to_vec(),
        damage_beyond_list: file.damage_beyond_list(),
    })
}
