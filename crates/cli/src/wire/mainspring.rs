//! `endshake.mainspring/1`: what `mainspring --format json` prints.

use super::numbers::WithSd;
use super::train::WarningResult;
use crate::mainspring::{InBarrel, Told};
use horology::mainspring::{Replaced, StopWork, Warning};
use serde::Serialize;

/// A mainspring in its barrel.
#[derive(Debug, Serialize)]
pub(crate) struct MainspringResult {
    schema: &'static str,
    barrel: BarrelResult,
    #[serde(flatten)]
    spring: SpringResult,
    best_length_mm: f64,
    modulus_gpa: f64,
    barrel_turn_s: Option<f64>,
    stop_work: Option<StopWorkResult>,
    /// Another spring in its place.
    new: Option<NewResult>,
}

#[derive(Debug, Serialize)]
struct BarrelResult {
    free_area_mm2: f64,
    halving_radius_mm: f64,
}

#[derive(Debug, Serialize)]
struct SpringResult {
    thickness_mm: WithSd,
    length_mm: WithSd,
    height_mm: Option<WithSd>,
    coils_free: f64,
    fill: f64,
    coils_down: f64,
    coils_up: f64,
    turns: WithSd,
    runs_at_most_s: Option<WithSd>,
    height_clearance_mm: Option<f64>,
    torque: Option<TorqueResult>,
    warnings: Vec<WarningResult>,
}

#[derive(Debug, Serialize)]
struct TorqueResult {
    per_turn_n_mm: WithSd,
    /// From run down to wound up.
    curve: Vec<PointResult>,
}

#[derive(Debug, Serialize)]
struct PointResult {
    turns: f64,
    torque_n_mm: WithSd,
}

#[derive(Debug, Serialize)]
struct StopWorkResult {
    from_turn: f64,
    to_turn: f64,
    unused_above: f64,
}

#[derive(Debug, Serialize)]
struct NewResult {
    #[serde(flatten)]
    spring: SpringResult,
    torque_new_over_old: Option<WithSd>,
    turns_new_over_old: WithSd,
}

impl MainspringResult {
    pub(crate) fn of(told: &Told) -> Self {
        Self {
            schema: "endshake.mainspring/1",
            barrel: BarrelResult {
                free_area_mm2: told.barrel.free_area_mm2(),
                halving_radius_mm: told.barrel.halving_radius_mm(),
            },
            spring: SpringResult::of(&told.spring, told.turn_s),
            best_length_mm: told.best_length_mm,
            modulus_gpa: told.modulus_gpa,
            barrel_turn_s: told.turn_s,
            stop_work: told.stop_work.map(StopWorkResult::of),
            new: told.new.as_ref().map(|(new, changes)| NewResult::of(new, changes, told.turn_s)),
        }
    }
}

impl SpringResult {
    fn of(one: &InBarrel, turn_s: Option<f64>) -> Self {
        let (spring, fitted) = (&one.spring, &one.fitted);
        let point = |(turns, torque)| PointResult { turns, torque_n_mm: WithSd::from(torque) };
        Self {
            thickness_mm: spring.thickness_mm.into(),
            length_mm: spring.length_mm.into(),
            height_mm: spring.height_mm.map(WithSd::from),
            coils_free: spring.coils_free,
            fill: fitted.fill(),
            coils_down: fitted.coils_down(),
            coils_up: fitted.coils_up(),
            turns: fitted.turns().into(),
            runs_at_most_s: turn_s.map(|turn_s| fitted.runs_s(turn_s).into()),
            height_clearance_mm: fitted.height_clearance_mm(),
            torque: one.torque.map(|torque| TorqueResult {
                per_turn_n_mm: torque.per_turn_n_mm.into(),
                curve: one.torque_curve().into_iter().map(point).collect(),
            }),
            warnings: one.warnings.iter().map(warning).collect(),
        }
    }
}

impl StopWorkResult {
    fn of(used: StopWork) -> Self {
        let StopWork { from_turn, to_turn, unused_above } = used;
        Self { from_turn, to_turn, unused_above }
    }
}

impl NewResult {
    fn of(new: &InBarrel, changes: &Replaced, turn_s: Option<f64>) -> Self {
        Self {
            spring: SpringResult::of(new, turn_s),
            torque_new_over_old: changes.torque.map(WithSd::from),
            turns_new_over_old: changes.turns.into(),
        }
    }
}

fn warning(warning: &Warning) -> WarningResult {
    WarningResult { code: warning.code(), message: warning.to_string() }
}
