//! Drawings of readings: how the watch runs now, and how it runs down.

use super::Gathered;
use super::office::Source;
use super::progress::{Doing, Progress};
use crate::failure::Failure;
use crate::routes::workshop;
use handover::{Drawings, drawn as picture, long_day};
use jobs::Reading;
use plot::{Sheet, Size, Theme, Tolerance};
use std::sync::Arc;
use store::Kept;

/// How wide a drawing is laid out: across a page of A4 its words are then as large as those around
/// it.
const WIDE_PX: f64 = 760.0;
/// Only in a reading as long as this a watch is seen to run down; our own choice.
const LONG_S: f64 = 1_800.0;

/// What the figures beside lines are.
const ALONE: &str = "Uncertainties are of this reading alone, without the recorder's clock.";

/// Drawings, and what could not be drawn, a sentence each.
#[derive(Default)]
pub(crate) struct Drawn {
    pub(crate) pictures: Drawings,
    pub(crate) warnings: Vec<String>,
}

/// Drift and averaged beat of the latest reading with a sound, and the course of the longest where
/// it is long.
pub(crate) async fn drawn(
    source: &Source<'_>,
    gathered: &Gathered,
    progress: &Progress,
) -> Result<Drawn, Failure> {
    let mut drawn = Drawn::default();
    let sounding = || gathered.readings().iter().filter(|kept| kept.value.sound.is_some());
    if let Some(latest) = sounding().max_by_key(|kept| kept.value.taken)
        && let Some(heard) = again(source, gathered, latest, progress, &mut drawn).await?
    {
        let settings = workshop(source.store).await?;
        let tolerance = Tolerance {
            lower_s_per_d: settings.tolerance_from_s_per_d,
            upper_s_per_d: settings.tolerance_to_s_per_d,
        };
        let about = about(gathered, &latest.value);
        let drift = pictures::drift(&heard.balances, heard.duration_s, Some(tolerance));
        let drift = drift.draw(Size::new(WIDE_PX), Theme::Paper);
        let caption = format!("How time was gained or lost: {about} {ALONE}");
        drawn.pictures.for_owner.push(picture(&drift, caption));
        let beats = match pictures::beats(&heard.balances) {
            beats if beats.is_empty() => None,
            mut beats if beats.len() == 1 => {
                beats.pop().map(|beat| beat.draw(Size::new(WIDE_PX), Theme::Paper))
            }
            beats => {
                let sheet = Sheet { beats, ..Sheet::default() };
                Some(sheet.draw(Size::new(WIDE_PX), Theme::Paper))
            }
        };
        let caption = format!("The averaged beat: {about}");
        drawn.pictures.for_colleague.extend(beats.map(|beats| picture(&beats, caption)));
    }
    let longest = sounding().max_by(|a, b| a.value.duration_s.total_cmp(&b.value.duration_s));
    if let Some(longest) = longest.filter(|kept| kept.value.duration_s >= LONG_S)
        && let Some(heard) = again(source, gathered, longest, progress, &mut drawn).await?
    {
        let courses = pictures::courses(&heard.balances);
        if !courses.is_empty() {
            let sheet = Sheet { courses, ..Sheet::default() };
            let course = sheet.draw(Size::new(WIDE_PX), Theme::Paper);
            let about = about(gathered, &longest.value);
            drawn
                .pictures
                .for_owner
                .push(picture(&course, format!("How it ran as time went on: {about}")));
        }
    }
    Ok(drawn)
}

/// What is heard in a reading; nothing, and a sentence for it, where its sound cannot be heard.
async fn again(
    source: &Source<'_>,
    gathered: &Gathered,
    kept: &Kept<Reading>,
    progress: &Progress,
    drawn: &mut Drawn,
) -> Result<Option<Arc<beats::Reading>>, Failure> {
    progress.now(Doing::Hearing(Box::new(kept.value.clone())));
    match source.rehearing.whole(source.store, kept).await {
        Ok(heard) => Ok(Some(heard)),
        Err(Failure::Invalid(why) | Failure::NotFound(why)) => {
            let day = long_day(gathered.day(kept.value.taken));
            let words = format!("The reading of {day} is not drawn. {why}");
            if !drawn.warnings.contains(&words) {
                drawn.warnings.push(words);
            }
            Ok(None)
        }
        Err(other) => Err(other),
    }
}

/// "the reading of 9 February 2026, dial up, full"
fn about(gathered: &Gathered, reading: &Reading) -> String {
    let mut words = format!("the reading of {}", long_day(gathered.day(reading.taken)));
    if let Some(position) = reading.position {
        words.push_str(", ");
        words.push_str(position.words());
    }
    if !reading.wind.trim().is_empty() {
        words.push_str(", wind: ");
        words.push_str(reading.wind.trim());
    }
    words.push('.');
    words
}
