//! Moves of the hand with what was read before and after them.

use crate::before_after::means_before_and_after;
use crate::rounds::{Boundary, boundaries};
use crate::sheet::{Kept, Placed, Sheet};
use horology::rate_sheet::SheetError;
use horology::regulator::{
    Advice, Means, Move, MoveLog, Prior, PriorSource, Reach, RegulatorError, StudMove, Target,
    next_move,
};
use jobs::{Adjustment, AdjustmentBy, Job, Moment};
use quantities::Measured;

/// As `horology` knows it; none for what does not change the rate by a measured amount.
fn means(by: AdjustmentBy) -> Option<Means> {
    match by {
        AdjustmentBy::Index => Some(Means::Index),
        AdjustmentBy::TimingScrews => Some(Means::TimingScrews),
        AdjustmentBy::Mass => Some(Means::Mass),
        AdjustmentBy::Stud | AdjustmentBy::Other => None,
    }
}

/// "index 0.5° towards +"
#[must_use]
pub fn move_words(by: AdjustmentBy, amount: Option<f64>) -> String {
    let Some(amount) = amount else { return by.words().to_owned() };
    let size = amount.abs();
    let number = match by {
        AdjustmentBy::Index | AdjustmentBy::Stud => format!("{size}°"),
        AdjustmentBy::TimingScrews => format!("{size}\u{a0}turns"),
        AdjustmentBy::Mass => format!("{size}\u{a0}mg"),
        AdjustmentBy::Other => size.to_string(),
    };
    let way = match (by, means(by)) {
        (AdjustmentBy::Stud, _) if amount > 0.0 => " clockwise",
        (AdjustmentBy::Stud, _) => " counter-clockwise",
        (_, Some(means)) => {
            return format!("{} {number} {}", by.words(), means.direction(amount > 0.0));
        }
        _ => "",
    };
    format!("{} {number}{way}", by.words())
}

/// The places of a balance that were read both before and after a move, with the mean rate and mean
/// beat error of those places before and after.
#[derive(Debug, Clone, Copy, PartialEq)]
struct BeforeAndAfter {
    rate_s_per_d: Option<[Measured; 2]>,
    beat_error_ms: Option<[Measured; 2]>,
}

/// A number of a place.
type Number = fn(&Placed) -> Option<Measured>;

fn before_and_after(
    readings: &[Kept<'_>],
    all: &[Boundary],
    this: &Adjustment,
) -> Result<BeforeAndAfter, SheetError> {
    // The next change of the same balance ends what can be seen of this one.
    let next =
        all.iter().filter(|b| b.at > this.at && b.concerns(&this.balance)).map(|b| b.at).min();
    let before = Sheet::of(readings, all, Some(this.at))?;
    let after = Sheet::of(readings, all, next)?;
    let places = |sheet: &Sheet, since: Option<Moment>, of: Number| -> Vec<(_, _)> {
        let own = sheet.balance(&this.balance);
        let counts = |placed: &&Placed| {
            Some(placed.balance) == own
                && !placed.is_of_before
                && since.is_none_or(|since| placed.taken >= since)
        };
        let winds = |placed: &Placed| sheet.winds.get(placed.wind).map(|wind| wind.words.clone());
        sheet.placed.iter().filter(counts).map(|p| ((p.position, winds(p)), of(p))).collect()
    };
    let means = |of: Number| {
        means_before_and_after(&places(&before, None, of), &places(&after, Some(this.at), of))
    };
    Ok(BeforeAndAfter {
        rate_s_per_d: means(|placed| placed.rate_s_per_d),
        beat_error_ms: means(|placed| placed.beat_error_ms),
    })
}

/// Every measured move of the rate that has readings in like places on both of its sides, oldest
/// first, for the balances of these letters.
///
/// # Errors
///
/// [`SheetError`] where a reading holds a number that is none.
pub fn log_of_moves(
    job: &Job,
    readings: &[Kept<'_>],
    adjustments: &[Adjustment],
    labels: &[String],
) -> Result<MoveLog, SheetError> {
    let all = boundaries(job, adjustments);
    let mut log = MoveLog::default();
    for adjustment in adjustments {
        let (Some(means), Some(amount)) = (means(adjustment.by), adjustment.amount) else {
            continue;
        };
        let Some(balance) = labels.iter().position(|label| *label == adjustment.balance) else {
            continue;
        };
        let found = before_and_after(readings, &all, adjustment)?;
        let Some([before_s_per_d, after_s_per_d]) = found.rate_s_per_d else { continue };
        // Readings and adjustments were checked when they were kept: there is nothing to refuse.
        let _ = log.remember(Move { balance, means, amount, before_s_per_d, after_s_per_d });
    }
    Ok(log)
}

/// Every measured turn of the stud of one balance that has readings on both of its sides.
///
/// # Errors
///
/// [`SheetError`] where a reading holds a number that is none.
pub fn stud_moves(
    job: &Job,
    readings: &[Kept<'_>],
    adjustments: &[Adjustment],
    label: &str,
) -> Result<Vec<StudMove>, SheetError> {
    let all = boundaries(job, adjustments);
    let mut moves = Vec::new();
    for adjustment in adjustments {
        let Some(turned_deg) = adjustment.amount else { continue };
        if adjustment.by != AdjustmentBy::Stud || adjustment.balance != label {
            continue;
        }
        let found = before_and_after(readings, &all, adjustment)?;
        if let Some([before_ms, after_ms]) = found.beat_error_ms {
            moves.push(StudMove { turned_deg, before_ms, after_ms });
        }
    }
    Ok(moves)
}

/// The next move of a means on a balance towards the target, from its mean rate now.
///
/// For the index there is a first guess. For another means of which no move was made yet there is
/// `computed`, where the balance is known well enough for it, or nothing.
///
/// # Errors
///
/// [`RegulatorError`] for a target that cannot be.
pub fn advice(
    target: Target,
    now_s_per_d: Measured,
    balance: usize,
    means: Means,
    log: &MoveLog,
    computed: Option<Prior>,
) -> Result<Option<Advice>, RegulatorError> {
    let moves = log.of(balance, means);
    let prior = match (means, computed) {
        (Means::Index, _) => Prior::INDEX_DEGREE,
        (Means::TimingScrews | Means::Mass, Some(computed)) => computed,
        (Means::TimingScrews | Means::Mass, None) if moves.is_empty() => return Ok(None),
        (Means::TimingScrews | Means::Mass, None) => ANY_EFFECT,
    };
    next_move(target, now_s_per_d, means, &prior, &moves, Reach::UNKNOWN).map(Some)
}

/// Nothing is known of a screw or a mass before it was tried; the moves outweigh this at once.
const ANY_EFFECT: Prior =
    Prior { per_unit_s_per_d: 20.0, factor: 10.0, source: PriorSource::Experience };
