//! The records of the bench: owners, watches, jobs with the stages of the work, parts to order,
//! estimates, photos and readings that are kept, templates of take-downs, bottles, moves made while regulating,
//! trials of fifteen days, final tests; what may stand in them, and what has changed between two versions of one.
//!
//! Everything here is a plain value. Moments and ids come in from outside, so that a rule depends
//! neither on when nor on where it is applied. What is said of a reading was computed elsewhere;
//! here it is only kept.

mod adjustment;
mod bottle;
mod condition;
mod day_or_month;
mod estimate;
mod fields;
mod final_test;
mod final_test_words;
mod id;
mod invalid;
mod job;
mod media;
mod moment;
mod money;
mod owner;
mod part;
mod photo;
mod reading;
mod record;
mod repeats;
mod stage;
mod template;
mod text;
mod trial;
mod watch;
mod wordlist;

pub use adjustment::{Adjustment, AdjustmentBy};
pub use bottle::Bottle;
pub use condition::{ConditionEntry, ConditionOf, ConditionState, check_condition};
pub use day_or_month::{DayOrMonth, NeitherDayNorMonth};
pub use estimate::{Answer, Estimate, EstimateLine};
pub use fields::{Difference, Field, differences, differences_between};
pub use final_test::{Figure, FinalTest};
pub use final_test_words::{FigureOf, SignOf, TestKind, TestOutcome, TestStandard, TestWay};
pub use id::{
    AdjustmentId, BottleId, EstimateId, FinalTestId, Id, JobId, OwnerId, PartId, PhotoId,
    ReadingId, TemplateId, TrialId, WatchId,
};
pub use invalid::{Invalid, Problem};
pub use job::Job;
pub use media::{MediaHash, NotAHash};
pub use moment::Moment;
pub use money::{Currency, Money};
pub use owner::Owner;
pub use part::{Part, PartState};
pub use photo::Photo;
pub use reading::{
    BalanceReading, Reading, ReadingSettings, ReadingWarning, Relation, RelationState,
};
pub use record::{AnyId, Kind, Record};
pub use repeats::{RepeatingWave, Repeats, RepeatsIn};
pub use stage::{Stage, StageMove};
pub use template::Template;
pub use text::{check_opaque, filled_line as check_line, limit};
pub use trial::{Trial, TrialRate, TrialSize};
pub use watch::{Watch, WatchBalance};
