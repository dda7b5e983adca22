//! One balance: its column, its classes, its heavy spot, its next move.

use super::findings;
use super::statistics::statistics;
use super::{Given, cells, verdict};
use crate::convert::{index, value};
use crate::wire::{self, AdjustmentBy};
use bibliography::written_out;
use horology::isochronism::{Candidate, Match, candidates, observe};
use horology::on_the_wrist::expected_on_the_wrist;
use horology::poise::{PoiseAnswer, PoiseSettings};
use horology::rate_sheet::{
    Column, Evidence, RateSheet, SheetError, ToleranceClass, published_classes,
};
use horology::regulator::{Advice, Means, MoveLog, turn_of_stud};
use horology::stance::Upright;
use jobs::Adjustment;
use quantities::{Amplitude, BeatFrequency};
use regulate::Sheet;
use words::regulating as said;

pub(super) fn balance(
    given: &Given<'_>,
    adjustments: &[Adjustment],
    sheet: &Sheet,
    moves: &MoveLog,
    n: usize,
) -> Result<wire::RegulatingBalance, SheetError> {
    let column_of = |wind| sheet.rates.column(n, wind);
    let columns = sheet
        .winds
        .iter()
        .enumerate()
        .filter_map(|(at, wind)| Some((at, column_of(wind.wind).ok()?)))
        .map(|(at, column)| wire::RegulatingColumn {
            wind: index(at),
            statistics: statistics(&column),
        })
        .collect();
    let fullest = sheet.fullest(n).and_then(|wind| column_of(wind.wind).ok());
    let beat = beat(given, sheet, n);
    let mut advice = match &fullest {
        Some(column) => rate_advice(given, moves, column, n),
        None => Vec::new(),
    };
    if let (Some(column), Some(beat)) = (&fullest, beat) {
        advice.extend(stud(given, adjustments, sheet, column, beat, n)?);
    }
    let in_order = sheet.in_order_of_wind();
    Ok(wire::RegulatingBalance {
        label: sheet.labels[n].clone(),
        cells: cells(sheet, n),
        columns,
        classes: fullest.as_ref().map_or_else(Vec::new, |column| classes(given, column)),
        poise: poise(sheet, beat, n),
        advice,
        findings: findings::found(given, sheet, &in_order, beat, n),
        isochronism: isochronism(sheet, &in_order, n),
        wrist: wrist(given, sheet, fullest.as_ref()),
    })
}

/// The beat of a balance: what its watch was told to have, else what was heard.
fn beat(given: &Given<'_>, sheet: &Sheet, n: usize) -> Option<BeatFrequency> {
    let told = given.watch.balances.get(n).and_then(|balance| balance.beats_per_hour);
    let heard = || {
        given.readings.iter().rev().find_map(|kept| {
            let mut balances = kept.reading.balances.iter();
            balances.find(|balance| balance.label == sheet.labels[n])?.beats_per_hour
        })
    };
    BeatFrequency::from_per_hour(told.or_else(heard)?).ok()
}

/// The workshop's own classes, and published ones of which at least one limit can be held against a
/// sheet.
fn classes(given: &Given<'_>, column: &Column) -> Vec<wire::RegulatingClass> {
    let evidence = Evidence { column: Some(column), ..Evidence::default() };
    // They were checked when they were kept.
    let own = super::own_classes(given.settings).unwrap_or_default();
    let own = own.iter().map(|class| judged(class, &evidence, true));
    let published = published_classes(Upright::FOUR[0]);
    let published = published.iter().map(|class| judged(class, &evidence, false));
    own.chain(published)
        .filter(|class| class.limits.iter().any(|limit| limit.found.is_some()))
        .collect()
}

fn judged(class: &ToleranceClass, evidence: &Evidence<'_>, own: bool) -> wire::RegulatingClass {
    let outcome = class.judge(evidence);
    wire::RegulatingClass {
        name: class.name.clone(),
        source: written_out(&class.source),
        own,
        verdict: verdict(outcome.verdict),
        limits: outcome
            .judgements
            .iter()
            .map(|one| wire::RegulatingLimit {
                words: said::limit(&one.limit),
                unit: said::unit_of_limit(one.limit.of).into(),
                found: one.found.map(|found| value(found.measured)),
                verdict: verdict(one.verdict),
                is_forecast: one.is_forecast,
                margin: one.margin.map(value),
            })
            .collect(),
    }
}

