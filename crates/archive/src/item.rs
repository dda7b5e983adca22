//! What an archive holds, piece by piece, and each piece as a line of JSON.

use crate::forms::{Ms, Unread, Written};
use jobs::{
    Adjustment, Bottle, Estimate, FinalTest, Id, Job, Kind, MediaHash, Moment, Owner, Part, Photo,
    Reading, Template, Trial, Watch,
};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// A record with all that is kept about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Whole<T> {
    /// Its id.
    pub id: Id<T>,
    /// Counts its changes from 1.
    pub version: i64,
    /// When it was created.
    pub created: Moment,
    /// When it was last changed.
    pub changed: Moment,
    /// Since when it is in the bin, if it is.
    pub deleted: Option<Moment>,
    /// The record with which it went there; none where it went on its own.
    pub deleted_with: Option<Uuid>,
    /// Its place among all records of the archive by when they were last touched, from 1: lists
    /// and searches give the latest first.
    pub order: u64,
    /// What it says.
    pub value: T,
}

/// An entry of a job's log.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    /// Its id.
    #[serde(with = "crate::forms::id")]
    pub id: Uuid,
    /// Of which job.
    #[serde(with = "crate::forms::id")]
    pub job: Uuid,
    /// When it was made, as the device said.
    pub at_ms: Ms,
    /// When it was kept.
    pub kept_ms: Ms,
    /// For which device.
    pub device: String,
    /// What it says, in the form of `docs/design/log-format.md`.
    pub body: String,
    /// Texts by which the job is found, one a line.
    pub found_by: String,
}

/// A row of the history.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Change {
    /// When.
    pub at_ms: Ms,
    /// From which device.
    pub device: String,
    /// Code of what was done.
    pub action: String,
    /// Code of what it was done to.
    pub subject: String,
    /// Its id.
    pub subject_id: String,
    /// Id of what it belongs to.
    #[serde(with = "crate::forms::maybe_id")]
    pub parent: Option<Uuid>,
    /// What it was called.
    pub title: String,
    /// Field by field.
    pub fields: Vec<Difference>,
}

/// What changed in one field.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Difference {
    /// Name in plain words.
    pub field: String,
    /// What it was.
    pub before: Option<String>,
    /// What it is.
    pub after: Option<String>,
}

/// A setting of the workshop; the user's own words and rules are one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Setting {
    /// Its key.
    pub key: String,
    /// Counts its changes from 1.
    pub version: i64,
    /// When it was last changed.
    pub changed_ms: Ms,
    /// What it says.
    pub value: String,
}

/// What was found of the clock of a sound device.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Clock {
    /// Its id.
    #[serde(with = "crate::forms::id")]
    pub id: Uuid,
    /// Name of the device.
    pub device: String,
    /// Its error, parts per million.
    pub error_ppm: f64,
    /// Standard uncertainty of that.
    pub sd_ppm: f64,
    /// How it was found.
    pub how: String,
    /// When.
    pub found_ms: Ms,
}

/// One piece of an archive.
#[derive(Debug, Clone, PartialEq)]
#[allow(missing_docs, reason = "each is what its name says")]
#[expect(clippy::large_enum_variant, reason = "few are held at a time")]
pub enum Item {
    Owner(Whole<Owner>),
    Watch(Whole<Watch>),
    Job(Whole<Job>),
    Part(Whole<Part>),
    Estimate(Whole<Estimate>),
    Photo(Whole<Photo>),
    Reading(Box<Whole<Reading>>),
    Template(Whole<Template>),
    Bottle(Whole<Bottle>),
    Adjustment(Whole<Adjustment>),
    Trial(Whole<Trial>),
    FinalTest(Whole<FinalTest>),
    Entry(Entry),
    Clock(Clock),
    Setting(Setting),
    Change(Change),
}

/// A sort of lines; each has files of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Lines {
    /// Records of a kind.
    Records(Kind),
    /// Entries of logs.
    Entries,
    /// Clocks of sound devices.
    Clocks,
    /// Settings.
    Settings,
    /// The history.
    Changes,
}

