//! A kept sound heard again: for its pictures, or with other settings.

use crate::convert::settings_of;
use crate::failure::Failure;
use audio::AudioFile;
use beats::{Listener, Settings};
use jobs::{MediaHash, Reading, ReadingSettings};
use std::num::NonZeroUsize;
use std::path::Path;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use store::{Kept, Store};
use tokio::io::AsyncWriteExt;
use tokio::sync::{OnceCell, Semaphore, watch};
use tokio_stream::StreamExt;

/// Readings that are held once heard again: whoever looks at one looks at several pictures of it.
const HELD: NonZeroUsize = NonZeroUsize::new(16).unwrap();
/// Sounds that are heard again at the same time; one takes up to 100 MiB.
const AT_ONCE: usize = 2;

/// What is heard in a sound with some settings. The same sound heard with the same settings says
/// the same, whatever else is noted of its reading.
#[derive(Default)]
struct Hearing {
    heard: OnceCell<Arc<beats::Reading>>,
    /// How much of the sound was heard, ms: for those who wait.
    so_far_ms: Arc<AtomicU64>,
}

pub(crate) struct Rehearing {
    /// The latest looked at last. Settings hold numbers, so they are compared, not hashed.
    held: Mutex<Vec<(MediaHash, ReadingSettings, Arc<Hearing>)>>,
    turns: Arc<Semaphore>,
    /// Turns true when the program is to end: nothing is heard further then.
    ending: watch::Receiver<bool>,
}

impl Rehearing {
    pub(crate) fn new(ending: watch::Receiver<bool>) -> Self {
        Self { held: Mutex::default(), turns: Arc::new(Semaphore::new(AT_ONCE)), ending }
    }

    /// All that was heard in a kept reading, its settings as they were. Those who ask for the same
    /// at the same time wait for one hearing.
    pub(crate) async fn whole(
        &self,
        store: &Store,
        kept: &Kept<Reading>,
    ) -> Result<Arc<beats::Reading>, Failure> {
        let settings = settings_of(&kept.value.settings)?;
        let hearing = self.held(sound_of(&kept.value)?, &kept.value.settings);
        let so_far_ms = hearing.so_far_ms.clone();
        let hear = async {
            let heard = self.heard(store, &kept.value, settings, so_far_ms).await?;
            Ok(Arc::new(heard))
        };
        hearing.heard.get_or_try_init(|| hear).await.cloned()
    }

    /// How much of a kept reading's sound was heard by now, seconds; nothing where nobody asked for
    /// it. All of it where it was heard to its end.
    pub(crate) fn so_far_s(&self, reading: &Reading) -> Option<f64> {
        let sound = reading.sound?;
        let held = self.held.lock().unwrap_or_else(PoisonError::into_inner);
        let (_, _, hearing) =
            held.iter().find(|(of, with, _)| *of == sound && *with == reading.settings)?;
        if hearing.heard.initialized() {
            return Some(reading.duration_s);
        }
        Some(hearing.so_far_ms.load(Ordering::Relaxed) as f64 / 1e3)
    }

    fn held(&self, sound: MediaHash, settings: &ReadingSettings) -> Arc<Hearing> {
        let mut held = self.held.lock().unwrap_or_else(PoisonError::into_inner);
        let same = held.iter().position(|(of, with, _)| *of == sound && with == settings);
        let one = match same {
            Some(place) => held.remove(place),
            None => (sound, settings.clone(), Arc::default()),
        };
        let heard = one.2.clone();
        held.push(one);
        let more = held.len().saturating_sub(HELD.get());
        held.drain(..more);
        heard
    }

    /// What is heard in its sound with these settings. Ends early where nobody waits any more.
    pub(crate) async fn with(
        &self,
        store: &Store,
        reading: &Reading,
        settings: Settings,
    ) -> Result<beats::Reading, Failure> {
        self.heard(store, reading, settings, Arc::default()).await
    }

