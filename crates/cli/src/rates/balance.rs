//! One balance of the sheet.

use crate::arguments::RatesWishes;
use crate::failure::Failure;
use horology::findings::{self, Finding, Readings};
use horology::isochronism::{Candidate, IsochronismError, Observation, candidates, observe};
use horology::on_the_wrist::{Hours, WearingPattern, WristRate, expected_on_the_wrist};
use horology::poise::{PoiseError, PoiseFinding, PoiseSettings};
use horology::rate_sheet::{Column, Evidence, Outcome, Wind, published_classes};
use horology::regulator::{Advice, Means, RegulatorError, StudTurn, Target, turn_of_stud};
use quantities::{Amplitude, BeatFrequency};
use ratefile::{RateFile, Rounds};
use words::regulating as said;

const UPRIGHT_WITHOUT_AMPLITUDE: &str =
    "The upright readings have no amplitude: a heavy spot shows by rate and amplitude together.";

const NO_AMPLITUDE: &str =
    "No reading has an amplitude: isochronism is the course of the rate with it.";

/// Everything that is told of a balance. Where something cannot be told, the sentence why.
pub(crate) struct BalanceTold {
    pub(crate) letter: String,
    pub(crate) beat: Option<BeatFrequency>,
    pub(crate) columns: Vec<(Wind, Column)>,
    /// By the fullest state of wind.
    pub(crate) classes: Vec<Judged>,
    pub(crate) poise: Result<PoiseFinding, String>,
    pub(crate) isochronism: Result<(Observation, Vec<Candidate>), String>,
    pub(crate) findings: Vec<Finding>,
    /// With how it is worn, in words.
    pub(crate) wrist: Result<(WristRate, String), String>,
    pub(crate) advice: Vec<(Means, Advice)>,
    pub(crate) stud: Option<StudTurn>,
}

/// A class of which something can be held against the sheet.
pub(crate) struct Judged {
    pub(crate) name: String,
    pub(crate) source: String,
    pub(crate) outcome: Outcome,
}

pub(super) fn told(
    wishes: &RatesWishes,
    file: &RateFile,
    rounds: &Rounds,
    target: Target,
    n: usize,
) -> Result<BalanceTold, Failure> {
    let sheet = &rounds.now;
    let columns: Vec<(Wind, Column)> = sheet
        .winds(n)
        .into_iter()
        .filter_map(|wind| Some((wind, sheet.column(n, wind).ok()?)))
        .collect();
    let fullest = columns.first().map(|(_, column)| column);
    let sentence = |words: String| said::sentence(&words);
    let usual = PoiseSettings::default();
    let settings = PoiseSettings {
        amplitude_scale_sd: wishes
            .sds
            .lift_sd_percent
            .map_or(usual.amplitude_scale_sd, |per_cent| 0.01 * per_cent),
        ..usual
    };
    let beat = wishes.beats_per_hour;
    let readings = Readings { beat, ..Readings::of_sheet(sheet, n) };
    let advice = advice(wishes, rounds, target, fullest, n);
    let advice = advice.map_err(|e| Failure::WrongUse(sentence(e.to_string())))?;
    Ok(BalanceTold {
        letter: file.balances[n].clone(),
        beat,
        classes: fullest.map_or_else(Vec::new, |column| classes(wishes, column)),
        poise: regulate::heavy_spot(sheet, n, &settings).map_err(|error| {
            let upright = sheet.cells().iter().any(|c| c.balance == n && !c.stance.is_flat());
            match error {
                PoiseError::NoReadings if upright => UPRIGHT_WITHOUT_AMPLITUDE.to_owned(),
                error => sentence(error.to_string()),
            }
        }),
        isochronism: observe(sheet, n)
            .map(|seen| {
                let fitting = candidates(&seen);
                (seen, fitting)
            })
            .map_err(|error| match error {
                IsochronismError::NoAmplitude { .. } => NO_AMPLITUDE.to_owned(),
                error => sentence(error.to_string()),
            }),
        findings: findings::findings(&readings),
        wrist: wrist(wishes, fullest),
        advice,
        stud: beat.and_then(|beat| stud(rounds, fullest?, beat, n)),
        columns,
    })
}

fn classes(wishes: &RatesWishes, column: &Column) -> Vec<Judged> {
    let evidence = Evidence { column: Some(column), ..Evidence::default() };
    published_classes(wishes.pendant_up)
        .into_iter()
        .map(|class| Judged {
            outcome: class.judge(&evidence),
            source: bibliography::written_out(&class.source),
            name: class.name,
        })
        .filter(|class| class.outcome.judgements.iter().any(|limit| limit.found.is_some()))
        .collect()
}

fn wrist(wishes: &RatesWishes, column: Option<&Column>) -> Result<(WristRate, String), String> {
    let too_little = || said::TOO_LITTLE_FOR_THE_WRIST.to_owned();
    let column = column.ok_or_else(too_little)?;
    let (pattern, worn) = if wishes.worn.is_empty() {
        let pattern = regulate::usual_wearing(column).ok_or_else(too_little)?;
        let words = said::usual_wearing(pattern.hours.len());
        (pattern, words)
    } else {
        let hours = wishes.worn.iter().map(|worn| Hours {
            stance: worn.stance,
            mean_h: worn.hours.value,
            day_to_day_sd_h: worn.hours.sd,
        });
        (WearingPattern { hours: hours.collect() }, "worn as --worn says".to_owned())
    };
    expected_on_the_wrist(column, &pattern, wishes.sds.clock_sd)
        .map(|rate| (rate, worn))
        .map_err(|error| said::sentence(&error.to_string()))
}

/// Where a target was named or a move was made: the next one by each means that was tried, and by
/// the index.
fn advice(
    wishes: &RatesWishes,
    rounds: &Rounds,
    target: Target,
    column: Option<&Column>,
    n: usize,
) -> Result<Vec<(Means, Advice)>, RegulatorError> {
    let Some(now) = column.and_then(Column::mean_rate_s_per_d) else { return Ok(Vec::new()) };
    let all = [Means::Index, Means::TimingScrews, Means::Mass];
    let tried = |means: &Means| !rounds.moves.of(n, *means).is_empty();
    let any_tried = all.iter().any(tried);
    if wishes.target.is_none() && !any_tried {
        return Ok(Vec::new());
    }
    let mut told = Vec::new();
    // A means that was tried is known; the index is guessed at where nothing was.
    for means in all.into_iter().filter(|m| tried(m) || (!any_tried && *m == Means::Index)) {
        let advice = regulate::advice(target, now, n, means, &rounds.moves, None)?;
        told.extend(advice.map(|advice| (means, advice)));
    }
    Ok(told)
}

fn stud(rounds: &Rounds, column: &Column, beat: BeatFrequency, n: usize) -> Option<StudTurn> {
    // Lying flat the beat error is the escapement's own; flat cells come first.
    let cell = column.cells().iter().find(|cell| cell.beat_error_ms.is_some())?;
    let amplitude = Amplitude::from_deg(cell.amplitude_deg?.value);
    turn_of_stud(beat, amplitude, cell.beat_error_ms?, rounds.stud_moves.get(n)?).ok()
}
