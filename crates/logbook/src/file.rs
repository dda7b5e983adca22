//! A log in a file.

use crate::entry::LogEntry;
use crate::limits::{
    MOST_ENTRIES, MOST_FILE_BYTES, MOST_NAME, MOST_RULES_OFF, MOST_SHEET, MOST_SHEETS,
};
use crate::taking::{few_enough, list, name, readable, slug};
use crate::unfit::{At, Unfit};
use rebuild::{Entry, RuleId};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use thiserror::Error;
use ts_rs::TS;
use utoipa::ToSchema;

/// The form of a log in a file.
pub const LOG_SCHEMA: &str = "endshake.log/1";

/// A take-down log in a file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(deny_unknown_fields)]
pub struct LogFile {
    /// `endshake.log/1`.
    pub schema: String,
    /// What was taken down, in any words.
    #[serde(default)]
    pub title: String,
    /// The entries, in the order in which they were made.
    pub entries: Vec<LogEntry>,
    /// The user's own words and rules that go with it.
    #[serde(default)]
    pub own: Vec<OwnSheet>,
    /// The ids of rules of the library that are switched off.
    #[serde(default)]
    pub rules_off: Vec<String>,
}

/// A file of the user's own words and rules.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(deny_unknown_fields)]
pub struct OwnSheet {
    /// Its name, for what is said about it.
    pub name: String,
    /// What stands in it: TOML, in the form in which the program's own words and rules stand.
    pub text: String,
}

/// A log that was read from a file, or is to be written into one.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Log {
    /// What was taken down, in any words.
    pub title: String,
    /// The entries, in the order in which they were made.
    pub entries: Vec<Entry>,
    /// The user's own words and rules that go with it, unread.
    pub own: Vec<OwnSheet>,
    /// Rules that are switched off.
    pub rules_off: Vec<RuleId>,
}

/// Why a file cannot be taken in. Each is one sentence.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ReadError {
    /// It is too long.
    #[error("It has {found} bytes, and {MOST_FILE_BYTES} are the most that are read.")]
    TooLong {
        /// Bytes found.
        found: usize,
    },
    /// It is not JSON, or lacks something, or has something more.
    #[error("It cannot be read as {wanted}: {why}.")]
    Form {
        /// What it should be.
        wanted: &'static str,
        /// What is wrong, with line and column.
        why: String,
    },
    /// It is something else.
    #[error("It says \"schema\": \"{found}\", and this program reads \"{wanted}\".")]
    OtherSchema {
        /// What it says that it is, shortened.
        found: String,
        /// What is read here.
        wanted: &'static str,
    },
    /// Something in it cannot be taken as it is.
    #[error(transparent)]
    Unfit(#[from] Unfit),
}

impl Log {
    /// From the bytes of a file.
    ///
    /// # Errors
    ///
    /// Where it is no log in this form, or an entry cannot be taken as it is. What an entry means is
    /// not looked at: see [`rebuild::State::warnings`].
    pub fn from_json(bytes: &[u8]) -> Result<Self, ReadError> {
        Ok(read::<LogFile>(bytes, LOG_SCHEMA)?.try_into()?)
    }

    /// As a file, over several lines.
    ///
    /// # Errors
    ///
    /// None that is known of: it is there so that nothing is lost in silence.
    pub fn to_json(&self) -> serde_json::Result<String> {
        serde_json::to_string_pretty(&LogFile::from(self)).map(|json| json + "\n")
    }
}

impl TryFrom<LogFile> for Log {
    type Error = Unfit;

    fn try_from(file: LogFile) -> Result<Self, Unfit> {
        Ok(Self {
            title: name(file.title).at("title")?,
            entries: list(file.entries, MOST_ENTRIES, Entry::try_from).at("entries")?,
            own: sheets(file.own)?,
            rules_off: list(file.rules_off, MOST_RULES_OFF, |id| slug(&id, RuleId::new))
                .at("rules_off")?,
        })
    }
}

impl From<&Log> for LogFile {
    fn from(log: &Log) -> Self {
        Self {
            schema: LOG_SCHEMA.to_owned(),
            title: log.title.clone(),
            entries: log.entries.iter().map(LogEntry::from).collect(),
            own: log.own.clone(),
            rules_off: log.rules_off.iter().map(ToString::to_string).collect(),
        }
    }
}