    async fn heard(
        &self,
        store: &Store,
        reading: &Reading,
        settings: Settings,
        so_far_ms: Arc<AtomicU64>,
    ) -> Result<beats::Reading, Failure> {
        let sound = sound_of(reading)?;
        let turn = self.turns.clone().acquire_owned().await;
        let turn = turn.map_err(|e| Failure::Ours(e.to_string()))?;
        let file = fetched(store, &sound).await?;
        let waiting = Waiting::default();
        let (gone, ending) = (waiting.0.clone(), self.ending.clone());
        let hear = move || {
            let wanted = |so_far_s: f64| {
                so_far_ms.store((1e3 * so_far_s) as u64, Ordering::Relaxed);
                !gone.load(Ordering::Relaxed) && !*ending.borrow()
            };
            let heard = hear_while(file.path(), settings, wanted);
            // The turn ends with the work, be it that nobody waits for it.
            drop(turn);
            heard
        };
        let heard = tokio::task::spawn_blocking(hear).await?.map_err(unreadable);
        drop(waiting);
        heard?.ok_or_else(|| Failure::NotNow("The program ends.".into()))
    }
}

/// Somebody waits; the flag is raised when they do no more.
#[derive(Default)]
struct Waiting(Arc<AtomicBool>);

impl Drop for Waiting {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

fn sound_of(reading: &Reading) -> Result<MediaHash, Failure> {
    reading.sound.ok_or_else(|| {
        Failure::NotFound(
            "No sound was kept with this reading, so it cannot be heard again.".into(),
        )
    })
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

/// Hears a sound file from end to end; nothing where the program is to end before that.
pub(crate) fn hear_unless(
    path: &Path,
    settings: Settings,
    ending: &watch::Receiver<bool>,
) -> Result<Option<beats::Reading>, Failure> {
    hear_while(path, settings, |_| !*ending.borrow()).map_err(unreadable)
}

/// Hears a sound file from end to end.
///
/// # Errors
/// Why it cannot be read.
pub fn hear_file(path: &Path, settings: Settings) -> Result<beats::Reading, audio::AudioError> {
    let (mut file, mut listener) = opened(path, settings)?;
    hear_on(&mut file, &mut listener, |_| true)?;
    Ok(listener.reading())
}

/// Hears a kept sound again, with the settings that it was read with; nothing where `go_on` says no, which is
/// told how much of it was heard, seconds.
///
/// # Errors
/// Why it cannot be heard, as a sentence.
pub fn hear_again(
    path: &Path,
    settings: &ReadingSettings,
    go_on: impl Fn(f64) -> bool,
) -> Result<Option<beats::Reading>, String> {
    let settings = settings_of(settings).map_err(Failure::sentence)?;
    hear_while(path, settings, go_on).map_err(|error| unreadable(error).sentence())
}

#[expect(clippy::needless_pass_by_value, reason = "it stands in map_err")]
fn unreadable(error: audio::AudioError) -> Failure {
    Failure::Invalid(format!("The sound cannot be read: {error}"))
}

/// Hears a sound file; nothing where it is left before its end. `go_on` is told how much of it was
/// heard, seconds.
fn hear_while(
    path: &Path,
    settings: Settings,
    go_on: impl Fn(f64) -> bool,
) -> Result<Option<beats::Reading>, audio::AudioError> {
    let (mut file, mut listener) = opened(path, settings)?;
    let whole = hear_on(&mut file, &mut listener, go_on)?;
    Ok(whole.then(|| listener.reading()))
}

fn opened(path: &Path, settings: Settings) -> Result<(AudioFile, Listener), audio::AudioError> {
    let file = AudioFile::open(path)?;
    let listener = Listener::new(file.sample_rate(), file.channels(), settings);
    Ok((file, listener))
}

/// Whether all of it was heard.
fn hear_on(
    file: &mut AudioFile,
    listener: &mut Listener,
    go_on: impl Fn(f64) -> bool,
) -> Result<bool, audio::AudioError> {
    let mut block = Vec::new();
    let samples_per_s = file.sample_rate().hz() * file.channels() as f64;
    let mut samples = 0_u64;
    while go_on(samples as f64 / samples_per_s) {
        if !file.next_block(&mut block)? {
            return Ok(true);
        }
        samples += block.len() as u64;
        listener.push(&block);
        block.clear();
    }
    Ok(false)
}
