//! The written form of a take-down log, and of what goes with it: JSON in and out of `rebuild`'s
//! types, for the page, for what is kept and for files. `docs/design/log-format.md` describes it.
//!
//! What is written is looked at for its form and its size only, and refused with the name of the
//! field and what to do. What an entry means, and whether it makes sense where it stands, is for
//! `rebuild` to say.

mod choice;
mod entry;
mod file;
mod fix;
pub mod limits;
mod numbers;
mod stock;
mod taken_out;
mod taking;
mod template;
mod unfit;
mod work;

pub use choice::{Outcome, Side, ThreadHand, Verdict};
pub use entry::{LogChange, LogEntry};
pub use file::{LOG_SCHEMA, Log, LogFile, OwnSheet, ReadError};
pub use fix::{PartFix, Piece, StepFix};
pub use stock::{STOCK_SCHEMA, stock_from_json};
pub use taken_out::{LogPart, Screws, TakenOut};
pub use template::{TEMPLATE_SCHEMA, Template, TemplateFile, TemplateRelation};
pub use unfit::{Unfit, Wrong};
pub use work::{LeftOut, WorkOn, WorkRef};

/// An entry as one line of JSON.
///
/// # Errors
///
/// None that is known of: it is there so that nothing is lost in silence.
pub fn entry_to_json(entry: &rebuild::Entry) -> serde_json::Result<String> {
    serde_json::to_string(&LogEntry::from(entry))
}

/// An entry from JSON.
///
/// # Errors
///
/// Where it is not in this form, or a field cannot be taken as it is.
pub fn entry_from_json(json: &[u8]) -> Result<rebuild::Entry, ReadError> {
    let form = |error: serde_json::Error| ReadError::Form {
        wanted: "an entry of a log",
        why: error.to_string(),
    };
    let entry: LogEntry = serde_json::from_slice(json).map_err(form)?;
    Ok(entry.try_into()?)
}