impl Lines {
    /// Each, what others belong to first: so they are written, and so they are read.
    pub(crate) fn all() -> impl Iterator<Item = Self> {
        let records = Kind::ALL.iter().copied().map(Self::Records);
        records.chain([Self::Entries, Self::Clocks, Self::Settings, Self::Changes])
    }

    /// How its files are called.
    pub(crate) fn code(self) -> &'static str {
        match self {
            Self::Records(kind) => kind.code(),
            Self::Entries => "log_entry",
            Self::Clocks => "clock",
            Self::Settings => "setting",
            Self::Changes => "change",
        }
    }

    /// A line of its files.
    pub(crate) fn item(self, line: &[u8]) -> Result<Item, Unread> {
        Ok(match self {
            Self::Records(Kind::Owner) => Item::Owner(whole(line)?),
            Self::Records(Kind::Watch) => Item::Watch(whole(line)?),
            Self::Records(Kind::Job) => Item::Job(whole(line)?),
            Self::Records(Kind::Part) => Item::Part(whole(line)?),
            Self::Records(Kind::Estimate) => Item::Estimate(whole(line)?),
            Self::Records(Kind::Photo) => Item::Photo(whole(line)?),
            Self::Records(Kind::Reading) => Item::Reading(Box::new(whole(line)?)),
            Self::Records(Kind::Template) => Item::Template(whole(line)?),
            Self::Records(Kind::Bottle) => Item::Bottle(whole(line)?),
            Self::Records(Kind::Adjustment) => Item::Adjustment(whole(line)?),
            Self::Records(Kind::Trial) => Item::Trial(whole(line)?),
            Self::Records(Kind::FinalTest) => Item::FinalTest(whole(line)?),
            Self::Entries => Item::Entry(read(line)?),
            Self::Clocks => Item::Clock(read(line)?),
            Self::Settings => Item::Setting(read(line)?),
            Self::Changes => Item::Change(read(line)?),
        })
    }
}

impl Item {
    /// Into which files it goes.
    pub(crate) fn lines(&self) -> Lines {
        match self {
            Self::Owner(_) => Lines::Records(Kind::Owner),
            Self::Watch(_) => Lines::Records(Kind::Watch),
            Self::Job(_) => Lines::Records(Kind::Job),
            Self::Part(_) => Lines::Records(Kind::Part),
            Self::Estimate(_) => Lines::Records(Kind::Estimate),
            Self::Photo(_) => Lines::Records(Kind::Photo),
            Self::Reading(_) => Lines::Records(Kind::Reading),
            Self::Template(_) => Lines::Records(Kind::Template),
            Self::Bottle(_) => Lines::Records(Kind::Bottle),
            Self::Adjustment(_) => Lines::Records(Kind::Adjustment),
            Self::Trial(_) => Lines::Records(Kind::Trial),
            Self::FinalTest(_) => Lines::Records(Kind::FinalTest),
            Self::Entry(_) => Lines::Entries,
            Self::Clock(_) => Lines::Clocks,
            Self::Setting(_) => Lines::Settings,
            Self::Change(_) => Lines::Changes,
        }
    }

