//! The clock of a sound device against a quartz movement laid on the pickup.

use super::LiveWatch;
use super::watch::News;
use crate::desk::{Asker, Desk};
use crate::failure::Failure;
use crate::wire::QuartzWish;
use audio::AudioFile;
use audio::clock::{ClockReading, Reference, ReferencePeriod, SteppingListener};
use live::{NotTaken, Taken};
use quantities::Measured;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use store::{By, Clock};

/// What a quartz movement on the pickup is asked.
#[derive(Debug, Clone)]
pub(crate) struct AgainstQuartz {
    pub(crate) seconds: f64,
    reference: Reference,
    pub(super) sound: PathBuf,
    device: String,
    asker: String,
}

/// What a page asks for.
pub(crate) fn quartz(
    desk: &Desk,
    asker: &Asker,
    watch: &LiveWatch,
    wish: &QuartzWish,
) -> Result<AgainstQuartz, Failure> {
    if !(20.0..=864_000.0).contains(&wish.seconds) {
        let words = "A quartz movement is listened to for 20 s at least; two minutes are good.";
        return Err(Failure::Invalid(words.into()));
    }
    let period = ReferencePeriod::from_s(wish.period_s.unwrap_or(1.0))
        .map_err(|e| Failure::Invalid(format!("{e}.")))?;
    let reference = match (wish.reference_error_ppm, wish.reference_sd_ppm) {
        (Some(error), Some(sd)) if error.is_finite() && sd.is_finite() && sd >= 0.0 => {
            Reference::known(period, Measured::new(error, sd))
        }
        (None, None) => Reference::unchecked(period),
        _ => {
            let words =
                "What is known of the quartz is its error and the uncertainty of that, both.";
            return Err(Failure::Invalid(words.into()));
        }
    };
    Ok(AgainstQuartz {
        seconds: wish.seconds,
        reference,
        sound: super::in_hand::new_sound_of_quartz(&desk.in_hand),
        device: watch.device.clone(),
        asker: asker.name.clone(),
    })
}

impl AgainstQuartz {
    /// Hears the quartz in what was recorded and keeps the clock; the sound goes.
    pub(super) async fn keep(
        self,
        desk: &Desk,
        outcome: Result<Arc<Taken>, NotTaken>,
    ) -> Option<News> {
        let kept = match outcome {
            Ok(_) => Some(self.hear(desk).await),
            Err(NotTaken::Cancelled) => None,
            Err(error) => Some(Err(error.to_string())),
        };
        // Where it is not there any more, so much the better.
        let _ = std::fs::remove_file(&self.sound);
        Some(match kept? {
            Ok(clock) => News::Clock(clock),
            Err(words) => News::Failed(words),
        })
    }

    async fn hear(&self, desk: &Desk) -> Result<store::KeptClock, String> {
        let (sound, reference) = (self.sound.clone(), self.reference);
        let heard = tokio::task::spawn_blocking(move || hear(&sound, reference)).await;
        let reading = heard.map_err(|e| e.to_string())??;
        let Measured { value, sd } = reading.error_ppm;
        let known = if self.reference.is_known() { "a known quartz" } else { "a quartz" };
        let how = format!(
            "against {known} movement on the pickup, {} of {} steps in {} s",
            reading.steps_used,
            reading.steps_expected,
            words::plain(reading.span_s, 0)
        );
        let clock = Clock { device: self.device.clone(), error_ppm: value, sd_ppm: sd, how };
        let by = By::now(&self.asker);
        let kept = desk.store.keep_clock(&by, clock).await.map_err(|e| e.to_string())?;
        // It is kept; that somebody listens on without it is no reason to say that it is not.
        if let Err(failure) = desk.live.clock_found(desk, &self.device).await {
            tracing::warn!("the clock that was found is not used yet: {failure:?}");
        }
        Ok(kept)
    }
}

fn hear(sound: &Path, reference: Reference) -> Result<ClockReading, String> {
    let mut file = AudioFile::open(sound).map_err(|e| e.to_string())?;
    let mut listener = SteppingListener::new(file.sample_rate(), file.channels(), reference);
    let mut block = Vec::new();
    while file.next_block(&mut block).map_err(|e| e.to_string())? {
        listener.push(&block);
        block.clear();
    }
    listener.finish().map_err(|e| e.to_string())
}
