//! Who is asking.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use utoipa::ToSchema;

/// What a device, or whoever sits at it, may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Everything; letting others in and turning them out at the bench itself alone.
    Owner,
    /// All work on watches; not what holds for the whole workshop, nor what cannot be taken back.
    Repairer,
    /// To look at everything and change nothing.
    ReadOnly,
}

/// The device that asks.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct SessionDevice {
    /// Where it has joined.
    pub id: Option<String>,
    /// How it is called.
    pub name: String,
    /// What it may do; none: it has not joined, and sees the page and the way in.
    pub role: Option<Role>,
}

/// Who is asking, and whom.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Session {
    /// Version of the program.
    pub version: String,
    /// The device that asks.
    pub device: SessionDevice,
    /// Whether it is the machine on which the program runs.
    pub local: bool,
    /// Whether this is the invented workshop.
    pub demo: bool,
    /// Whether the database answers, as far as is known.
    pub database_answers: bool,
    /// Readings that lie on the bench's disk and are not in the database yet; none: none does.
    pub aside: Option<ReadingsAside>,
}

/// Readings that wait on the bench's disk until the database takes them in.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ReadingsAside {
    /// How many.
    pub readings: u32,
    /// Why, as a sentence or two.
    pub why: String,
}
