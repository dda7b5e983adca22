//! What to do next to a balance.

use super::Given;
use crate::wire::{self, AdjustmentBy};
use horology::balance::BalanceFacts;
use horology::rate_sheet::{Column, SheetError};
use horology::regulator::{Advice, Means, MoveLog, Prior, turn_of_stud};
use jobs::Adjustment;
use quantities::Amplitude;
use regulate::Sheet;
use words::regulating as said;

/// How a balance stands now.
#[derive(Clone, Copy)]
pub(super) struct Now<'a> {
    pub(super) given: &'a Given<'a>,
    pub(super) sheet: &'a Sheet,
    /// Its fullest.
    pub(super) column: &'a Column,
    pub(super) facts: &'a BalanceFacts,
    /// Its place on the sheet.
    pub(super) n: usize,
}

/// The next move by each means, from the mean of the column; each means of which a move was made or
/// whose effect can be computed, and the index.
pub(super) fn rate_advice(now: &Now<'_>, moves: &MoveLog) -> Vec<wire::RegulatingAdvice> {
    let Now { given, column, facts, n, .. } = *now;
    let Some(rate) = column.mean_rate_s_per_d() else { return Vec::new() };
    let means = [
        (Means::Index, AdjustmentBy::Index),
        (Means::TimingScrews, AdjustmentBy::TimingScrews),
        (Means::Mass, AdjustmentBy::Mass),
    ];
    let known = |(by, as_told): (Means, AdjustmentBy)| {
        // A target and readings that were checked when they were kept: nothing to refuse.
        let prior = computed(by, facts);
        let advice = regulate::advice(given.target, rate, n, by, moves, prior).ok()??;
        let (words, reasons) = said::move_now(&advice);
        let next = match &advice {
            Advice::Move(next) | Advice::OutOfReach { as_far_as_it_goes: next, .. } => Some(next),
            Advice::Leave { .. } | Advice::ReadLonger { .. } => None,
        };
        Some(wire::RegulatingAdvice {
            by: as_told,
            words,
            reasons,
            amount: next.map(|next| next.amount),
            is_guess: next.is_some_and(|next| next.is_a_guess()),
            is_computed: next.is_some_and(|next| next.is_computed()),
        })
    };
    let mut all: Vec<wire::RegulatingAdvice> = means.into_iter().filter_map(known).collect();
    // Nothing to move by any means is said once.
    if all.iter().all(|advice| advice.amount.is_none()) {
        all.truncate(1);
    }
    all
}

/// What a milligram at the rim does, where the balance is known so far. Nobody wrote down what its
/// screws weigh: what a turn of these does is found out by turning.
fn computed(means: Means, facts: &BalanceFacts) -> Option<Prior> {
    match means {
        Means::Mass => {
            Prior::computed_for_mass(facts.inertia_kg_m2?, facts.rim_radius_m?.value).ok()
        }
        Means::Index | Means::TimingScrews => None,
    }
}

/// How to turn the stud for no beat error.
pub(super) fn stud(
    now: &Now<'_>,
    adjustments: &[Adjustment],
) -> Result<Option<wire::RegulatingAdvice>, SheetError> {
    let Now { given, sheet, column, facts, n } = *now;
    let Some(beat) = facts.beat else { return Ok(None) };
    let label = &sheet.labels[n];
    let moves = regulate::stud_moves(given.job, given.readings, adjustments, label)?;
    // Lying flat the beat error is the escapement's own.
    let cell = column.cells().iter().find(|cell| cell.beat_error_ms.is_some());
    let Some(cell) = cell else { return Ok(None) };
    let (Some(now_ms), Some(amplitude)) = (cell.beat_error_ms, cell.amplitude_deg) else {
        return Ok(None);
    };
    let amplitude = Amplitude::from_deg(amplitude.value);
    let turn = turn_of_stud(beat, amplitude, now_ms, &moves).ok();
    Ok(turn.as_ref().and_then(said::stud_now).map(|(words, reason)| wire::RegulatingAdvice {
        by: AdjustmentBy::Stud,
        words,
        reasons: vec![reason],
        amount: match turn {
            Some(horology::regulator::StudTurn::Known { deg }) => Some(deg.value),
            _ => None,
        },
        is_guess: false,
        is_computed: false,
    }))
}
