//! One type of id per kind of record, so that a job's id is never taken for a watch's.

use crate::{
    Adjustment, Bottle, Estimate, FinalTest, Job, Owner, Part, Photo, Reading, Template, Trial,
    Watch,
};
use std::fmt;
use std::hash::{Hash, Hasher};
use std::marker::PhantomData;
use uuid::Uuid;

/// The id of a record of kind `T`: a UUID made outside. Those that the bench makes are of version 7,
/// so that later ones sort after earlier ones; a phone may bring its own.
pub struct Id<T>(Uuid, PhantomData<fn() -> T>);

/// Of an owner.
pub type OwnerId = Id<Owner>;
/// Of a watch.
pub type WatchId = Id<Watch>;
/// Of a job.
pub type JobId = Id<Job>;
/// Of a part to order.
pub type PartId = Id<Part>;
/// Of an estimate.
pub type EstimateId = Id<Estimate>;
/// Of a photo.
pub type PhotoId = Id<Photo>;
/// Of a reading.
pub type ReadingId = Id<Reading>;
/// Of a template.
pub type TemplateId = Id<Template>;
/// Of a bottle.
pub type BottleId = Id<Bottle>;
/// Of an adjustment.
pub type AdjustmentId = Id<Adjustment>;
/// Of a trial.
pub type TrialId = Id<Trial>;
/// Of a final test.
pub type FinalTestId = Id<FinalTest>;

impl<T> Id<T> {
    /// An id that is this UUID.
    #[must_use]
    pub const fn from_uuid(uuid: Uuid) -> Self {
        Self(uuid, PhantomData)
    }

    /// The UUID.
    #[must_use]
    pub const fn uuid(self) -> Uuid {
        self.0
    }
}

// Written out because a derive would ask the same of `T`.
impl<T> Clone for Id<T> {
    fn clone(&self) -> Self {
        *self
    }
}
impl<T> Copy for Id<T> {}
impl<T> PartialEq for Id<T> {
    fn eq(&self, other: &Self) -> bool {
        self.0 == other.0
    }
}
impl<T> Eq for Id<T> {}
impl<T> PartialOrd for Id<T> {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl<T> Ord for Id<T> {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.0.cmp(&other.0)
    }
}
impl<T> Hash for Id<T> {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.0.hash(state);
    }
}
impl<T> fmt::Debug for Id<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Id({})", self.0)
    }
}
impl<T> fmt::Display for Id<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}
impl<T> std::str::FromStr for Id<T> {
    type Err = uuid::Error;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        text.parse().map(Self::from_uuid)
    }
}
