//! The manifest: what an archive is, and every file of it with its length and SHA-256.

use crate::refused::Refused;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What an archive calls its form.
pub const SCHEMA: &str = "endshake.archive/1";

/// Name of the manifest.
pub(crate) const NAME: &str = "manifest.json";

/// What is not in an archive, for whoever opens it.
const NOT_HELD: [&str; 3] = [
    "devices that have joined, their keys and the codes for joining",
    "what the history says of devices",
    "times and amplitudes of single beats: they are derived from the sounds, by `endshake measure`",
];

/// Of what an archive is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Holds {
    /// `job`, `watch` or `everything`.
    pub what: String,
    /// What it is called; empty of everything.
    pub title: String,
}

/// How many of each, by the name of their files: `job`, `log_entry`, `photos`.
pub type Counts = BTreeMap<String, u64>;

/// A file of an archive.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Listed {
    pub(crate) path: String,
    pub(crate) bytes: u64,
    pub(crate) sha256: String,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Manifest {
    pub(crate) schema: String,
    pub(crate) program: String,
    pub(crate) made: String,
    pub(crate) holds: Holds,
    pub(crate) counts: Counts,
    pub(crate) not_held: Vec<String>,
    pub(crate) files: Vec<Listed>,
}

/// Read first: what a later program calls itself is told, whatever else it says.
#[derive(Deserialize)]
struct Named {
    schema: String,
}

impl Manifest {
    pub(crate) fn new(made: String, holds: Holds, counts: Counts, files: Vec<Listed>) -> Self {
        Self {
            schema: SCHEMA.into(),
            program: env!("CARGO_PKG_VERSION").into(),
            made,
            holds,
            counts,
            not_held: NOT_HELD.map(str::to_owned).to_vec(),
            files,
        }
    }

    pub(crate) fn read(bytes: &[u8]) -> Result<Self, Refused> {
        let unfit = |error: serde_json::Error| {
            Refused::Manifest(error.to_string().chars().take(200).collect())
        };
        let named: Named = serde_json::from_slice(bytes).map_err(unfit)?;
        if named.schema != SCHEMA {
            return Err(Refused::OtherSchema(named.schema.chars().take(60).collect()));
        }
        serde_json::from_slice(bytes).map_err(unfit)
    }
}
