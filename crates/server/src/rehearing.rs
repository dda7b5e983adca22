//! A kept sound heard again: for its pictures, or with other settings.

use crate::convert::settings_of;
use crate::failure::Failure;
use audio::AudioFile;
use beats::{Listener, Settings};
use jobs::{MediaHash, Reading, ReadingId};
use std::num::NonZeroUsize;
use std::sync::{Arc, Mutex, PoisonError};
use store::{Kept, Store};
use tokio::io::AsyncWriteExt;
use tokio::sync::Semaphore;
use tokio_stream::StreamExt;

/// Readings that are held once heard again: whoever looks at one looks at several pictures of it.
const HELD: NonZeroUsize = NonZeroUsize::new(16).unwrap();
/// Sounds that are heard again at the same time; one takes up to 100 MiB.
const AT_ONCE: usize = 2;

type Heard = lru::LruCache<(ReadingId, i64), Arc<beats::Reading>>;

pub(crate) struct Rehearing {
    held: Mutex<Heard>,
    turns: Semaphore,
}

impl Default for Rehearing {
    fn default() -> Self {
        Self { held: Mutex::new(Heard::new(HELD)), turns: Semaphore::new(AT_ONCE) }
    }
}

impl Rehearing {
    /// All that was heard in a kept reading, its settings as they were.
    pub(crate) async fn whole(
        &self,
        store: &Store,
        kept: &Kept<Reading>,
    ) -> Result<Arc<beats::Reading>, Failure> {
        let key = (kept.id, kept.version);
        if let Some(held) = self.held.lock().unwrap_or_else(PoisonError::into_inner).get(&key) {
            return Ok(held.clone());
        }
        let settings = settings_of(&kept.value.settings)?;
        let heard = Arc::new(self.with(store, &kept.value, settings).await?);
        self.held.lock().unwrap_or_else(PoisonError::into_inner).put(key, heard.clone());
        Ok(heard)
    }

    /// What is heard in its sound with these settings.
    pub(crate) async fn with(
        &self,
        store: &Store,
        reading: &Reading,
        settings: Settings,
    ) -> Result<beats::Reading, Failure> {
        let sound = reading.sound.ok_or_else(|| {
            Failure::NotFound(
                "No sound was kept with this reading, so it cannot be heard again.".into(),
            )
        })?;
        let _turn = self.turns.acquire().await.map_err(|e| Failure::Ours(e.to_string()))?;
        let file = fetched(store, &sound).await?;
        tokio::task::spawn_blocking(move || hear(file.path(), settings)).await?
    }
}

/// A sound from the store as a file, for as long as it is looked at.
async fn fetched(store: &Store, sound: &MediaHash) -> Result<tempfile::NamedTempFile, Failure> {
    let cannot = |e: std::io::Error| Failure::from(store::Error::from(e));
    let file = tempfile::Builder::new().suffix(".flac").tempfile().map_err(cannot)?;
    let mut writer = tokio::fs::File::create(file.path()).await.map_err(cannot)?;
    let mut blocks = store.media_stream(sound).await?;
    while let Some(block) = blocks.next().await {
        writer.write_all(&block?).await.map_err(cannot)?;
    }
    writer.flush().await.map_err(cannot)?;
    Ok(file)
}

/// Hears a sound file from end to end.
pub(crate) fn hear(path: &std::path::Path, settings: Settings) -> Result<beats::Reading, Failure> {
    let cannot = |e: audio::AudioError| Failure::Invalid(format!("The sound cannot be read: {e}"));
    let mut file = AudioFile::open(path).map_err(cannot)?;
    let mut listener = Listener::new(file.sample_rate(), file.channels(), settings);
    let mut block = Vec::new();
    while file.next_block(&mut block).map_err(cannot)? {
        listener.push(&block);
        block.clear();
    }
    Ok(listener.reading())
}
