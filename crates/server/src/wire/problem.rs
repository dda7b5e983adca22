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
    /// Where somebody else changed it in the meantime: what it says now.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[ts(optional, type = "unknown")]
    #[schema(value_type = Option<Object>)]
    pub present: Option<serde_json::Value>,
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
