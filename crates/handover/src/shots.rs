//! Which photo stands where in a report, by what is known of it: the test or the step that names it, else
//! when it was taken.

use crate::case::{Case, Shot};
use crate::paper::long_day;
use crate::tests_done::{is_done_again, named};
use jobs::{FinalTest, Moment};
use report::{Block, Picture};

/// The photos of a report, each in one place.
#[derive(Debug, Default)]
pub(crate) struct Parted<'a> {
    /// How the watch came in, and parts that were found wanting.
    pub(crate) found: Vec<&'a Shot<'a>>,
    /// The work.
    pub(crate) done: Vec<&'a Shot<'a>>,
    /// Each with the test that names it; of several the first.
    pub(crate) tested: Vec<(&'a FinalTest, &'a Shot<'a>)>,
}

impl<'a> Parted<'a> {
    pub(crate) fn of(case: &'a Case<'_>, tests: &[&'a FinalTest]) -> Self {
        let began = work_began(case);
        let mut parted = Self::default();
        for shot in case.photos {
            let of_test = |test: &&&FinalTest| test.photos.contains(&shot.id);
            if let Some(&test) = tests.iter().find(of_test) {
                parted.tested.push((test, shot));
                continue;
            }
            let of_step = case.bench.and_then(|bench| bench.finds_in_photo(shot.id));
            let is_before = || began.is_none_or(|began| shot.photo.taken < began);
            if of_step.unwrap_or_else(is_before) {
                parted.found.push(shot);
            } else {
                parted.done.push(shot);
            }
        }
        // In the order of the tests, not of the photos.
        let place = |of: &FinalTest| tests.iter().position(|test| std::ptr::eq(*test, of));
        parted.tested.sort_by_key(|(test, _)| place(test));
        parted
    }
}

/// When the watch was first worked on: it came to a stage after its estimate, something was taken out of
/// it, or the regulator was moved. Nothing where none of it was.
fn work_began(case: &Case<'_>) -> Option<Moment> {
    let taken_down = case.bench.and_then(|bench| {
        let out = bench.state.steps().map(|step| step.taken_out.at_ms).min()?;
        Some(Moment::from_ms(out))
    });
    let changed = regulate::boundaries(case.job, case.adjustments).first().map(|first| first.at);
    [case.job.work_began(), taken_down, changed].into_iter().flatten().min()
}

/// Photos, each with its caption or, where it has none, its day.
pub(crate) fn photos<'a>(
    case: &Case<'_>,
    shots: impl IntoIterator<Item = &'a Shot<'a>>,
) -> Option<Block> {
    let photos = shots.into_iter().map(|shot| {
        let caption = shot.photo.caption.trim();
        let day = long_day(case.day(shot.photo.taken));
        Picture {
            bytes: shot.bytes.clone(),
            words: if caption.is_empty() { format!("photo of {day}") } else { caption.to_owned() },
            caption: if caption.is_empty() { day } else { caption.to_owned() },
        }
    });
    block(photos.collect())
}

/// Photos of tests, each with the test that it belongs to: one that was done again says so, for what it
/// shows was before.
pub(crate) fn photos_of_tests(
    case: &Case<'_>,
    tests: &[&FinalTest],
    shots: &[(&FinalTest, &Shot<'_>)],
) -> Option<Block> {
    let photos = shots.iter().map(|(test, shot)| {
        let again = if is_done_again(test, tests) { ", done again since" } else { "" };
        let of = format!("{}, {}{again}", named(test), long_day(case.day(test.done)));
        let caption = shot.photo.caption.trim();
        let words = if caption.is_empty() { of } else { format!("{of}: {caption}") };
        Picture { bytes: shot.bytes.clone(), words: words.clone(), caption: words }
    });
    block(photos.collect())
}

fn block(photos: Vec<Picture>) -> Option<Block> {
    (!photos.is_empty()).then_some(Block::Photos(photos))
}