    /// How its files are called, and it is counted: `job`, `log_entry`.
    #[must_use]
    pub fn code(&self) -> &'static str {
        self.lines().code()
    }

    /// Its line.
    pub(crate) fn json(&self) -> serde_json::Result<Vec<u8>> {
        match self {
            Self::Owner(whole) => line(whole),
            Self::Watch(whole) => line(whole),
            Self::Job(whole) => line(whole),
            Self::Part(whole) => line(whole),
            Self::Estimate(whole) => line(whole),
            Self::Photo(whole) => line(whole),
            Self::Reading(whole) => line(whole),
            Self::Template(whole) => line(whole),
            Self::Bottle(whole) => line(whole),
            Self::Adjustment(whole) => line(whole),
            Self::Trial(whole) => line(whole),
            Self::FinalTest(whole) => line(whole),
            Self::Entry(entry) => serde_json::to_vec(entry),
            Self::Clock(clock) => serde_json::to_vec(clock),
            Self::Setting(setting) => serde_json::to_vec(setting),
            Self::Change(change) => serde_json::to_vec(change),
        }
    }

    /// What all records have in common; nothing of what is no record.
    pub(crate) fn about(&self) -> Option<About<'_>> {
        Some(match self {
            Self::Owner(whole) => about(whole),
            Self::Watch(whole) => about(whole),
            Self::Job(whole) => about(whole),
            Self::Part(whole) => about(whole),
            Self::Estimate(whole) => about(whole),
            Self::Photo(whole) => about(whole),
            Self::Reading(whole) => about(whole),
            Self::Template(whole) => about(whole),
            Self::Bottle(whole) => about(whole),
            Self::Adjustment(whole) => about(whole),
            Self::Trial(whole) => about(whole),
            Self::FinalTest(whole) => about(whole),
            Self::Entry(_) | Self::Clock(_) | Self::Setting(_) | Self::Change(_) => return None,
        })
    }
}

/// What all records have in common.
pub(crate) struct About<'a> {
    pub(crate) kind: Kind,
    pub(crate) id: Uuid,
    pub(crate) version: i64,
    pub(crate) deleted: bool,
    pub(crate) deleted_with: Option<Uuid>,
    pub(crate) order: u64,
    pub(crate) parent: Option<jobs::AnyId>,
    pub(crate) media: Option<MediaHash>,
    pub(crate) valid: Result<(), jobs::Invalid>,
    title: Box<dyn Fn() -> String + 'a>,
}

impl About<'_> {
    /// What it is called.
    pub(crate) fn title(&self) -> String {
        (self.title)()
    }
}

fn about<T: Written>(whole: &Whole<T>) -> About<'_> {
    About {
        kind: T::KIND,
        id: whole.id.uuid(),
        version: whole.version,
        deleted: whole.deleted.is_some(),
        deleted_with: whole.deleted_with,
        order: whole.order,
        parent: whole.value.belongs_to(),
        media: Written::media(&whole.value),
        valid: whole.value.check(),
        title: Box::new(|| whole.value.title()),
    }
}

/// A record as a line.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct RecordLine<F> {
    #[serde(with = "crate::forms::id")]
    id: Uuid,
    version: i64,
    created_ms: Ms,
    changed_ms: Ms,
    deleted_ms: Option<Ms>,
    #[serde(with = "crate::forms::maybe_id")]
    deleted_with: Option<Uuid>,
    order: u64,
    says: F,
}

fn line<T: Written>(whole: &Whole<T>) -> serde_json::Result<Vec<u8>> {
    let Whole { id, version, created, changed, deleted, deleted_with, order, value } = whole;
    serde_json::to_vec(&RecordLine {
        id: id.uuid(),
        version: *version,
        created_ms: Ms::of(*created),
        changed_ms: Ms::of(*changed),
        deleted_ms: deleted.map(Ms::of),
        deleted_with: *deleted_with,
        order: *order,
        says: value.form(),
    })
}

fn whole<T: Written>(line: &[u8]) -> Result<Whole<T>, Unread> {
    let line: RecordLine<T::Form> = read(line)?;
    let RecordLine { id, version, created_ms, changed_ms, deleted_ms, deleted_with, order, says } =
        line;
    Ok(Whole {
        id: Id::from_uuid(id),
        version,
        created: created_ms.moment(),
        changed: changed_ms.moment(),
        deleted: deleted_ms.map(Ms::moment),
        deleted_with,
        order,
        value: T::from_form(says)?,
    })
}

fn read<T: DeserializeOwned>(line: &[u8]) -> Result<T, Unread> {
    serde_json::from_slice(line).map_err(|error| {
        // The line is said by whoever reads it.
        let said = error.to_string();
        let said = said.split(" at line ").next().unwrap_or_default();
        Unread(said.chars().map(|c| if c.is_control() { ' ' } else { c }).take(200).collect())
    })
}
