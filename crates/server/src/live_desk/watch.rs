//! One watch that is heard live.

use super::in_hand::{InHand, NotKept, TRY_AGAIN, once_more};
use super::quartz::AgainstQuartz;
use crate::desk::Desk;
use crate::failure::Failure;
use crate::wire::{self, LiveSettings, LiveSource, LiveState, ReadingProgress};
use live::{Listening, PushRefused, Pusher, Snapshot, State, Taking, Wish};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;
use tokio::sync::{broadcast, watch};
use uuid::Uuid;

/// News that wait for a slow page; more are passed over.
const NEWS: usize = 16;
/// The next reading waits for so long for one that is being kept.
const NEXT_WAITS: Duration = Duration::from_secs(2);
/// A browser's sound is waited for so long after its page is gone.
const WAIT_FOR_PAGE: Duration = Duration::from_secs(60);

/// Something that happened once.
#[derive(Debug, Clone)]
pub(crate) enum News {
    /// A reading was kept under this id.
    Kept(String),
    /// The clock of the device was found and kept.
    Clock(store::KeptClock),
    /// Something failed, as a sentence.
    Failed(String),
}

/// One watch that is heard live.
pub(crate) struct LiveWatch {
    pub(crate) id: Uuid,
    pub(crate) source: LiveSource,
    /// The name under which the clock of its device is kept.
    pub(crate) device: String,
    pub(crate) job_id: Option<String>,
    settings: Mutex<LiveSettings>,
    /// Gone when it has ended.
    listening: Mutex<Option<Listening>>,
    pusher: Mutex<Option<Pusher>>,
    taking: Mutex<Option<(InHand, Arc<Taking>)>>,
    quartz: Mutex<Option<(f64, Arc<Taking>)>>,
    changed: watch::Sender<()>,
    news: broadcast::Sender<News>,
    pages: AtomicUsize,
}

fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Keeps what was taken. Where that takes long, for the database does not answer, the next may be
/// taken meanwhile.
async fn before_the_next<T>(watch: &LiveWatch, keep: impl Future<Output = T>) -> T {
    let mut keep = std::pin::pin!(keep);
    let soon = tokio::time::timeout(NEXT_WAITS, keep.as_mut()).await;
    *lock(&watch.taking) = None;
    watch.changed.send_replace(());
    match soon {
        Ok(kept) => kept,
        Err(_) => keep.await,
    }
}

impl LiveWatch {
    pub(super) fn new(
        id: Uuid,
        source: LiveSource,
        device: String,
        settings: LiveSettings,
        job_id: Option<String>,
        (listening, pusher): (Listening, Option<Pusher>),
    ) -> Self {
        Self {
            id,
            source,
            device,
            job_id,
            settings: Mutex::new(settings),
            listening: Mutex::new(Some(listening)),
            pusher: Mutex::new(pusher),
            taking: Mutex::default(),
            quartz: Mutex::default(),
            changed: watch::channel(()).0,
            news: broadcast::channel(NEWS).0,
            pages: AtomicUsize::new(0),
        }
    }

    pub(super) fn wake_when_something_changes(&self) {
        // Nothing but the sender: a thread of the listening must not hold the last of what ends it.
        let changed = self.changed.clone();
        if let Some(listening) = &*lock(&self.listening) {
            listening.on_change(move || {
                changed.send_replace(());
            });
        }
    }

    /// Wakes whenever something has changed.
    pub(crate) fn changes(&self) -> watch::Receiver<()> {
        self.changed.subscribe()
    }

    pub(crate) fn news(&self) -> broadcast::Receiver<News> {
        self.news.subscribe()
    }

    pub(super) fn tell(&self, news: News) {
        // Nobody need look.
        let _ = self.news.send(news);
        self.changed.send_replace(());
    }

    /// The latest; none once it has ended.
    pub(crate) fn snapshot(&self) -> Option<Snapshot> {
        lock(&self.listening).as_ref().map(Listening::snapshot)
    }

    pub(crate) fn is_over(&self) -> bool {
        self.snapshot().is_none_or(|s| s.state.is_over())
            && lock(&self.taking).is_none()
            && lock(&self.quartz).is_none()
    }

