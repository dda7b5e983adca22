//! Photos of a job.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use utoipa::ToSchema;

/// A photo.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Photo {
    /// Never changes.
    pub id: String,
    /// Grows with each change.
    pub version: u32,
    /// Of which job.
    pub job_id: String,
    /// Name of its picture: `/api/v1/media/{media}`, and `/small` behind it for a small one.
    pub media: String,
    /// What it shows.
    pub caption: String,
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// When it was taken in.
    pub taken_at: super::Moment,
}

/// A change to a photo.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct PhotoChange {
    /// The version it is based on.
    pub version: u32,
    /// What it shows.
    #[serde(default)]
    pub caption: Option<String>,
}

/// A page of the photos of a job.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct PhotoList {
    /// Oldest first.
    pub photos: Vec<Photo>,
    /// How many there are in all.
    pub total: u32,
}
