//! Papers of a job, and what stands at their head.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use utoipa::ToSchema;

/// A paper of a job.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(rename_all = "snake_case")]
pub enum PaperKind {
    /// What came in.
    Receipt,
    /// What it will cost.
    Estimate,
    /// What goes home with the watch.
    Report,
}

/// The size of a page.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(rename_all = "snake_case")]
pub enum PaperSize {
    /// 210 x 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 x 11 inches (ANSI/ASME Y14.1).
    Letter,
}

/// What stands at the head of the workshop's papers.
#[derive(Debug, Clone, Default, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct PaperHead {
    /// The workshop's name.
    pub name: String,
    /// Address, telephone and what else stands below it, a line each.
    pub address: String,
    /// The size of its paper.
    pub paper: PaperSize,
    /// Whether there is a sign, and which: another one has another name.
    pub sign: Option<String>,
}

/// The head of the workshop's papers, to be kept; its sign is sent by itself.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(deny_unknown_fields)]
pub struct PaperHeadWish {
    /// The workshop's name.
    pub name: String,
    /// What stands below it, a line each.
    pub address: String,
    /// The size of its paper.
    pub paper: PaperSize,
}

/// What a paper would hold now.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct PaperOverview {
    /// Which.
    pub kind: PaperKind,
    /// What stands on it.
    pub title: String,
    /// Headings of what is in it, in order.
    pub holds: Vec<String>,
    /// What is missing for it, a sentence each.
    pub missing: Vec<String>,
    /// Ids of the photos that it shows where none are chosen; null where it shows none at all.
    pub photos: Option<Vec<String>>,
}

/// The papers of a job.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct PaperList {
    /// In the order in which a job comes to them.
    pub papers: Vec<PaperOverview>,
    /// Most photos on one paper.
    pub most_photos: u32,
}

/// A paper that was made.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct PaperCheck {
    /// How many pages it has.
    pub pages: u32,
    /// How many bytes.
    pub bytes: u32,
    /// What it is called as a file.
    pub file_name: String,
    /// What it does not show as it should, a sentence each, with what helps.
    pub warnings: Vec<String>,
}

/// How far a paper is that is being made.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct PaperProgress {
    /// What is done now; null where none is being made.
    pub words: Option<String>,
    /// How much of that, 0 to 1; null where nobody can say.
    pub share: Option<f64>,
}
