//! Watches that are heard live now, whoever looks.

mod aside;
mod frames;
mod in_hand;
mod quartz;
mod watch;

pub(crate) use frames::Frames;
pub(crate) use in_hand::{asked_for, clear_away, left_in_hand, take_in_what_was_left};
pub(crate) use quartz::quartz;
pub(crate) use watch::{LiveWatch, News};

use crate::convert::{MOST_BALANCES, settings_of};
use crate::desk::{Asker, Desk};
use crate::failure::Failure;
use crate::wire::{LiveSettings, LiveSource};
use audio::Encoding;
use live::{FileSource, Listening, Options, Pace, SourceFacts, pushed};
use quantities::{Measured, SampleRate};
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;
use uuid::Uuid;

/// Who listens waits for the database no longer than this: a bench that has lost the network hears on.
const WITHOUT_AFTER: Duration = Duration::from_secs(2);
/// Watches heard at the same time; four of two balances each take less than two cores.
const MOST: usize = 8;
/// Channels that a browser may send.
const MOST_CHANNELS: u32 = 4;
/// Highest sample rate that a browser may send: the sound of a reading is kept up to this.
const MOST_RATE_HZ: f64 = 96_000.0;

/// A simulated watch that stands among the sound devices of the invented workshop.
#[derive(Debug, Clone)]
pub struct Simulated {
    /// As the list shows it.
    pub name: String,
    /// What is played.
    pub file: PathBuf,
}

/// Everything that is heard live now.
#[derive(Default)]
pub(crate) struct LiveDesk {
    watches: Mutex<BTreeMap<Uuid, Arc<LiveWatch>>>,
    pub(crate) simulated: Vec<Simulated>,
    /// Readings that are being taken or kept.
    in_hand: AtomicUsize,
    /// Readings that the store could not take in yet.
    pub(crate) aside: aside::Aside,
    /// The clocks of devices as they were found last, for when the database cannot be asked.
    clocks: Mutex<BTreeMap<String, Option<Measured>>>,
}

impl LiveDesk {
    pub(crate) fn new(simulated: Vec<Simulated>) -> Self {
        Self { simulated, ..Self::default() }
    }

    /// All of them, the oldest first.
    pub(crate) fn all(&self) -> Vec<Arc<LiveWatch>> {
        let mut watches = self.watches.lock().unwrap_or_else(PoisonError::into_inner);
        watches.retain(|_, watch| !watch.is_over());
        watches.values().cloned().collect()
    }

    pub(crate) fn get(&self, id: &str) -> Result<Arc<LiveWatch>, Failure> {
        let watches = self.watches.lock().unwrap_or_else(PoisonError::into_inner);
        let found = id.parse().ok().and_then(|id: Uuid| watches.get(&id).cloned());
        found.ok_or_else(|| {
            Failure::NotFound(
                "Nothing is heard under this address any more: start to listen again.".into(),
            )
        })
    }

    /// The clock of a device is known better now: whoever listens with it takes it into account.
    pub(crate) async fn clock_found(&self, desk: &Desk, device: &str) -> Result<(), Failure> {
        for watch in self.all().into_iter().filter(|watch| watch.device == device) {
            watch.change_settings(desk, watch.state().settings).await?;
        }
        Ok(())
    }

    /// Ends one. A reading that is being taken ends with what it has, and is kept.
    pub(crate) fn end(&self, id: Uuid) {
        let ended = self.watches.lock().unwrap_or_else(PoisonError::into_inner).remove(&id);
        if let Some(watch) = ended {
            watch.end();
        }
    }

    /// Ends all.
    pub(crate) fn end_all(&self) {
        for watch in self.all() {
            self.end(watch.id);
        }
    }

    /// Waits until every reading that was being taken is in the store, at most so long.
    pub(crate) async fn all_kept(&self, most: Duration) {
        let kept = async {
            while self.in_hand.load(Ordering::SeqCst) > 0 {
                tokio::time::sleep(Duration::from_millis(20)).await;
            }
        };
        if tokio::time::timeout(most, kept).await.is_err() {
            tracing::warn!("a reading is still being worked out; it is taken in at the next start");
        }
    }
}

/// Begins to listen.
pub(crate) async fn start(
    desk: &Desk,
    asker: &Asker,
    source: LiveSource,
    settings: LiveSettings,
    job_id: Option<String>,
) -> Result<Arc<LiveWatch>, Failure> {
    if desk.live.all().len() >= MOST {
        return Err(too_many());
    }
    // What makes no sense is refused before anything is opened.
    told_with(&settings, None)?;
    let options = Options::default();
    let simulated = desk.live.simulated.clone();
    let opened = source.clone();
    let (listening, pusher) =
        tokio::task::spawn_blocking(move || open(opened, simulated, options)).await??;
    // By the name of what was opened: a device can be asked for in more than one way.
    let device = device_name(&source, &listening.snapshot().source.name, asker);
    listening.set_settings(engine_settings(desk, &device, &settings).await?);
    let id = Uuid::now_v7();
    let watch = LiveWatch::new(id, source, device, settings, job_id, (listening, pusher));
    let watch = Arc::new(watch);
    watch.wake_when_something_changes();
    watch.wait_for_page(desk);
    let mut watches = desk.live.watches.lock().unwrap_or_else(PoisonError::into_inner);
    // Others may have begun while this one was opened.
    if watches.len() >= MOST {
        watch.end();
        return Err(too_many());
    }
    watches.insert(id, watch.clone());
    Ok(watch)
}

