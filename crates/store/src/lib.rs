//! Keeps what the bench enters: the database with its migrations, sounds and photos by their
//! content, logs of jobs, history, search, the bin, and what checks and copies all of it.
//!
//! [`Store`] is the one door. It is cheap to clone and safe to share. Whatever it has acknowledged
//! is on disk; whatever it has not is not there at all. Every change happens in one transaction
//! together with its row in the history and its words for the search. Media is written before the
//! record that names it, so a record never names what is not there.
//!
//! One code serves SQLite and PostgreSQL: no statement here is written for one of them alone,
//! except where a database is opened, checked and copied.

mod archived;
mod backup;
mod bin;
mod by;
mod check;
mod clocks;
mod connection;
mod counter;
mod devices;
mod entity;
mod error;
mod feed;
mod history;
mod job_list;
mod kept;
mod kinds;
mod line;
mod list;
mod log;
mod look;
mod media;
mod migrations;
mod nested;
mod paper;
mod places;
mod records;
mod room;
mod search;
mod server_options;
mod settings;
mod store;
mod together;
mod unfinished;
mod upgrade;
mod write;

pub use archived::{
    ReadIn, ReadWishes, Scope, WrittenArchive, read_archive, write_archive, write_archive_to,
};
pub use backup::{BackedUp, backup};
pub use bin::{BinEntry, Emptied};
pub use by::{By, now};
pub use check::{Checked, Fault, Progress, check};
pub use clocks::{Clock, KeptClock};
pub use devices::{CodeRefused, Device, DeviceId, Role};
pub use error::{Error, Result};
pub use feed::Notice;
pub use history::{Action, Change, Subject};
pub use job_list::{JobFilter, JobLine, JobOrder};
pub use kept::{Kept, Present};
pub use kinds::Stored;
pub use list::{Listed, Order, Page};
pub use log::{Appended, LogEntry, NewLogEntry};
pub use look::{Damage, MediaLook, Seen, SeenDatabase, look, look_at_media};
pub use migrations::schema_known as schema;
pub use paper::TakenIn;
pub use places::{Database, MediaPlace, Places};
pub use room::free_bytes;
pub use search::{Cursor, Found, Hit};
pub use settings::{KeptSetting, LAST_BACKUP, OWN_RULES, PAPER_SIGN, RULES_OFF};
pub use store::Store;
pub use together::Together;
pub use upgrade::{Opening, Upgrading};
