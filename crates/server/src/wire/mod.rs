//! What travels between the program and its pages: JSON, once, here. Names carry their unit;
//! instants are RFC 3339 in UTC, dates are `YYYY-MM-DD`. The page's TypeScript is generated from
//! these types (`web/src/wire`), the API's description too.

mod adjustment;
mod archive;
mod bin;
mod bottle;
mod currency;
mod devices;
mod events;
mod final_test;
mod health;
mod history;
mod job;
mod live;
mod moment;
mod movement;
mod owner;
mod paper;
mod part;
mod photo;
mod problem;
mod reading;
mod reckoning;
mod regulating;
mod search;
mod session;
mod settings;
mod template;
mod trial;
mod watch;
mod wheels;

pub use adjustment::{Adjustment, AdjustmentBy, AdjustmentChange, AdjustmentList, NewAdjustment};
pub use archive::{
    ArchiveBrought, ArchiveMade, ArchiveProgress, Counted, PaperRecords, PaperRow, Renumbered,
};
pub use bin::{Binned, BinnedList, Emptied};
pub use bottle::{Bottle, BottleChange, BottleList, NewBottle};
pub use currency::{CurrencyDigits, CurrencyList};
pub use devices::{Device, DeviceList, DeviceRole, Join, JoinCode, Joined};
pub use events::ChangeEvent;
pub use final_test::{
    FinalTest, FinalTestChange, FinalTestList, NewFinalTest, TestDraft, TestField, TestFields,
    TestFigure, TestFigureChange, TestKind, TestLast, TestOffer, TestOutcome, TestReason,
    TestSheet, TestSign, TestSignChange, TestSignField, TestStandard, TestStandardChoice, TestToDo,
    TestWay, TestWayChoice,
};
pub use health::{Health, HealthLine, HealthState};
pub use history::{FieldChange, History, HistoryEntry};
pub use job::{
    CheckItem, CheckState, Estimate, EstimateAnswer, EstimateLine, Job, JobChange, JobList,
    JobSummary, NewJob, NewJobWatch, Stage, StageMove, StageWish,
};
pub use live::{
    AveragedBeatShape, FoundClock, Level, LiveBalance, LiveDrift, LiveFrame, LiveList, LiveReading,
    LiveReadingWish, LiveSettings, LiveSource, LiveStart, LiveStarted, LiveState, QuartzProgress,
    QuartzWish, ReadingProgress, SoundDevice, SoundDeviceList,
};
pub use moment::Moment;
pub use movement::{
    Advice, BottleChoice, LogKept, LogRefusal, LogSent, LoopRelation, LoopWayOut, Movement,
    MovementLoop, MovementPart, MovementProgress, MovementScrews, MovementStep, MovementTwins,
    MovementWarning, MovementWork, OwnTrade, OwnTradeChange, Placing, PlanAction, PlanTogether,
    PlanWhat, RulesOff, RulesOffChange, Saying, TakeOutDemand, Trade, TradeKind, TradeProblem,
    TradeRule, TradeRuleList, TradeTrait,
};
pub use owner::{NewOwner, Owner, OwnerChange, OwnerList};
pub use paper::{
    PaperCheck, PaperHead, PaperHeadWish, PaperKind, PaperList, PaperOverview, PaperProgress,
    PaperSize,
};
pub use part::{NewPart, Part, PartChange, PartList, PartState};
pub use photo::{Photo, PhotoChange, PhotoList};
pub use problem::{Problem, ProblemBody};
pub use reading::{
    Position, ReadAgain, Reading, ReadingBalance, ReadingChange, ReadingList, ReadingSettings,
    ReadingWarning, Relation, RelationState, Value,
};
pub use reckoning::{
    FilledIn, MeasuredBeat, OtherSpring, ReckonWish, Reckoned, ReckonedAnswer, ReckonedArbor,
    ReckonedBalance, ReckonedBarrel, ReckonedCycle, ReckonedHand, ReckonedKeep, ReckonedMainspring,
    ReckonedMark, ReckonedMesh, ReckonedMissing, ReckonedOther, ReckonedPiece, ReckonedProblem,
    ReckonedRow, ReckonedSight, ReckonedSpring, ReckonedSum, SumKind,
};
pub use regulating::{
    HandsApart, HandsApartAfter, Regulating, RegulatingAdvice, RegulatingBalance,
    RegulatingBoundary, RegulatingCandidate, RegulatingCell, RegulatingClass, RegulatingColumn,
    RegulatingDispute, RegulatingFinding, RegulatingIsochronism, RegulatingLimit,
    RegulatingLongReading, RegulatingMatch, RegulatingOverWind, RegulatingPoise, RegulatingSaying,
    RegulatingStatistic, RegulatingTest, RegulatingVerdict, RegulatingWind, RegulatingWrist,
};
pub use search::{Hit, HitKind, Hits};
pub use session::{ReadingsAside, Role, Session, SessionDevice};
pub(crate) use settings::near_s_per_d;
pub use settings::{Clock, ClockList, NewClock, OwnClass, Settings, WearingHours};
pub use template::{NewTemplate, Template, TemplateChange, TemplateDrafts, TemplateList};
pub use trial::{
    NewTrial, Trial, TrialChange, TrialCriterion, TrialDay, TrialDayChange, TrialList, TrialOffer,
    TrialRate, TrialSize, TrialState,
};
pub use watch::{NewWatch, Watch, WatchChange, WatchList};
pub use wheels::{BalanceWheels, HearingProgress, ReadingWheels, RepeatingWheel, RepeatsIn};

use serde::Deserialize;

/// A field that is left out stays; one that is there and null empties.
pub(crate) fn there<'de, T, D>(field: D) -> Result<Option<Option<T>>, D::Error>
where
    T: Deserialize<'de>,
    D: serde::Deserializer<'de>,
{
    Option::deserialize(field).map(Some)
}
