//! Instants.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use utoipa::ToSchema;

/// An instant: RFC 3339, UTC.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[schema(format = DateTime, example = "2026-05-04T09:30:00Z")]
pub struct Moment(pub String);