fn too_many() -> Failure {
    Failure::NotNow(format!("{MOST} watches are heard already: end one of them first."))
}

type Opened = (Listening, Option<live::Pusher>);

fn open(
    source: LiveSource,
    simulated: Vec<Simulated>,
    options: Options,
) -> Result<Opened, Failure> {
    let started = |listening: std::io::Result<Listening>| {
        listening.map_err(|e| Failure::NotNow(format!("Listening cannot be started ({e}).")))
    };
    match source {
        LiveSource::Device { name } => {
            if let Some(found) = simulated.into_iter().find(|s| s.name == name) {
                let file = FileSource::open(&found.file, Pace::RealTime).map_err(|e| {
                    Failure::NotNow(format!("The simulated watch cannot be played: {e}"))
                })?;
                return Ok((started(Listening::start(file, options))?, None));
            }
            Ok((started(open_device(name, options)?)?, None))
        }
        LiveSource::Browser { name, sample_rate_hz, channels } => {
            let sample_rate = SampleRate::from_hz(sample_rate_hz)
                .map_err(|e| Failure::Invalid(format!("{e}.")))?;
            if sample_rate_hz > MOST_RATE_HZ {
                let words = "A browser may send up to 96,000 samples a second.";
                return Err(Failure::Invalid(words.into()));
            }
            if !(1..=MOST_CHANNELS).contains(&channels) {
                let words = format!("A browser may send 1 to {MOST_CHANNELS} channels.");
                return Err(Failure::Invalid(words));
            }
            let channels = channels as usize;
            let facts = SourceFacts { name, sample_rate, channels, encoding: Encoding::Bits24 };
            let (pusher, source) = pushed(facts);
            Ok((started(Listening::start(source, options))?, Some(pusher)))
        }
    }
}

#[cfg(feature = "capture")]
fn open_device(name: String, options: Options) -> Result<std::io::Result<Listening>, Failure> {
    let wish = audio::capture::CaptureWish {
        device: (!name.is_empty()).then_some(name),
        ..audio::capture::CaptureWish::default()
    };
    let source = live::CaptureSource::open(&wish).map_err(|e| Failure::NotNow(e.to_string()))?;
    Ok(Listening::start(source, options))
}

#[cfg(not(feature = "capture"))]
fn open_device(_name: String, _options: Options) -> Result<std::io::Result<Listening>, Failure> {
    Err(Failure::NotNow(NO_CAPTURE.into()))
}

/// What a program that was built without capture says.
#[cfg(not(feature = "capture"))]
pub(crate) const NO_CAPTURE: &str = "This program was built without sound devices: use a browser's \
    microphone, or a program built with them.";

/// The name under which the clock of a source is kept: a browser's microphone is one of its device.
fn device_name(source: &LiveSource, opened: &str, asker: &Asker) -> String {
    match source {
        LiveSource::Device { .. } => opened.to_owned(),
        LiveSource::Browser { .. } => format!("{opened} ({})", asker.name),
    }
}

/// What the engine is told, the clock of the device among it.
pub(crate) async fn engine_settings(
    desk: &Desk,
    device: &str,
    settings: &LiveSettings,
) -> Result<beats::Settings, Failure> {
    let known = unless_away(desk.store.clock_of(device)).await?;
    let mut clocks = desk.live.clocks.lock().unwrap_or_else(PoisonError::into_inner);
    let clock = match known {
        Some(kept) => {
            let clock = kept.map(|kept| kept.clock.error());
            clocks.insert(device.to_owned(), clock);
            clock
        }
        None => clocks.get(device).copied().flatten(),
    };
    drop(clocks);
    told_with(settings, clock)
}

/// What the store says; none where its database cannot be reached, or not soon.
async fn unless_away<T>(
    asked: impl Future<Output = store::Result<T>>,
) -> Result<Option<T>, store::Error> {
    match tokio::time::timeout(WITHOUT_AFTER, asked).await {
        Ok(Err(store::Error::Unreachable(_))) | Err(_) => Ok(None),
        Ok(answer) => answer.map(Some),
    }
}

/// What the engine is told, with what is known of the clock.
fn told_with(settings: &LiveSettings, clock: Option<Measured>) -> Result<beats::Settings, Failure> {
    let balances = settings.balances.filter(|n| *n > 0);
    if balances.is_some_and(|n| n > MOST_BALANCES) {
        let words = format!("At most {MOST_BALANCES} balances can be told apart.");
        return Err(Failure::Invalid(words));
    }
    settings_of(&jobs::ReadingSettings {
        lift_angles_deg: settings.lift_angles_deg.clone(),
        beats_per_hour: settings.beats_per_hour.clone(),
        balances,
        clock_error_ppm: clock,
    })
}
