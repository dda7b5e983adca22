//! The lubricants on the bench.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use utoipa::ToSchema;

/// A bottle.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Bottle {
    /// Never changes.
    pub id: String,
    /// Grows with each change.
    pub version: u32,
    /// Code of the class of what is in it.
    pub class: String,
    /// The class in words.
    pub class_words: String,
    /// What the user calls it.
    pub name: String,
    /// When it was opened, `YYYY-MM-DD`.
    pub opened: Option<String>,
    /// After which day it should not be used, `YYYY-MM-DD`.
    pub expires: Option<String>,
    /// It is past its day.
    pub is_old: bool,
    /// Free notes.
    pub note: String,
    /// It is used up or was thrown away.
    pub used_up: bool,
}

/// The bottles.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct BottleList {
    /// Oldest first.
    pub bottles: Vec<Bottle>,
}

/// A bottle to be entered.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct NewBottle {
    /// Code of the class of what is in it.
    pub class: String,
    /// What the user calls it.
    pub name: String,
    /// When it was opened, `YYYY-MM-DD`.
    #[serde(default)]
    pub opened: Option<String>,
    /// After which day it should not be used, `YYYY-MM-DD`.
    #[serde(default)]
    pub expires: Option<String>,
    /// Free notes.
    #[serde(default)]
    pub note: Option<String>,
}

/// A change to a bottle: what is left out stays.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct BottleChange {
    /// The version it is based on.
    pub version: u32,
    /// Code of the class.
    #[serde(default)]
    pub class: Option<String>,
    /// What the user calls it.
    #[serde(default)]
    pub name: Option<String>,
    /// When it was opened; null: not known.
    #[serde(default, deserialize_with = "super::there")]
    pub opened: Option<Option<String>>,
    /// After which day it should not be used; null: not known.
    #[serde(default, deserialize_with = "super::there")]
    pub expires: Option<Option<String>>,
    /// Free notes.
    #[serde(default)]
    pub note: Option<String>,
    /// It is used up.
    #[serde(default)]
    pub used_up: Option<bool>,
}
