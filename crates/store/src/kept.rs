use crate::settings::KeptSetting;
use jobs::{
    Adjustment, AnyId, Bottle, Estimate, FinalTest, Id, Job, Moment, Owner, Part, Photo, Reading,
    Record, Template, Trial, Watch,
};

/// A record as it is kept.
#[derive(Debug, Clone, PartialEq)]
pub struct Kept<T> {
    /// Its id.
    pub id: Id<T>,
    /// Counts its changes from 1. A change says which version it is based on.
    pub version: i64,
    /// When it was created.
    pub created: Moment,
    /// When it was last changed.
    pub changed: Moment,
    /// Since when it has been in the bin, if it is.
    pub deleted: Option<Moment>,
    /// What it says.
    pub value: T,
}

impl<T: Record> Kept<T> {
    /// Its id with its kind.
    #[must_use]
    pub fn any_id(&self) -> AnyId {
        AnyId { kind: T::KIND, uuid: self.id.uuid() }
    }
}

/// What is kept now: a record of any kind, or a setting.
#[derive(Debug, Clone, PartialEq)]
#[allow(missing_docs, reason = "each is what its name says")]
#[allow(clippy::large_enum_variant, reason = "made once, where a change comes too late")]
pub enum Present {
    Owner(Kept<Owner>),
    Watch(Kept<Watch>),
    Job(Kept<Job>),
    Part(Kept<Part>),
    Estimate(Kept<Estimate>),
    Photo(Kept<Photo>),
    Reading(Kept<Reading>),
    Template(Kept<Template>),
    Bottle(Kept<Bottle>),
    Adjustment(Kept<Adjustment>),
    Trial(Kept<Trial>),
    FinalTest(Kept<FinalTest>),
    Setting(KeptSetting),
}