fn poise(sheet: &Sheet, beat: Option<BeatFrequency>, n: usize) -> wire::RegulatingPoise {
    match regulate::heavy_spot(&sheet.rates, n, &PoiseSettings::default()) {
        Ok(finding) => {
            let said::PoiseWords { answer, details, next } = said::poise(&finding, beat);
            let spot = match finding.answer {
                PoiseAnswer::Told(spot) => Some(spot),
                PoiseAnswer::CannotTell { .. } => None,
            };
            wire::RegulatingPoise {
                answer,
                details,
                next,
                direction_deg: spot.map(|spot| spot.direction_deg.value),
                sector_half_deg: spot.map(|spot| spot.sector_half_angle_deg()),
            }
        }
        Err(why) => wire::RegulatingPoise {
            answer: said::sentence(&why.to_string()),
            details: Vec::new(),
            next: String::new(),
            direction_deg: None,
            sector_half_deg: None,
        },
    }
}

/// The next move by each means, from the mean of the column; each means of which a move was made,
/// and the index.
fn rate_advice(
    given: &Given<'_>,
    moves: &MoveLog,
    column: &Column,
    n: usize,
) -> Vec<wire::RegulatingAdvice> {
    let Some(now) = column.mean_rate_s_per_d() else { return Vec::new() };
    let means = [
        (Means::Index, AdjustmentBy::Index),
        (Means::TimingScrews, AdjustmentBy::TimingScrews),
        (Means::Mass, AdjustmentBy::Mass),
    ];
    let known = |(by, as_told): (Means, AdjustmentBy)| {
        // A target and readings that were checked when they were kept: nothing to refuse.
        let advice = regulate::advice(given.target, now, n, by, moves).ok()??;
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
        })
    };
    let mut all: Vec<wire::RegulatingAdvice> = means.into_iter().filter_map(known).collect();
    // Nothing to move by any means is said once.
    if all.iter().all(|advice| advice.amount.is_none()) {
        all.truncate(1);
    }
    all
}

fn stud(
    given: &Given<'_>,
    adjustments: &[Adjustment],
    sheet: &Sheet,
    column: &Column,
    beat: BeatFrequency,
    n: usize,
) -> Result<Option<wire::RegulatingAdvice>, SheetError> {
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
    }))
}

fn isochronism(sheet: &Sheet, in_order: &RateSheet, n: usize) -> wire::RegulatingIsochronism {
    let told = |words| wire::RegulatingIsochronism { words, candidates: Vec::new() };
    let seen = match observe(in_order, n) {
        Ok(seen) => seen,
        Err(why) => return told(vec![said::sentence(&why.to_string())]),
    };
    let all_told = sheet.winds.iter().all(|wind| wind.hours.is_some());
    let candidate = |one: &Candidate| wire::RegulatingCandidate {
        words: said::isochronism_cause(one.cause).into(),
        matches: match one.matches {
            Match::Fits => wire::RegulatingMatch::Fits,
            Match::Open => wire::RegulatingMatch::Open,
            Match::Against => wire::RegulatingMatch::Against,
        },
        would: one.would.into(),
        test: one.test.into(),
        source: written_out(one.source),
    };
    wire::RegulatingIsochronism {
        words: said::isochronism(&seen, all_told),
        candidates: candidates(&seen).iter().map(candidate).collect(),
    }
}

fn wrist(given: &Given<'_>, sheet: &Sheet, column: Option<&Column>) -> wire::RegulatingWrist {
    let nothing = |words: &str| wire::RegulatingWrist {
        expected_s_per_d: None,
        day_to_day_sd_s_per_d: None,
        words: words.into(),
    };
    let Some(column) = column else { return nothing("Nothing was read since the last change.") };
    let own = super::wearing(given.settings).ok().flatten();
    let is_own = own.is_some();
    let Some(pattern) = own.or_else(|| regulate::usual_wearing(column)) else {
        return nothing(said::TOO_LITTLE_FOR_THE_WRIST);
    };
    match expected_on_the_wrist(column, &pattern, sheet.rates.clock_sd_s_per_d()) {
        Ok(rate) => wire::RegulatingWrist {
            expected_s_per_d: Some(value(rate.expected_s_per_d)),
            day_to_day_sd_s_per_d: Some(rate.day_to_day_sd_s_per_d),
            words: said::wrist(
                &rate,
                &match is_own {
                    true => "worn as the settings say".to_owned(),
                    false => said::usual_wearing(pattern.hours.len()),
                },
            ),
        },
        Err(why) => nothing(&said::sentence(&why.to_string())),
    }
}
