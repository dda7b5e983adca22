//! What the readings of a job mean, as the page wants it.

mod advice;
mod balance;
mod findings;
mod isochronism;
mod known;
mod own;
mod poise;
mod statistics;
pub(crate) mod trial;

pub(crate) use isochronism::over_wind_of;
pub(crate) use own::{own_classes, wearing};

use crate::convert::{index, moment, position, value};
use crate::wire;
use horology::hands_apart::{Apart, Brother, compare_brothers, hands_apart};
use horology::rate_sheet::{SheetError, Verdict};
use horology::regulator::Target;
use jobs::{Adjustment, Job, Moment, Watch};
use regulate::{Boundary, Kept, Sheet, Visit};
use words::regulating as said;

/// What a job holds of its watch's rate.
pub(crate) struct Given<'a> {
    pub(crate) job_id: String,
    pub(crate) job: &'a Job,
    pub(crate) watch: &'a Watch,
    pub(crate) readings: &'a [Kept<'a>],
    /// Oldest first.
    pub(crate) adjustments: &'a [Adjustment],
    /// Earlier jobs of the watch, the latest first.
    pub(crate) visits: &'a [Visit<'a>],
    /// Only what was before counts.
    pub(crate) until: Option<Moment>,
    /// Where the rate is to be.
    pub(crate) target: Target,
    /// The workshop's.
    pub(crate) settings: &'a wire::Settings,
}

/// What was changed at the watch, as far as it counts.
struct Changes<'a> {
    /// Oldest first.
    moves: &'a [Adjustment],
    /// Moves among them: what parts readings before from those after.
    boundaries: &'a [Boundary],
}

pub(crate) fn regulating(given: &Given<'_>) -> Result<wire::Regulating, SheetError> {
    let Given { job, watch, readings, adjustments, until, target, .. } = given;
    let boundaries = regulate::boundaries(job, *adjustments);
    let sheet = Sheet::of(readings, &boundaries, *until)?;
    let counts = |at: Moment| until.is_none_or(|until| at < until);
    let counted: Vec<Adjustment> =
        adjustments.iter().filter(|one| counts(one.at)).cloned().collect();
    let parted: Vec<Boundary> = boundaries.iter().filter(|one| counts(one.at)).cloned().collect();
    let changes = Changes { moves: &counted, boundaries: &parted };
    let moves = regulate::log_of_moves(job, readings, &counted, &sheet.labels)?;
    let known = known::Known::of(&watch.movement);
    let balances = (0..sheet.labels.len())
        .map(|n| balance::balance(given, &changes, &sheet, &moves, &known, n))
        .collect::<Result<_, _>>()?;
    Ok(wire::Regulating {
        job_id: given.job_id.clone(),
        watch_id: job.watch.to_string(),
        target_s_per_d: target.s_per_d,
        target_is_own: watch.target_s_per_d.is_some(),
        near_s_per_d: target.tolerance_s_per_d,
        clock_sd_s_per_d: sheet.rates.clock_sd_s_per_d(),
        boundaries: boundaries.iter().map(boundary).collect(),
        winds: sheet
            .winds
            .iter()
            .map(|wind| wire::RegulatingWind { words: wind.words.clone(), hours: wind.hours })
            .collect(),
        balances,
        hands_apart: apart(&sheet, *target, &known),
    })
}

fn boundary(boundary: &Boundary) -> wire::RegulatingBoundary {
    wire::RegulatingBoundary {
        at: moment(boundary.at),
        words: boundary.words.clone(),
        balance: boundary.balance.clone(),
    }
}

pub(crate) fn verdict(verdict: Verdict) -> wire::RegulatingVerdict {
    match verdict {
        Verdict::Pass => wire::RegulatingVerdict::Pass,
        Verdict::Fail => wire::RegulatingVerdict::Fail,
        Verdict::CannotTell => wire::RegulatingVerdict::CannotTell,
    }
}

fn cells(sheet: &Sheet, balance: usize) -> Vec<wire::RegulatingCell> {
    sheet
        .placed
        .iter()
        .filter(|placed| placed.balance == balance)
        .map(|placed| wire::RegulatingCell {
            wind: index(placed.wind),
            position: position(placed.position),
            reading_id: placed.reading.to_string(),
            taken_at: moment(placed.taken),
            is_of_before: placed.is_of_before,
            rate_s_per_d: placed.rate_s_per_d.map(value),
            amplitude_deg: placed.amplitude_deg.map(value),
            beat_error_ms: placed.beat_error_ms.map(value),
            before_s_per_d: placed.before_s_per_d.map(value),
        })
        .collect()
}

fn apart(sheet: &Sheet, target: Target, known: &known::Known) -> Option<wire::HandsApart> {
    let pair = regulate::pair(sheet)?;
    let [a, b] = sheet.labels.as_slice() else { return None };
    let [one, other] = pair.rates_s_per_d;
    let after = hands_apart(one, other, regulate::USUAL_STEADINESS, &Apart::USUAL_DAYS).ok()?;
    let brother = |rate_s_per_d| Brother { rate_s_per_d, target_s_per_d: target.s_per_d };
    let near = target.tolerance_s_per_d;
    let clock = sheet.rates.clock_sd_s_per_d();
    let found = compare_brothers([brother(one), brother(other)], clock, near, near).ok()?;
    let words = said::brothers([a, b], &found);
    Some(wire::HandsApart {
        balances: [a.clone(), b.clone()],
        hands: known.hands_on([a, b]),
        wind: pair.wind.words.clone(),
        after: after
            .iter()
            .map(|one| wire::HandsApartAfter { days: one.days, ahead_s: value(one.a_ahead_s) })
            .collect(),
        words,
    })
}
