//! `endshake.escapement/1`: what `escapement --format json` prints.

use super::numbers::WithSd;
use crate::escapement::Told;
use horology::escapement::LeverWork;
use serde::Serialize;

/// An escapement by its angles; null is what was not asked for.
#[derive(Debug, Serialize)]
pub(crate) struct EscapementResult {
    schema: &'static str,
    by_sight: Option<BySightResult>,
    lever: Option<LeverResult>,
    free_arc_deg: Option<f64>,
    locking_arc_deg: Option<f64>,
    drop_deg: Option<f64>,
    drop_at_wheel_mm: Option<f64>,
}

#[derive(Debug, Serialize)]
struct BySightResult {
    amplitude_deg: WithSd,
    lift_angle_deg: WithSd,
}

#[derive(Debug, Serialize)]
struct LeverResult {
    total_lock_deg: WithSd,
    lift_deg: WithSd,
    fork_to_drop_deg: WithSd,
    balance_to_unlock_deg: WithSd,
    balance_lift_deg: WithSd,
}

impl EscapementResult {
    pub(crate) fn of(told: &Told) -> Self {
        Self {
            schema: "endshake.escapement/1",
            by_sight: told.by_sight.map(|(seen, lift)| BySightResult {
                amplitude_deg: seen.into(),
                lift_angle_deg: lift.into(),
            }),
            lever: told.work.as_ref().map(LeverResult::of),
            free_arc_deg: told.free_arc_deg,
            locking_arc_deg: told.locking_arc_deg,
            drop_deg: told.drop_deg,
            drop_at_wheel_mm: told.drop_mm,
        }
    }
}

impl LeverResult {
    fn of(work: &LeverWork) -> Self {
        Self {
            total_lock_deg: work.total_lock_deg.into(),
            lift_deg: work.lift_deg.into(),
            fork_to_drop_deg: work.fork_to_drop_deg.into(),
            balance_to_unlock_deg: work.balance_to_unlock_deg.into(),
            balance_lift_deg: work.balance_lift_deg.into(),
        }
    }
}
