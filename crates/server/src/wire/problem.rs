//! What went wrong, for programs and for people.

use serde::Serialize;
use ts_rs::TS;
use utoipa::ToSchema;

/// What went wrong.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Problem {
    /// What it is.
    pub error: ProblemBody,
}

/// What went wrong and what to do.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ProblemBody {
    /// Stable, for programs.
    pub code: String,
    /// A sentence for people.
    pub message: String,
}
