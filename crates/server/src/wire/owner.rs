//! Owners of watches.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use utoipa::ToSchema;

/// An owner of watches.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Owner {
    /// Never changes.
    pub id: String,
    /// Grows with each change; a change names the one it was based on.
    pub version: u32,
    /// How the owner is called.
    pub name: String,
    /// Telephone, address, mail: free lines.
    pub contact: String,
    /// Free notes.
    pub notes: String,
}

/// An owner to be entered.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct NewOwner {
    /// How the owner is called; not empty.
    pub name: String,
    /// Free lines.
    #[serde(default)]
    pub contact: Option<String>,
    /// Free notes.
    #[serde(default)]
    pub notes: Option<String>,
}

/// A change to an owner: what is left out stays.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct OwnerChange {
    /// The version it is based on.
    pub version: u32,
    /// New name.
    #[serde(default)]
    pub name: Option<String>,
    /// New contact lines.
    #[serde(default)]
    pub contact: Option<String>,
    /// New notes.
    #[serde(default)]
    pub notes: Option<String>,
}

/// A page of owners.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct OwnerList {
    /// In the order of their names.
    pub owners: Vec<Owner>,
    /// How many there are in all.
    pub total: u32,
}
