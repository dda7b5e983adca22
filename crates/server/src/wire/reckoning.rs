//! What follows from a movement's written form.

use super::Value;
use serde::{Deserialize, Serialize};
use ts_rs::TS;
use utoipa::ToSchema;

/// A movement to be reckoned with; nothing of it is kept.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct ReckonWish {
    /// The written form.
    pub text: String,
    /// What balances were measured at.
    #[serde(default)]
    pub measured: Option<Vec<MeasuredBeat>>,
    /// Other springs to hold against those that are written down.
    #[serde(default)]
    pub instead: Option<Vec<OtherSpring>>,
    /// Lost wheels: answers with a larger error are left out, s/d; 60 where left out.
    #[serde(default)]
    pub within_s_per_d: Option<f64>,
}

/// A beat that was measured.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct MeasuredBeat {
    /// Which balance, by its name in the written form.
    pub balance: String,
    /// Beats (single swings) per hour.
    pub beats_per_hour: f64,
    /// One standard deviation of it.
    #[serde(default)]
    pub sd_beats_per_hour: Option<f64>,
    /// Amplitude that was read with it, degrees.
    #[serde(default)]
    pub amplitude_deg: Option<f64>,
    /// One standard deviation of that.
    #[serde(default)]
    pub sd_amplitude_deg: Option<f64>,
    /// Lift angle that the amplitude rests on, degrees.
    #[serde(default)]
    pub lift_angle_deg: Option<f64>,
}

/// Another spring for a barrel: what is left out is as in the one that is written down.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct OtherSpring {
    /// Which barrel.
    pub barrel: String,
    /// Thickness, mm, as in the written form: `0.10` or `0.10 ± 0.003`.
    #[serde(default)]
    pub thickness_mm: Option<String>,
    /// Length, mm, written alike.
    #[serde(default)]
    pub length_mm: Option<String>,
    /// Height, mm, written alike.
    #[serde(default)]
    pub height_mm: Option<String>,
}

/// Everything that follows.
#[derive(Debug, Clone, Default, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Reckoned {
    /// What is wrong. Where the form cannot be read there is nothing else.
    pub problems: Vec<ReckonedProblem>,
    /// What the movement is called; may be empty.
    pub title: String,
    /// Lost teeth for which the best answer stands in everything below.
    pub filled_in: Vec<FilledIn>,
    /// All that turns.
    pub arbors: Vec<ReckonedArbor>,
    /// What works into what.
    pub meshes: Vec<ReckonedMesh>,
    /// Balances.
    pub balances: Vec<ReckonedBalance>,
    /// Hands.
    pub hands: Vec<ReckonedHand>,
    /// Barrels.
    pub barrels: Vec<ReckonedBarrel>,
    /// Mainsprings.
    pub mainsprings: Vec<ReckonedMainspring>,
    /// Everything that repeats, the shortest first.
    pub cycles: Vec<ReckonedCycle>,
    /// The lever, the lift angle by sight, heat and cold, a hairspring on trial, depths: each where
    /// enough is written down for it.
    pub sums: Vec<ReckonedSum>,
    /// Searches for lost wheels, one a train.
    pub missing: Vec<ReckonedMissing>,
}

/// Something wrong in a movement.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ReckonedProblem {
    /// The line, counted from 1; null where it is about the movement as a whole.
    pub line: Option<u32>,
    /// Stable, for programs.
    pub code: String,
    /// What is wrong and what to do.
    pub words: String,
}

/// Teeth that were found.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct FilledIn {
    /// Which wheel or pinion.
    pub name: String,
    /// Its teeth.
    pub teeth: u32,
}

/// Something that turns as one piece.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ReckonedArbor {
    /// Its name.
    pub name: String,
    /// Its train, counted from 0.
    pub train: u32,
    /// The balance that its train hangs on, as an index.
    pub balance: Option<u32>,
    /// Time of one turn, s.
    pub turn_s: Option<f64>,
    /// The same in words.
    pub turn_words: String,
    /// Which way it turns, in words; empty where nothing tells.
    pub sense: String,
}

