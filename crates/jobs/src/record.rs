//! What all kinds of record have in common.

use crate::fields::Field;
use crate::invalid::Invalid;
use crate::wordlist::wordlist;
use uuid::Uuid;

wordlist! {
    /// A kind of record.
    pub enum Kind {
        /// Whose watches they are.
        Owner = "owner", "owner";
        /// A watch, across all its visits.
        Watch = "watch", "watch";
        /// One visit of a watch to the bench.
        Job = "job", "job";
        /// A part to order for a job.
        Part = "part", "part to order";
        /// What the work will cost, and what the owner said to it.
        Estimate = "estimate", "estimate";
        /// A photo in a job.
        Photo = "photo", "photo";
        /// A reading that was kept with its sound.
        Reading = "reading", "reading";
        /// A take-down log without owner data, kept by name.
        Template = "template", "template";
        /// A bottle of lubricant on the user's bench.
        Bottle = "bottle", "bottle";
        /// A move of the hand while regulating.
        Adjustment = "adjustment", "adjustment";
        /// Fifteen days of daily rates by ISO 3159.
        Trial = "trial", "trial";
        /// A test before the watch goes back.
        FinalTest = "final_test", "final test";
    }
}

/// The id of a record of any kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct AnyId {
    /// Which kind of record.
    pub kind: Kind,
    /// Its id.
    pub uuid: Uuid,
}

/// A record that is kept: something with fields that a person may enter and that may be wrong.
pub trait Record: Clone + PartialEq + std::fmt::Debug + Send + Sync + 'static {
    /// Which kind it is.
    const KIND: Kind;

    /// Whether all of it may be kept.
    ///
    /// # Errors
    ///
    /// The first field that may not, and what to do about it.
    fn check(&self) -> Result<(), Invalid>;

    /// Every field as text: the history shows them, and two values are alike if and only if their
    /// fields are. What is empty or not known has no entry.
    fn fields(&self) -> Vec<Field>;

    /// What it is called in a list.
    fn title(&self) -> String;

    /// The texts by which it can be found.
    fn found_by(&self) -> Vec<String>;

    /// What it belongs to: a watch to its owner, a job to its watch, templates and bottles to
    /// nothing, all else to its job.
    fn belongs_to(&self) -> Option<AnyId>;
}