    /// Sound from the browser.
    pub(crate) fn push(&self, first_frame: u64, samples: &[f32]) -> Result<(), PushRefused> {
        match &*lock(&self.pusher) {
            Some(pusher) => pusher.push(first_frame, samples),
            None => Err(PushRefused::NobodyListens),
        }
    }

    pub(crate) async fn change_settings(
        &self,
        desk: &Desk,
        settings: LiveSettings,
    ) -> Result<(), Failure> {
        let told = super::engine_settings(desk, &self.device, &settings).await?;
        if let Some(listening) = &*lock(&self.listening) {
            listening.set_settings(told);
        }
        *lock(&self.settings) = settings;
        self.changed.send_replace(());
        Ok(())
    }

    /// Forgets what was heard: another watch, another position.
    pub(crate) fn hear_anew(&self) {
        if let Some(listening) = &*lock(&self.listening) {
            listening.hear_anew();
        }
    }

    /// Takes a reading and keeps it when it has ended.
    pub(crate) fn take(self: &Arc<Self>, desk: &Desk, in_hand: InHand) -> Result<(), Failure> {
        let mut now = lock(&self.taking);
        if now.is_some() {
            let words = "A reading is being taken: wait for it, or cancel it.";
            return Err(Failure::NotNow(words.into()));
        }
        in_hand.note(false)?;
        let taking = self.begin(in_hand.wish()).inspect_err(|_| in_hand.forget())?;
        *now = Some((in_hand.clone(), taking.clone()));
        drop(now);
        self.changed.send_replace(());
        let (watch, desk) = (self.clone(), desk.clone());
        desk.live.in_hand.fetch_add(1, Ordering::SeqCst);
        tokio::spawn(async move {
            let outcome = super::in_hand::outcome(taking).await;
            let keep = in_hand.keep(&desk, &outcome);
            let mut kept = before_the_next(&watch, keep).await;
            desk.live.in_hand.fetch_sub(1, Ordering::SeqCst);
            if let Err(NotKept::Yet(words)) = &kept {
                watch.tell(News::Failed(words.clone()));
            }
            while let Err(NotKept::Yet(_)) = kept {
                if !once_more(&desk, TRY_AGAIN).await {
                    return;
                }
                kept = in_hand.keep(&desk, &outcome).await;
            }
            match kept {
                Ok(Some(id)) => watch.tell(News::Kept(id.to_string())),
                // Whoever cancelled it knows; the others see that none is taken any more.
                Ok(None) => {
                    watch.changed.send_replace(());
                }
                Err(NotKept::Yet(words) | NotKept::ForGood(words)) => {
                    watch.tell(News::Failed(words));
                }
            }
        });
        Ok(())
    }

    fn begin(&self, wish: Wish) -> Result<Arc<Taking>, Failure> {
        let listening = lock(&self.listening);
        let listening = listening.as_ref().ok_or_else(|| {
            Failure::NotNow("Nothing is heard any more: start to listen again.".into())
        })?;
        let taking = listening.take(wish).map_err(|e| Failure::NotNow(e.to_string()))?;
        Ok(Arc::new(taking))
    }

    /// Hears a quartz movement on the pickup and keeps the clock of the device.
    pub(crate) fn hear_quartz(
        self: &Arc<Self>,
        desk: &Desk,
        against: AgainstQuartz,
    ) -> Result<(), Failure> {
        let mut now = lock(&self.quartz);
        let wish = Wish {
            seconds: Some(against.seconds),
            until_sd_s_per_d: None,
            sound: Some(against.sound.clone()),
        };
        std::fs::create_dir_all(&desk.in_hand).map_err(store::Error::from)?;
        let taking = self.begin(wish)?;
        *now = Some((against.seconds, taking.clone()));
        drop(now);
        self.changed.send_replace(());
        let (watch, desk) = (self.clone(), desk.clone());
        tokio::spawn(async move {
            let outcome = super::in_hand::outcome(taking).await;
            let news = against.keep(&desk, outcome).await;
            *lock(&watch.quartz) = None;
            watch.changed.send_replace(());
            if let Some(news) = news {
                watch.tell(news);
            }
        });
        Ok(())
    }

