//! What the readings of a job mean.

use super::{AdjustmentBy, Moment, Position, Value};
use serde::Serialize;
use ts_rs::TS;
use utoipa::ToSchema;

/// The rate sheet of a job and what follows from it.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Regulating {
    /// Which job.
    pub job_id: String,
    /// Which watch.
    pub watch_id: String,
    /// The rate that is aimed at, s/d.
    pub target_s_per_d: f64,
    /// Whether that is the watch's own; otherwise it is the middle of the workshop's tolerance.
    pub target_is_own: bool,
    /// Near enough, s/d.
    pub near_s_per_d: f64,
    /// Uncertainty of the recorder's clock that is common to all readings, s/d.
    pub clock_sd_s_per_d: f64,
    /// What was changed at the watch, the first first: each parts readings before from those after.
    pub boundaries: Vec<RegulatingBoundary>,
    /// States of wind, from full on.
    pub winds: Vec<RegulatingWind>,
    /// Each balance.
    pub balances: Vec<RegulatingBalance>,
    /// How hands on two balances come apart; nothing with fewer or more.
    pub hands_apart: Option<HandsApart>,
}

/// Something was changed at the watch.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct RegulatingBoundary {
    /// When.
    pub at: Moment,
    /// What, in words.
    pub words: String,
    /// Which balance; null: all of them.
    pub balance: Option<String>,
}

/// A state of wind.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct RegulatingWind {
    /// As it was entered.
    pub words: String,
    /// Hours since full winding, where it says so.
    pub hours: Option<f64>,
}

/// One balance on the sheet.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct RegulatingBalance {
    /// Its letter.
    pub label: String,
    /// Every place that was read.
    pub cells: Vec<RegulatingCell>,
    /// Statistics, a column for each state of wind that was read since the last change.
    pub columns: Vec<RegulatingColumn>,
    /// Classes of tolerance that the fullest column can be held against.
    pub classes: Vec<RegulatingClass>,
    /// Where it is heavy.
    pub poise: RegulatingPoise,
    /// What to do next, each by one means.
    pub advice: Vec<RegulatingAdvice>,
    /// What the readings hint at.
    pub findings: Vec<RegulatingFinding>,
    /// How its rate goes with the state of wind.
    pub isochronism: RegulatingIsochronism,
    /// What it will do on the wrist.
    pub wrist: RegulatingWrist,
}

/// One place of the sheet.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct RegulatingCell {
    /// Index of the state of wind.
    pub wind: u32,
    /// Position.
    pub position: Position,
    /// The reading that stands here.
    pub reading_id: String,
    /// When it was taken.
    pub taken_at: Moment,
    /// Something was changed since: it counts for nothing.
    pub is_of_before: bool,
    /// Rate, s/d, without the clock's uncertainty.
    pub rate_s_per_d: Option<Value>,
    /// Amplitude, degrees.
    pub amplitude_deg: Option<Value>,
    /// Beat error, ms, half the difference.
    pub beat_error_ms: Option<Value>,
    /// Rate here before the last change, s/d.
    pub before_s_per_d: Option<Value>,
}

/// Statistics of a balance in one state of wind.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct RegulatingColumn {
    /// Index of the state of wind.
    pub wind: u32,
    /// What can be said, in the usual order.
    pub statistics: Vec<RegulatingStatistic>,
}

/// A number over positions.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct RegulatingStatistic {
    /// Stable, for programs.
    pub code: String,
    /// What it is.
    pub words: String,
    /// The number.
    pub value: Value,
    /// Its unit.
    pub unit: String,
    /// Whether a plus is written: a rate or a difference that may be either way.
    pub is_signed: bool,
    /// What belongs to it, such as between which positions.
    pub note: String,
}

/// Whether something is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
#[serde(rename_all = "snake_case")]
pub enum RegulatingVerdict {
    /// Within, beyond its uncertainty.
    Pass,
    /// Outside, beyond its uncertainty.
    Fail,
    /// The limit lies within the uncertainty, or nothing was measured for it.
    CannotTell,
}

/// A class of tolerance, judged.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct RegulatingClass {
    /// Its name.
    pub name: String,
    /// Who says so.
    pub source: String,
    /// Whether it is the workshop's own.
    pub own: bool,
    /// All limits together.
    pub verdict: RegulatingVerdict,
    /// Each limit.
    pub limits: Vec<RegulatingLimit>,
}

/// One limit, judged.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct RegulatingLimit {
    /// Of what, and how much.
    pub words: String,
    /// The unit of what was found.
    pub unit: String,
    /// What was found; null: nothing was measured for it.
    pub found: Option<Value>,
    /// Whether it is kept.
    pub verdict: RegulatingVerdict,
    /// Whether it is a forecast: spot readings, for a limit that only days can show to be kept.
    pub is_forecast: bool,
    /// How far within it lies, negative outside.
    pub margin: Option<Value>,
}

