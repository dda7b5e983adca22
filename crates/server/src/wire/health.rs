//! Whether all is well.

use serde::Serialize;
use ts_rs::TS;
use utoipa::ToSchema;

/// How it stands with one thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
#[serde(rename_all = "snake_case")]
pub enum HealthState {
    /// All is well.
    Ok,
    /// It works, but somebody should look at it.
    Look,
    /// It does not work, or what is kept is in danger.
    Broken,
}

/// What is said of one thing.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct HealthLine {
    /// For programs; it never changes.
    pub code: String,
    /// What it is about, a word or two.
    pub about: String,
    /// How it stands.
    pub state: HealthState,
    /// What is so and, where something is wrong, what to do.
    pub sentence: String,
}

/// Whether all is well with the program and what it stands on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Health {
    /// The worst of the lines.
    pub worst: HealthState,
    /// One for each thing that was looked at.
    pub lines: Vec<HealthLine>,
}