    /// Ends what is being taken: with what it has, or without a trace.
    pub(crate) fn end_reading(&self, keep: bool) -> Result<(), Failure> {
        let reading = lock(&self.taking).as_ref().map(|(_, taking)| taking.clone());
        let quartz = || lock(&self.quartz).as_ref().map(|(_, taking)| taking.clone());
        let taking = reading
            .or_else(quartz)
            .ok_or_else(|| Failure::NotNow("No reading is being taken.".into()))?;
        if keep {
            taking.stop()
        } else {
            taking.cancel()
        }
        Ok(())
    }

    /// Ends listening. Waiting for its threads is somebody else's work.
    pub(super) fn end(&self) {
        lock(&self.pusher).take();
        let listening = lock(&self.listening).take();
        std::thread::spawn(move || drop(listening));
        self.changed.send_replace(());
    }

    /// What it is doing.
    pub(crate) fn state(&self) -> LiveState {
        let snapshot = self.snapshot();
        let waiting = match snapshot.as_ref().map(|s| &s.state) {
            Some(State::Listening) => None,
            Some(State::Waiting) => Some("No sound has come yet.".into()),
            Some(State::Paused) => Some("Paused.".into()),
            Some(State::DeviceGone(why)) => {
                Some(format!("{why} Listening goes on when it is back."))
            }
            Some(State::Ended(why)) => {
                Some(why.clone().unwrap_or_else(|| "The sound has ended.".into()))
            }
            Some(State::Failed) => {
                Some("The program itself failed at this: start to listen again.".into())
            }
            None => Some("Listening has ended.".into()),
        };
        let taking = lock(&self.taking).as_ref().map(|(in_hand, _)| {
            let now = snapshot.as_ref().and_then(|s| s.in_hand.as_ref());
            let heard = snapshot.as_ref().and_then(|s| s.heard.as_ref()).filter(|h| h.of_reading);
            let sds = heard.map(|h| {
                let rates = h.reading.balances.iter().map(|b| b.rate_s_per_d);
                rates.map(|rate| rate.map_or(f64::INFINITY, |r| r.sd)).fold(0.0, f64::max)
            });
            ReadingProgress {
                job_id: in_hand.job.to_string(),
                position: in_hand.position.map(crate::convert::position),
                wind: in_hand.wind.clone(),
                elapsed_s: now.map_or(0.0, |n| n.seconds),
                seconds: in_hand.seconds,
                until_sd_s_per_d: in_hand.until_sd_s_per_d,
                sd_s_per_d: sds.filter(|sd| sd.is_finite() && *sd > 0.0),
            }
        });
        let quartz = lock(&self.quartz).as_ref().map(|(seconds, _)| wire::QuartzProgress {
            elapsed_s: snapshot
                .as_ref()
                .and_then(|s| s.in_hand.as_ref())
                .map_or(0.0, |now| now.seconds),
            seconds: *seconds,
        });
        LiveState {
            id: self.id.to_string(),
            source: self.source.clone(),
            device: self.device.clone(),
            settings: lock(&self.settings).clone(),
            job_id: self.job_id.clone(),
            elapsed_s: snapshot.as_ref().map_or(0.0, |s| s.elapsed_s),
            waiting,
            taking,
            quartz,
            clock: snapshot.as_ref().and_then(|s| s.against_computer.as_ref()).map(|found| {
                wire::FoundClock { error_ppm: found.error_ppm.value, sd_ppm: found.error_ppm.sd }
            }),
        }
    }

    /// A page looks. When none is there for a while, a browser's sound will not come any more.
    pub(crate) fn page_came(&self) {
        self.pages.fetch_add(1, Ordering::SeqCst);
    }

    pub(crate) fn page_went(self: &Arc<Self>, desk: &Desk) {
        self.pages.fetch_sub(1, Ordering::SeqCst);
        self.wait_for_page(desk);
    }

    /// Ends in a while, where its sound comes from a page and no page is there then.
    pub(super) fn wait_for_page(self: &Arc<Self>, desk: &Desk) {
        if !matches!(self.source, LiveSource::Browser { .. }) {
            return;
        }
        let (watch, desk) = (self.clone(), desk.clone());
        tokio::spawn(async move {
            tokio::time::sleep(WAIT_FOR_PAGE).await;
            if watch.pages.load(Ordering::SeqCst) == 0 {
                desk.live.end(watch.id);
            }
        });
    }
}