/// Where a balance is heavy.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct RegulatingPoise {
    /// In a line; or why nothing can be said.
    pub answer: String,
    /// What speaks against taking it as it stands; empty: nothing.
    pub doubt: String,
    /// How much, and where to take it off or to put it on; empty: not known.
    pub size: String,
    /// What else belongs to it.
    pub details: Vec<String>,
    /// What is to be known of the balance before more can be said, to be written down with the
    /// watch's movement; empty: nothing.
    pub missing: String,
    /// The measurement that would help most.
    pub next: String,
    /// Degrees clockwise from the dial's 12, the balance at rest; null: cannot be told.
    pub direction_deg: Option<f64>,
    /// Half of the sector that holds it with 95 in 100, degrees.
    pub sector_half_deg: Option<f64>,
}

/// What to do next by one means.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct RegulatingAdvice {
    /// By what.
    pub by: AdjustmentBy,
    /// What to do.
    pub words: String,
    /// Why, and what to expect.
    pub reasons: Vec<String>,
    /// How far, with its sign as in an adjustment; null: nothing to move.
    pub amount: Option<f64>,
    /// Whether it rests on a first guess alone.
    pub is_guess: bool,
    /// Whether it is computed from what is known of the balance, and not tried yet.
    pub is_computed: bool,
}

/// What readings hint at. Never a verdict.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct RegulatingFinding {
    /// What is to be seen.
    pub words: String,
    /// Whether it is beyond the uncertainty.
    pub is_plain: bool,
    /// What it rests on.
    pub evidence: Vec<String>,
    /// What may be behind it, the likeliest first.
    pub causes: Vec<RegulatingSaying>,
    /// What would tell the causes apart, the most telling first.
    pub next_tests: Vec<RegulatingTest>,
    /// Where authorities do not agree: pairs.
    pub disputes: Vec<RegulatingDispute>,
}

/// Something that is said, and who says so.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct RegulatingSaying {
    /// What.
    pub words: String,
    /// Who.
    pub source: String,
}

/// A test.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct RegulatingTest {
    /// What to do.
    pub words: String,
    /// What it tells apart.
    pub tells: String,
    /// Who says so.
    pub source: String,
}

/// Two who do not agree.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct RegulatingDispute {
    /// One.
    pub one: RegulatingSaying,
    /// The other.
    pub other: RegulatingSaying,
}

/// How a rate goes with the state of wind.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct RegulatingIsochronism {
    /// What is seen, or what is missing to see it, a sentence each.
    pub words: Vec<String>,
    /// What may be behind it: what fits first.
    pub candidates: Vec<RegulatingCandidate>,
    /// Readings of an hour or more since the last change, whose course can be asked for.
    pub long_readings: Vec<RegulatingLongReading>,
}

/// A reading that is long enough to show how the rate goes as the mainspring runs down.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct RegulatingLongReading {
    /// The reading.
    pub reading_id: String,
    /// Where, how wound and how long, in words.
    pub words: String,
}

/// What a long reading shows as the mainspring runs down.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct RegulatingOverWind {
    /// A sentence each.
    pub words: Vec<String>,
    /// Whether there is a picture of it.
    pub has_picture: bool,
}

/// Whether something that may be behind it fits what is seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
#[serde(rename_all = "snake_case")]
pub enum RegulatingMatch {
    /// Every sign that was seen is the one that it would have.
    Fits,
    /// What would speak for or against it was not seen.
    Open,
    /// A sign is against it.
    Against,
}

/// Something that may be behind it.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct RegulatingCandidate {
    /// What.
    pub words: String,
    /// Whether it fits.
    pub matches: RegulatingMatch,
    /// The sign that it would have.
    pub would: String,
    /// What would tell it from the others.
    pub test: String,
    /// Who says so.
    pub source: String,
}

/// What it will do on the wrist.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct RegulatingWrist {
    /// Expected daily rate, s/d, over many days.
    pub expected_s_per_d: Option<Value>,
    /// How much single days differ, s/d.
    pub day_to_day_sd_s_per_d: Option<f64>,
    /// In a sentence; or what is missing.
    pub words: String,
}

/// How hands on two balances come apart.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct HandsApart {
    /// The two balances.
    pub balances: [String; 2],
    /// The hands that hang on each, where the watch's movement was written down with its balances
    /// called by their letters.
    pub hands: [Vec<String>; 2],
    /// In which state of wind, in words.
    pub wind: String,
    /// After a day, a week and a month.
    pub after: Vec<HandsApartAfter>,
    /// How the balances stand to their target and to each other.
    pub words: Vec<String>,
}

/// How far they are apart after so many days.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct HandsApartAfter {
    /// Days.
    pub days: f64,
    /// By how many seconds the first is ahead of the second.
    pub ahead_s: Value,
}
