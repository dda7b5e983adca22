//! A trial as it is told: its days, the readings that can stand for them, its criteria.

use crate::convert::{index, moment, position, trial_rate, trial_size, value, version};
use crate::wire;
use horology::chronometer::{Criterion, Standing, schedule};
use horology::rate_sheet::SheetError;
use jobs::{Trial, TrialRate};
use regulate::Kept;
use words::regulating as said;

/// What to know of the programme, wherever it is shown.
pub(crate) fn notes() -> Vec<String> {
    use said::trial::{A_DAILY_RATE, NOT_A_CERTIFICATE, THE_PROGRAMME, YOURS_TO_PROVIDE};
    [NOT_A_CERTIFICATE, A_DAILY_RATE, YOURS_TO_PROVIDE, THE_PROGRAMME].map(Into::into).into()
}

/// A trial with the readings of its job.
///
/// # Errors
///
/// Where a number in it is none.
pub(crate) fn trial(
    kept: &store::Kept<Trial>,
    readings: &[Kept<'_>],
) -> Result<wire::Trial, SheetError> {
    let own = &kept.value;
    let (criteria, worst) = regulate::standing(own)?;
    Ok(wire::Trial {
        id: kept.id.to_string(),
        version: version(kept.version),
        job_id: own.job.to_string(),
        balance: own.balance.clone(),
        size: trial_size(own.size),
        begun: moment(own.begun),
        rate_sd_s_per_d: own.rate_sd_s_per_d,
        note: own.note.clone(),
        days: days(own, readings),
        words: said::trial::trial(&criteria),
        criteria: criteria.iter().map(|one| criterion(one, worst)).collect(),
    })
}

fn days(own: &Trial, readings: &[Kept<'_>]) -> Vec<wire::TrialDay> {
    let of_readings = |rate: &TrialRate| {
        let known = regulate::known(own, rate);
        said::trial::of_readings(rate.readings, known, rate.clock_sd_s_per_d)
    };
    let offered = regulate::readings_of_days(own, readings);
    let days = schedule().into_iter().zip(own.days).zip(offered);
    let day = |((day, rate), offered): ((_, Option<TrialRate>), Option<TrialRate>)| {
        let horology::chronometer::ScheduledDay {
            day,
            position: at,
            temperature_deg_c,
            chronograph_runs,
        } = day;
        wire::TrialDay {
            day: index(day),
            from: moment(own.day_begins(day)),
            until: moment(own.day_begins(day + 1)),
            position: position(at),
            position_words: at.words().into(),
            temperature_deg_c,
            chronograph_runs,
            rate: rate.map(trial_rate),
            from_words: rate
                .filter(|rate| rate.readings > 0)
                .map_or_else(String::new, |rate| of_readings(&rate)),
            offered: offered
                .map(|rate| wire::TrialOffer { rate: trial_rate(rate), words: of_readings(&rate) }),
        }
    };
    days.map(day).collect()
}

fn criterion(one: &Criterion, worst: Option<usize>) -> wire::TrialCriterion {
    let judgement = &one.judgement;
    let of = judgement.limit.of;
    let (letter, name) = said::trial::criterion(of);
    let found = judgement.found.map(|found| found.measured);
    wire::TrialCriterion {
        letter: letter.into(),
        name: name.into(),
        made_of: said::trial::made_of(of, worst),
        limit: format!("{}\u{a0}{}", said::bounds(&judgement.limit), said::unit_of_limit(of)),
        found: found.map(value),
        found_words: found.map_or_else(String::new, |found| said::trial::found(of, found)),
        state: match one.standing() {
            Standing::Met => wire::TrialState::Met,
            Standing::NotMet => wire::TrialState::NotMet,
            Standing::CannotTell => wire::TrialState::CannotTell,
            Standing::NotYet => wire::TrialState::NotYet,
        },
        words: said::trial::standing(one),
    }
}
