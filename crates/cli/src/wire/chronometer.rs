//! `endshake.chronometer/1` and `endshake.chronometer-schedule/1`: what `chronometer --format json`
//! prints.

use super::numbers::WithSd;
use super::rates::{LimitResult, VerdictResult};
use crate::chronometer::Told;
use horology::chronometer::{Evaluation, ScheduledDay, schedule};
use horology::rate_sheet::{MovementSize, Outcome};
use serde::Serialize;

/// Fifteen days judged.
#[derive(Debug, Serialize)]
pub(crate) struct ChronometerResult {
    schema: &'static str,
    days: Vec<DayResult>,
    criteria: CriteriaResult,
    outcomes: Vec<OutcomeResult>,
}

#[derive(Debug, Serialize)]
struct DayResult {
    #[serde(flatten)]
    scheduled: ScheduledResult,
    rate_s_per_d: WithSd,
}

#[derive(Debug, Serialize)]
struct CriteriaResult {
    mean_daily_rate_s_per_d: WithSd,
    mean_variation_s_per_d: WithSd,
    greatest_variation_s_per_d: WithSd,
    upright_less_flat_s_per_d: WithSd,
    largest_variation_s_per_d: WithSd,
    largest_variation_day: usize,
    temperature_s_per_d_per_deg_c: WithSd,
    rate_resumption_s_per_d: WithSd,
}

#[derive(Debug, Serialize)]
struct OutcomeResult {
    size: &'static str,
    class: String,
    verdict: VerdictResult,
    limits: Vec<LimitResult>,
}

/// The schedule alone.
#[derive(Debug, Serialize)]
pub(crate) struct ScheduleResult {
    schema: &'static str,
    days: Vec<ScheduledResult>,
}

#[derive(Debug, Serialize)]
struct ScheduledResult {
    day: usize,
    position: &'static str,
    temperature_deg_c: f64,
    chronograph_runs: bool,
}

impl ChronometerResult {
    pub(crate) fn of(told: &Told) -> Self {
        let days = schedule().into_iter().zip(told.days_s_per_d);
        let day = |(day, rate): (ScheduledDay, quantities::Measured)| DayResult {
            scheduled: ScheduledResult::of(day),
            rate_s_per_d: rate.into(),
        };
        Self {
            schema: "endshake.chronometer/1",
            days: days.map(day).collect(),
            criteria: CriteriaResult::of(&told.evaluation),
            outcomes: told.outcomes.iter().map(OutcomeResult::of).collect(),
        }
    }
}

impl CriteriaResult {
    fn of(found: &Evaluation) -> Self {
        Self {
            mean_daily_rate_s_per_d: found.mean_daily_rate_s_per_d.measured.into(),
            mean_variation_s_per_d: found.mean_variation_s_per_d.measured.into(),
            greatest_variation_s_per_d: found.greatest_variation_s_per_d.measured.into(),
            upright_less_flat_s_per_d: found.upright_less_flat_s_per_d.measured.into(),
            largest_variation_s_per_d: found.largest_variation_s_per_d.measured.into(),
            largest_variation_day: found.largest_variation_day,
            temperature_s_per_d_per_deg_c: found.temperature_s_per_d_per_deg_c.measured.into(),
            rate_resumption_s_per_d: found.rate_resumption_s_per_d.measured.into(),
        }
    }
}

impl OutcomeResult {
    fn of((size, name, outcome): &(MovementSize, String, Outcome)) -> Self {
        Self {
            size: match size {
                MovementSize::Over20Mm => "over_20_mm",
                MovementSize::UpTo20Mm => "up_to_20_mm",
            },
            class: name.clone(),
            verdict: outcome.verdict.into(),
            limits: outcome.judgements.iter().map(LimitResult::of).collect(),
        }
    }
}

impl ScheduleResult {
    pub(crate) fn whole() -> Self {
        let days = schedule().into_iter().map(ScheduledResult::of).collect();
        Self { schema: "endshake.chronometer-schedule/1", days }
    }
}

impl ScheduledResult {
    fn of(day: ScheduledDay) -> Self {
        Self {
            day: day.day,
            position: day.position.symbol(),
            temperature_deg_c: day.temperature_deg_c,
            chronograph_runs: day.chronograph_runs,
        }
    }
}
