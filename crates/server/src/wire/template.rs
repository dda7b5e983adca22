//! Patterns for taking down, made from earlier logs.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use utoipa::ToSchema;

/// A template.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Template {
    /// Never changes.
    pub id: String,
    /// Grows with each change.
    pub version: u32,
    /// What it is called.
    pub name: String,
    /// Free notes.
    pub note: String,
    /// How many steps it has.
    pub steps: u32,
}

/// The templates.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct TemplateList {
    /// The last changed first.
    pub templates: Vec<Template>,
}

/// A template to be kept: from the log of a job, or from a file that was shared.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct NewTemplate {
    /// What to call it; with a file, what the file calls it where this is left out.
    #[serde(default)]
    pub name: Option<String>,
    /// Free notes.
    #[serde(default)]
    pub note: Option<String>,
    /// From the log of this job.
    #[serde(default)]
    pub job_id: Option<String>,
    /// From what this file holds.
    #[serde(default)]
    pub file: Option<String>,
}

/// A change to a template.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct TemplateChange {
    /// The version it is based on.
    pub version: u32,
    /// What it is called.
    #[serde(default)]
    pub name: Option<String>,
    /// Free notes.
    #[serde(default)]
    pub note: Option<String>,
}

/// What to enter for a movement that is like the template: with new ids, to be offered one by one.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct TemplateDrafts {
    /// The changes, in the order of removal.
    pub changes: Vec<logbook::LogChange>,
}
