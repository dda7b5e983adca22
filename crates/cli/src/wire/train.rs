//! `endshake.train/1`: what `train --format json` prints.

use super::numbers::WithSd;
use crate::train::Told;
use horology::train::{Cycle, Problem, Ratio, Sense};
use serde::Serialize;

/// A movement's trains.
#[derive(Debug, Serialize)]
pub(crate) struct TrainResult {
    schema: &'static str,
    source: Source,
    arbors: Vec<ArborResult>,
    meshes: Vec<MeshResult>,
    balances: Vec<BalanceResult>,
    hands: Vec<HandResult>,
    barrels: Vec<BarrelResult>,
    /// Everything that repeats, where it was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    cycles: Option<Vec<CycleResult>>,
    /// What the balances beat by what hands were seen to gain.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    seen: Vec<SeenResult>,
    warnings: Vec<WarningResult>,
}

#[derive(Debug, Serialize)]
pub(super) struct Source {
    pub(super) path: String,
    pub(super) title: String,
}

#[derive(Debug, Serialize)]
struct ArborResult {
    name: String,
    /// Counted from 0; arbors of one train mesh.
    train: usize,
    turn_s: Option<Exact>,
    sense: Option<&'static str>,
}

#[derive(Debug, Serialize)]
struct MeshResult {
    between: [String; 2],
    tooth_s: Option<Exact>,
    pair_again_s: Option<Exact>,
}

#[derive(Debug, Serialize)]
struct BalanceResult {
    name: String,
    train: usize,
    beats_per_hour: Option<Exact>,
}

#[derive(Debug, Serialize)]
struct HandResult {
    name: String,
    balance: Option<String>,
    turn_s: Option<Exact>,
    ought_to_turn_in_s: Exact,
    sense: Option<&'static str>,
    /// By the train alone.
    rate_s_per_d: Option<f64>,
    right_at_beats_per_hour: Option<Exact>,
    /// At the beat that was measured.
    measured_rate_s_per_d: Option<WithSd>,
}

#[derive(Debug, Serialize)]
struct BarrelResult {
    name: String,
    turn_s: Option<Exact>,
    turns: Option<Exact>,
    runs_at_most_s: Option<Exact>,
}

#[derive(Debug, Serialize)]
struct CycleResult {
    name: String,
    kind: &'static str,
    train: usize,
    period_s: Exact,
    beats: Option<Exact>,
}

#[derive(Debug, Serialize)]
struct SeenResult {
    hand: String,
    rate_s_per_d: f64,
    balance: String,
    beats_per_hour: f64,
}

/// As everywhere: a stable code and a sentence.
#[derive(Debug, Serialize)]
pub(super) struct WarningResult {
    pub(super) code: &'static str,
    pub(super) message: String,
}

/// A number, and the fraction that it is exactly.
#[derive(Debug, Serialize)]
struct Exact {
    value: f64,
    exactly: String,
}

impl From<Ratio> for Exact {
    fn from(ratio: Ratio) -> Self {
        Self { value: ratio.to_f64(), exactly: ratio.to_string() }
    }
}

impl TrainResult {
    pub(crate) fn of(told: &Told) -> Self {
        let movement = &told.input.calibre.movement;
        let (parts, running) = (movement.parts(), &told.running);
        let exact = |ratio: Option<Ratio>| ratio.map(Exact::from);
        let arbors = parts.arbors.iter().zip(&running.arbors).map(|(arbor, runs)| ArborResult {
            name: arbor.name.clone(),
            train: runs.train,
            turn_s: exact(runs.turn_s),
            sense: runs.sense.map(sense),
        });
        let meshes = parts.meshes.iter().zip(&running.meshes).map(|(mesh, runs)| MeshResult {
            between: mesh.between.map(|at| movement.toothed_name(at)),
            tooth_s: exact(runs.tooth_s),
            pair_again_s: exact(runs.repeat_s),
        });
        let balances = parts.balances.iter().zip(&running.balances);
        let balances = balances.map(|(balance, runs)| BalanceResult {
            name: balance.name.clone(),
            train: runs.train,
            beats_per_hour: exact(runs.beats_per_hour),
        });
        let hands = parts.hands.iter().zip(&running.hands).zip(&told.measured_rates);
        let hands = hands.map(|((hand, runs), measured)| HandResult {
            name: hand.name.clone(),
            balance: runs.balance.map(|at| parts.balances[at].name.clone()),
            turn_s: exact(runs.turn_s),
            ought_to_turn_in_s: hand.ought_to_turn_in_s.into(),
            sense: runs.sense.map(sense),
            rate_s_per_d: runs.rate.map(|rate| rate.s_per_d()),
            right_at_beats_per_hour: exact(runs.right_at_beats_per_hour),
            measured_rate_s_per_d: measured.map(WithSd::from),
        });
        let barrels =
            parts.barrels.iter().zip(&running.barrels).map(|(barrel, runs)| BarrelResult {
                name: barrel.name.clone(),
                turn_s: exact(runs.turn_s),
                turns: exact(runs.turns),
                runs_at_most_s: exact(runs.runs_s),
            });
        let cycles = told.cycles.as_ref();
        let seen = told.seen.iter().map(|seen| SeenResult {
            hand: seen.hand.clone(),
            rate_s_per_d: seen.s_per_d,
            balance: seen.balance.clone(),
            beats_per_hour: seen.beats_per_hour,
        });
        Self {
            schema: "endshake.train/1",
            source: Source {
                path: told.input.path.clone(),
                title: told.input.calibre.title.clone(),
            },
            arbors: arbors.collect(),
            meshes: meshes.collect(),
            balances: balances.collect(),
            hands: hands.collect(),
            barrels: barrels.collect(),
            cycles: cycles.map(|all| all.iter().map(CycleResult::of).collect()),
            seen: seen.collect(),
            warnings: running.problems.iter().map(warning).collect(),
        }
    }
}

impl CycleResult {
    fn of(cycle: &Cycle) -> Self {
        Self {
            name: cycle.name.clone(),
            kind: cycle.kind.code(),
            train: cycle.train,
            period_s: cycle.period_s.into(),
            beats: cycle.beats.map(Exact::from),
        }
    }
}

fn sense(sense: Sense) -> &'static str {
    match sense {
        Sense::Clockwise => "clockwise",
        Sense::Anticlockwise => "anticlockwise",
    }
}

fn warning(problem: &Problem) -> WarningResult {
    WarningResult { code: problem.code(), message: problem.to_string() }
}