pub(crate) fn sheets(sheets: Vec<OwnSheet>) -> Result<Vec<OwnSheet>, Unfit> {
    few_enough(sheets.len(), MOST_SHEETS).at("own")?;
    let taken = list(sheets, MOST_SHEETS, |sheet| {
        readable(&sheet.name, MOST_NAME).at("name")?;
        readable(&sheet.text, MOST_SHEET).at("text")?;
        Ok::<_, Unfit>(sheet)
    });
    taken.at("own")
}

/// Bytes as a type that says what it is.
pub(crate) fn read<T: DeserializeOwned>(
    bytes: &[u8],
    wanted: &'static str,
) -> Result<T, ReadError> {
    /// What a file says that it is.
    #[derive(Deserialize)]
    struct Head {
        schema: Option<String>,
    }

    if bytes.len() > MOST_FILE_BYTES {
        return Err(ReadError::TooLong { found: bytes.len() });
    }
    let form = |error: serde_json::Error| ReadError::Form { wanted, why: error.to_string() };
    let head: Head = serde_json::from_slice(bytes).map_err(form)?;
    match head.schema {
        Some(found) if found != wanted => {
            Err(ReadError::OtherSchema { found: found.chars().take(40).collect(), wanted })
        }
        _ => serde_json::from_slice(bytes).map_err(form),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(json: &str) -> String {
        Log::from_json(json.as_bytes()).unwrap_err().to_string()
    }

    #[test]
    fn what_is_no_log_is_told_in_a_sentence() {
        assert!(refused("PK\u{3}\u{4}").starts_with("It cannot be read as endshake.log/1: "));
        assert!(refused("[]").ends_with('.'));
        assert!(refused("{\"entries\": []}").contains("missing field `schema`"));
        assert_eq!(
            refused("{\"schema\": \"endshake.log/2\", \"more\": 1}"),
            "It says \"schema\": \"endshake.log/2\", and this program reads \"endshake.log/1\"."
        );
        let unknown = "{\"schema\": \"endshake.log/1\", \"entries\": [], \"owner\": \"x\"}";
        assert!(refused(unknown).contains("unknown field `owner`"));
    }

    #[test]
    fn a_field_that_does_not_fit_is_named_from_the_outside_in() {
        let entry = |change: &str| {
            let id = "01890a5d-ac96-774b-bcce-b302099a8057";
            format!(
                "{{\"schema\": \"endshake.log/1\", \"entries\": [{{\"id\": \"{id}\", \
                 \"at\": \"2026-05-04T09:30:00Z\", \"change\": {change}}}]}}"
            )
        };
        let placed = refused(&entry("{\"kind\": \"placed\", \"step\": \"barrel\"}"));
        assert!(placed.starts_with("entries[0].change.step: this is not an id;"), "{placed}");
        let step = "01890a5d-ac96-774b-bcce-b302099a8058";
        let part = format!("{{\"id\": \"{step}\", \"kind\": \"Escape wheel\"}}");
        let took = |more: &str| {
            entry(&format!(
                "{{\"kind\": \"took_out\", \"step\": \"{step}\", \"side\": \"train\", {more}}}"
            ))
        };
        let parts = refused(&took(&format!("\"parts\": [{part}]")));
        assert!(parts.starts_with("entries[0].change.parts[0].kind: \"Escape wheel\""), "{parts}");
        let many = vec![format!("\"{step}\""); 201].join(", ");
        let many = refused(&took(&format!("\"parts\": [], \"rested_on\": [{many}]")));
        assert_eq!(many, "entries[0].change.rested_on: it lists 201, and 200 are the most.");
        // To be first of all is said, never taken from silence.
        let moved = format!("{{\"kind\": \"moved\", \"step\": \"{step}\"}}");
        assert!(refused(&entry(&moved)).contains("missing field `after`"));
        let misspelt = format!("{{\"kind\": \"placed\", \"step\": \"{step}\", \"reson\": \"\"}}");
        assert!(refused(&entry(&misspelt)).contains("unknown field `reson`"));
    }
}