/// Two that work into each other.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ReckonedMesh {
    /// The two arbors, as indices.
    pub arbors: [u32; 2],
    /// The two wheels or pinions.
    pub names: [String; 2],
    /// Their teeth; null where they are lost and were not found.
    pub teeth: [Option<u32>; 2],
    /// From one tooth to the next, s.
    pub tooth_s: Option<f64>,
    /// Until the same two teeth meet again, s.
    pub repeat_s: Option<f64>,
    /// The same in words.
    pub repeat_words: String,
}

/// A balance.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ReckonedBalance {
    /// Its name.
    pub name: String,
    /// The arbor of its escape wheel, as an index.
    pub escape_arbor: u32,
    /// Beats (single swings) per hour by its train.
    pub beats_per_hour: Option<f64>,
    /// The same in words.
    pub beats_words: String,
    /// Lift angle as it was written down, degrees.
    pub lift_angle_deg: Option<Value>,
    /// What is known of it and its hairspring, and what follows from that.
    pub pieces: Vec<ReckonedPiece>,
    /// Beats per hour by its own inertia and stiffness, where those are known.
    pub own_beats_per_hour: Option<Value>,
    /// What it would gain by that in this train, s/d.
    pub own_gain_s_per_d: Option<Value>,
    /// What the lift angle by sight wants, from its reading; null where no amplitude was read.
    pub sight: Option<ReckonedSight>,
}

/// The lift angle by sight, from a reading: had its turning points stood at a mark.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ReckonedSight {
    /// Time from unlocking to drop that was heard, ms, as it is written down.
    pub unlocking_to_drop_ms: String,
    /// Marks that an eye can judge.
    pub marks: Vec<ReckonedMark>,
}

/// A mark on the rim at which turning points may stand.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ReckonedMark {
    /// Where.
    pub words: String,
    /// The amplitude there, degrees, with what an eye is good for, as it is written down.
    pub seen_amplitude_deg: String,
}

/// A piece of what can be known of a balance.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ReckonedPiece {
    /// What it is.
    pub words: String,
    /// How much.
    pub value: Value,
    /// In this unit.
    pub unit: String,
    /// It was written down, or is the train's; it did not follow.
    pub given: bool,
}

/// A hand.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ReckonedHand {
    /// Its name.
    pub name: String,
    /// The arbor that it sits on, as an index.
    pub arbor: u32,
    /// The balance that it hangs on, as an index.
    pub balance: Option<u32>,
    /// Time of one turn, in words.
    pub turn_words: String,
    /// What it gains by the train alone, s/d; exactly 0 where the train is right.
    pub rate_s_per_d: Option<f64>,
    /// Whether it is right, and else by how much it is wrong.
    pub words: String,
    /// What it gains at the beat that was measured, s/d.
    pub measured_rate_s_per_d: Option<Value>,
    /// The same in words; empty where nothing was measured.
    pub measured_words: String,
    /// Beats per hour at which it would be right.
    pub right_at_beats_per_hour: Option<f64>,
}

/// A barrel.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ReckonedBarrel {
    /// Its name.
    pub name: String,
    /// The arbor of its drum, as an index.
    pub drum: u32,
    /// Time of one turn, in words.
    pub turn_words: String,
    /// Turns from wound up to run down.
    pub turns: Option<f64>,
    /// Its turns are those of its mainspring.
    pub turns_of_spring: bool,
    /// Time from wound up to run down at most, s.
    pub runs_s: Option<f64>,
    /// The same in words.
    pub runs_words: String,
}

/// A mainspring in its barrel.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ReckonedMainspring {
    /// The barrel.
    pub barrel: String,
    /// The spring; null where it cannot be (see the problems).
    pub spring: Option<ReckonedSpring>,
    /// Length that gives most turns, mm.
    pub best_length_mm: Option<f64>,
    /// Another in its place, where one was asked for and can be.
    pub instead: Option<ReckonedOther>,
    /// What to know about torque and time.
    pub notes: Vec<String>,
}

