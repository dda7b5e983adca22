//! Jobs and the stages of their work.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use utoipa::ToSchema;

/// Stages of the work on a watch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(rename_all = "snake_case")]
pub enum Stage {
    /// The watch has come in.
    Intake,
    /// What it will cost.
    Estimate,
    /// It is taken apart.
    TakeDown,
    /// Parts are cleaned and looked at.
    CleanAndInspect,
    /// It is put together.
    Rebuild,
    /// It is regulated.
    Regulate,
    /// Last tests.
    FinalTests,
    /// Back to its owner.
    HandOver,
}

/// A move from stage to stage.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct StageMove {
    /// To this stage.
    pub stage: Stage,
    /// When.
    pub at: super::Moment,
}

/// The stage to move to.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct StageWish {
    /// The version of the job that this is based on.
    pub version: u32,
    /// Where to.
    pub stage: Stage,
}

/// What was found of a thing at intake.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(rename_all = "snake_case")]
pub enum CheckState {
    /// Nobody has looked.
    NotLookedAt,
    /// Good.
    Good,
    /// Worn.
    Worn,
    /// Damaged.
    Damaged,
}

/// A line of the intake checklist.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
pub struct CheckItem {
    /// Which thing: a stable key.
    pub key: String,
    /// The thing in the trade's words (filled in by the program).
    #[serde(default)]
    pub label: String,
    /// What was found.
    pub state: CheckState,
    /// Free note.
    #[serde(default)]
    pub note: String,
    /// What to beware of while looking at it (filled in by the program).
    #[serde(default)]
    pub caution: Option<String>,
}

/// What the owner says to the estimate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(rename_all = "snake_case")]
pub enum EstimateAnswer {
    /// Not asked yet.
    NotAsked,
    /// Yes.
    Yes,
    /// No.
    No,
}

/// A line of the estimate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
pub struct EstimateLine {
    /// For what.
    pub what: String,
    /// In the smallest unit of the currency (cents).
    #[ts(type = "number")]
    pub amount_minor: i64,
}

/// What the work will cost.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
pub struct Estimate {
    /// Three letters, as ISO 4217 has them.
    pub currency: String,
    /// Line by line.
    pub lines: Vec<EstimateLine>,
    /// The sum (filled in by the program).
    #[serde(default)]
    #[ts(type = "number")]
    pub total_minor: i64,
    /// What the owner says.
    pub answer: EstimateAnswer,
    /// When the owner said so.
    #[serde(default)]
    pub answered_at: Option<super::Moment>,
}

/// A job, whole.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Job {
    /// Never changes.
    pub id: String,
    /// Grows with each change, of its estimate too.
    pub version: u32,
    /// The number that people use.
    pub number: u32,
    /// The watch.
    pub watch: super::Watch,
    /// Its owner.
    pub owner: Option<super::Owner>,
    /// Where the work stands.
    pub stage: Stage,
    /// Every move, oldest first.
    pub stages: Vec<StageMove>,
    /// What the owner says is wrong.
    pub complaint: String,
    /// Condition at intake.
    pub checklist: Vec<CheckItem>,
    /// Free notes.
    pub notes: String,
    /// When it is due, `YYYY-MM-DD`.
    pub due_date: Option<String>,
    /// When it went back to its owner.
    pub handed_over_at: Option<super::Moment>,
    /// What the owner should watch for once it is back.
    pub to_watch: String,
    /// When it should come in again: `YYYY-MM-DD` or `YYYY-MM`.
    pub next_service: Option<String>,
    /// What it will cost.
    pub estimate: Option<Estimate>,
    /// When it came in.
    pub created_at: super::Moment,
    /// When it was changed last.
    pub changed_at: super::Moment,
}

/// The watch of a new job: one that is known, or a new one.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct NewJobWatch {
    /// A watch that is known already ...
    #[serde(default)]
    pub id: Option<String>,
    /// ... or a new one.
    #[serde(default)]
    pub new: Option<super::NewWatch>,
}

/// A job to be opened.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct NewJob {
    /// Its watch.
    pub watch: NewJobWatch,
    /// What the owner says is wrong.
    #[serde(default)]
    pub complaint: Option<String>,
    /// `YYYY-MM-DD`.
    #[serde(default)]
    pub due_date: Option<String>,
}

/// A change to a job: what is left out stays.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct JobChange {
    /// The version it is based on.
    pub version: u32,
    /// The complaint.
    #[serde(default)]
    pub complaint: Option<String>,
    /// Lines of the checklist that change.
    #[serde(default)]
    pub checklist: Option<Vec<CheckItem>>,
    /// Notes.
    #[serde(default)]
    pub notes: Option<String>,
    /// `YYYY-MM-DD`; empty: none.
    #[serde(default)]
    pub due_date: Option<String>,
    /// The estimate.
    #[serde(default)]
    pub estimate: Option<Estimate>,
    /// Whether it has gone back to its owner.
    #[serde(default)]
    pub handed_over: Option<bool>,
    /// What the owner should watch for.
    #[serde(default)]
    pub to_watch: Option<String>,
    /// `YYYY-MM-DD` or `YYYY-MM`; empty: none.
    #[serde(default)]
    pub next_service: Option<String>,
}

/// A job as a line of the list.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct JobSummary {
    /// Never changes.
    pub id: String,
    /// Grows with each change.
    pub version: u32,
    /// The number that people use.
    pub number: u32,
    /// What the watch is.
    pub watch_description: String,
    /// How the owner is called.
    pub owner_name: Option<String>,
    /// Where the work stands.
    pub stage: Stage,
    /// `YYYY-MM-DD`.
    pub due_date: Option<String>,
    /// Whether it has gone back to its owner.
    pub handed_over: bool,
    /// When it was changed last.
    pub changed_at: super::Moment,
}

/// A page of jobs.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct JobList {
    /// The last changed first.
    pub jobs: Vec<JobSummary>,
    /// How many there are in all.
    pub total: u32,
}
