//! One balance: its column, its classes, its course with the wind, on the wrist.

use super::advice::{Now, rate_advice, stud};
use super::findings;
use super::isochronism::isochronism;
use super::known::Known;
use super::poise::poise;
use super::statistics::statistics;
use super::{Changes, Given, cells, verdict};
use crate::convert::{index, value};
use crate::wire;
use bibliography::written_out;
use horology::on_the_wrist::expected_on_the_wrist;
use horology::rate_sheet::{Column, Evidence, SheetError, ToleranceClass, published_classes};
use horology::regulator::MoveLog;
use horology::stance::Upright;
use quantities::BeatFrequency;
use regulate::Sheet;
use words::regulating as said;

pub(super) fn balance(
    given: &Given<'_>,
    changes: &Changes<'_>,
    sheet: &Sheet,
    moves: &MoveLog,
    known: &Known,
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
    let facts = known.facts(&sheet.labels, n, beat);
    let mut advice = Vec::new();
    if let Some(column) = &fullest {
        let now = Now { given, sheet, column, facts: &facts, n };
        advice = rate_advice(&now, moves);
        advice.extend(stud(&now, changes.moves)?);
    }
    let in_order = sheet.in_order_of_wind();
    Ok(wire::RegulatingBalance {
        label: sheet.labels[n].clone(),
        cells: cells(sheet, n),
        columns,
        classes: fullest.as_ref().map_or_else(Vec::new, |column| classes(given, column)),
        poise: poise(sheet, &facts, n),
        advice,
        findings: findings::found(given, changes.boundaries, sheet, &in_order, beat, n)?,
        isochronism: isochronism(given, changes.boundaries, sheet, &in_order, n),
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