/// What a spring does in its barrel.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ReckonedSpring {
    /// Thickness, mm.
    pub thickness_mm: Value,
    /// Length, mm.
    pub length_mm: Value,
    /// The length was not measured: the best one was taken.
    pub length_is_best: bool,
    /// Height, mm.
    pub height_mm: Option<Value>,
    /// Share of the free area that it fills.
    pub fill: f64,
    /// Coils against the wall, run down.
    pub coils_down: f64,
    /// Coils around the arbor, wound up.
    pub coils_up: f64,
    /// Turns from wound up to run down.
    pub turns: Value,
    /// Time from wound up to run down at most, s.
    pub runs_s: Option<Value>,
    /// The same in words; empty where the barrel's speed is not known.
    pub runs_words: String,
    /// Torque wound up, N mm.
    pub torque_up_n_mm: Option<Value>,
    /// Torque at half the turns, N mm.
    pub torque_half_n_mm: Option<Value>,
    /// Torque run down, N mm.
    pub torque_down_n_mm: Option<Value>,
    /// Height of the barrel less that of the spring, mm.
    pub height_clearance_mm: Option<f64>,
    /// What to think about before it goes in.
    pub warnings: Vec<ReckonedProblem>,
}

/// Another spring against the one that is written down.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ReckonedOther {
    /// The other spring.
    pub spring: ReckonedSpring,
    /// Torque for each turn of winding, other over written down.
    pub torque_ratio: Option<Value>,
    /// Turns, and with them running time, other over written down.
    pub turns_ratio: Value,
}

/// Something that repeats.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ReckonedCycle {
    /// What it is.
    pub name: String,
    /// `turn`, `tooth` or `pair_again`.
    pub kind: String,
    /// Its train, counted from 0.
    pub train: u32,
    /// How long it takes, s.
    pub period_s: f64,
    /// The same in words.
    pub period_words: String,
    /// The same in beats of the train's balance.
    pub beats: Option<f64>,
}

/// A search for lost wheels.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ReckonedMissing {
    /// What was looked for, and how; or why nothing could be looked for.
    pub words: String,
    /// The lost wheels and pinions.
    pub names: Vec<String>,
    /// What ought to be right.
    pub judged_by: Vec<String>,
    /// The best first.
    pub answers: Vec<ReckonedAnswer>,
    /// Whether they are near enough; else they are the nearest, and no answer.
    pub near_enough: bool,
    /// How many more there are.
    pub more: u32,
}

/// Teeth that lost wheels may have had.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ReckonedAnswer {
    /// Teeth, as the names.
    pub teeth: Vec<u32>,
    /// What each thing that ought to be right would gain, s/d.
    pub rates_s_per_d: Vec<f64>,
}

/// One of the trade's sums.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ReckonedSum {
    /// Which.
    pub kind: SumKind,
    /// Of what: the name of a balance, or of a mesh.
    pub of: String,
    /// What it comes to.
    pub rows: Vec<ReckonedRow>,
    /// What to know about it.
    pub notes: Vec<String>,
    /// What can be written down with its balance.
    pub keep: Option<ReckonedKeep>,
}

/// Which sum.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
#[serde(rename_all = "snake_case")]
pub enum SumKind {
    /// The lift angle, by an amplitude that was judged by eye.
    BySight,
    /// The angles of the lever.
    Lever,
    /// The drop of the escape wheel.
    Drop,
    /// The size of the escape wheel.
    EscapeWheel,
    /// Rates in the cold and in the heat.
    Temperature,
    /// What the materials of balance and spring make of heat and cold.
    Materials,
    /// A hairspring whose beats were counted.
    Hairspring,
    /// Sizes of a wheel and its pinion.
    Depth,
}

/// A number of a sum.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ReckonedRow {
    /// What it is.
    pub words: String,
    /// How much.
    pub value: Value,
    /// In this unit; may be empty.
    pub unit: String,
    /// Whether a plus is written.
    pub is_signed: bool,
}

/// Something that follows and can be written down in the movement.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ReckonedKeep {
    /// Under which key of the balance.
    pub key: String,
    /// What it is called.
    pub words: String,
    /// As it is written.
    pub text: String,
}
