//! Tests before a watch goes back.

use super::{Moment, RegulatingVerdict};
use serde::{Deserialize, Serialize};
use ts_rs::TS;
use utoipa::ToSchema;

/// What is tested.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(rename_all = "snake_case")]
pub enum TestKind {
    /// Rate and amplitude over positions.
    Rate,
    /// How long it runs.
    RunningTime,
    /// Whether wearing it winds it.
    AutomaticWinding,
    /// Whether water stays out.
    Water,
    /// What a magnetic field does to it.
    Magnetism,
    /// Hands and calendar over a day and through midnight.
    HandsAndCalendar,
    /// Case, dial, hands and glass.
    Look,
    /// Anything else.
    Other,
}

/// By what it is done and judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
pub enum TestStandard {
    /// The workshop's own limits.
    #[serde(rename = "own")]
    Own,
    /// Ordinary watches that are called water-resistant.
    #[serde(rename = "iso_22810")]
    Iso22810,
    /// Divers' watches.
    #[serde(rename = "iso_6425")]
    Iso6425,
    /// Magnetic resistant watches.
    #[serde(rename = "iso_764")]
    Iso764,
    /// Those that withstand the stronger field.
    #[serde(rename = "iso_764_enhanced")]
    Iso764Enhanced,
}

/// Which way it is done, where its kind has several.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(rename_all = "snake_case")]
pub enum TestWay {
    /// Dry, by air.
    Air,
    /// Wet, under pressure.
    Water,
    /// Wet, under a little pressure straight after the full one.
    LowPressure,
    /// Lying in still water.
    Immersion,
    /// The crown pressed sideways in water.
    CrownPressed,
    /// From warm water into cold and back.
    Warmth,
    /// In salt water.
    Salt,
    /// A drop of cool water on the warmed glass.
    Condensation,
    /// On the wrist.
    Worn,
    /// On a winder.
    Winder,
}

/// What the repairer says of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(rename_all = "snake_case")]
pub enum TestOutcome {
    /// As it should be.
    Passed,
    /// Not as it should be.
    Failed,
    /// Nothing was said.
    NotDecided,
}

/// A number of a test. Its unit stands in its code; the field of the form says it in words.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct TestFigure {
    /// Which number: `tested_bar`, `leak_ug_per_min`, ...
    pub code: String,
    /// The number.
    pub value: f64,
    /// Its standard uncertainty; null: not known.
    pub sd: Option<f64>,
}

/// A number entered or emptied.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct TestFigureChange {
    /// Which number.
    pub code: String,
    /// Null: it is not known.
    #[serde(default)]
    pub value: Option<f64>,
    /// Its standard uncertainty; null: not known.
    #[serde(default)]
    pub sd: Option<f64>,
}

/// Something that somebody looked for.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct TestSign {
    /// Which sign: `fog`, `hands_touch`, ...
    pub code: String,
    /// Whether it was so.
    pub seen: bool,
}

/// A sign entered or emptied.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct TestSignChange {
    /// Which sign.
    pub code: String,
    /// Null: nobody looked.
    #[serde(default)]
    pub seen: Option<bool>,
}

/// A test that was done.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct FinalTest {
    /// Never changes.
    pub id: String,
    /// Grows with each change.
    pub version: u32,
    /// In which job.
    pub job_id: String,
    /// The letter of the balance; empty: the watch.
    pub balance: String,
    /// What was tested.
    pub kind: TestKind,
    /// Which way; null: not said, or there is only one.
    pub way: Option<TestWay>,
    /// By what.
    pub standard: TestStandard,
    /// A name of its own; empty: that of the kind.
    pub what: String,
    /// What it is called, in words.
    pub called: String,
    /// What it was tested with.
    pub instrument: String,
    /// Room, temperature, how it was worn.
    pub conditions: String,
    /// When.
    pub done: Moment,
    /// Its numbers.
    pub figures: Vec<TestFigure>,
    /// What was looked for; what is not here nobody looked at.
    pub signs: Vec<TestSign>,
    /// Photos of the job that belong to it.
    pub photos: Vec<String>,
    /// Readings of the job that its numbers come from.
    pub readings: Vec<String>,
    /// What the repairer says of it.
    pub outcome: TestOutcome,
    /// Free note.
    pub note: String,
    /// What its numbers come to, and all that belongs to such a test.
    pub sheet: TestSheet,
}

/// A test to be kept.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct NewFinalTest {
    /// Its id, a UUID made by whoever sends it, so that sending it twice makes one; left out: one is
    /// made.
    #[serde(default)]
    pub id: Option<String>,
    /// What was tested.
    pub kind: TestKind,
    /// All else.
    #[serde(default)]
    pub fields: TestFields,
}

/// A change to a test: what is left out stays.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(deny_unknown_fields)]
pub struct FinalTestChange {
    /// The version it is based on.
    pub version: u32,
    /// What changes.
    pub fields: TestFields,
}

/// What may be said of a test but its kind: what is left out stays, or is empty in a new one.
#[derive(Debug, Clone, PartialEq, Default, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct TestFields {
    /// The letter of the balance; empty: the watch.
    #[serde(default)]
    pub balance: Option<String>,
    /// Which way; null: not said.
    #[serde(default, deserialize_with = "super::there")]
    #[ts(as = "Option<TestWay>")]
    #[schema(value_type = Option<TestWay>)]
    pub way: Option<Option<TestWay>>,
    /// By what.
    #[serde(default)]
    pub standard: Option<TestStandard>,
    /// A name of its own.
    #[serde(default)]
    pub what: Option<String>,
    /// What it was tested with.
    #[serde(default)]
    pub instrument: Option<String>,
    /// Room, temperature, how it was worn.
    #[serde(default)]
    pub conditions: Option<String>,
    /// When; now for a new one that does not say.
    #[serde(default)]
    pub done: Option<Moment>,
    /// Numbers that change; the others stay.
    #[serde(default)]
    pub figures: Option<Vec<TestFigureChange>>,
    /// Signs that change; the others stay.
    #[serde(default)]
    pub signs: Option<Vec<TestSignChange>>,
    /// Its photos.
    #[serde(default)]
    pub photos: Option<Vec<String>>,
    /// The readings that its numbers come from.
    #[serde(default)]
    pub readings: Option<Vec<String>>,
    /// What the repairer says of it.
    #[serde(default)]
    pub outcome: Option<TestOutcome>,
    /// Free note.
    #[serde(default)]
    pub note: Option<String>,
}

/// A number that a test of this kind may have.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct TestField {
    /// Under which code it is sent.
    pub code: String,
    /// What it is, in words.
    pub words: String,
    /// Its unit; empty for a count.
    pub unit: String,
    /// What usually stands there; empty: nothing usual.
    pub usual: String,
    /// Whether it is a limit that the workshop sets.
    pub is_limit: bool,
    /// Whether it may have an uncertainty.
    pub is_measured: bool,
}

/// Something that a test of this kind looks for.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct TestSignField {
    /// Under which code it is sent.
    pub code: String,
    /// What it is, in words.
    pub words: String,
}

/// A way in which it may be done.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct TestWayChoice {
    /// Which.
    pub way: TestWay,
    /// In words, with what the standard asks of it.
    pub words: String,
    /// Whether the standard asks for it.
    pub is_asked: bool,
    /// What the newest test of the job in this way came to; null: there is none.
    pub verdict: Option<RegulatingVerdict>,
}

/// By what it may be done.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct TestStandardChoice {
    /// Which.
    pub standard: TestStandard,
    /// In words.
    pub words: String,
}

/// Why a test comes to what it does.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct TestReason {
    /// What it alone comes to.
    pub verdict: RegulatingVerdict,
    /// In words.
    pub words: String,
}

/// What belongs to a test as it is filled in, and what it comes to so far.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct TestSheet {
    /// The kind in words.
    pub kind_words: String,
    /// Ways to choose from; none where there is only one.
    pub ways: Vec<TestWayChoice>,
    /// Standards to choose from.
    pub standards: Vec<TestStandardChoice>,
    /// Numbers that it may have, in order.
    pub fields: Vec<TestField>,
    /// Signs that it may have, in order.
    pub signs: Vec<TestSignField>,
    /// Whether photos belong to it.
    pub wants_photos: bool,
    /// What is done, in order.
    pub steps: Vec<String>,
    /// What to take care of at this step.
    pub cautions: Vec<String>,
    /// What it comes to, by its numbers and signs alone.
    pub verdict: RegulatingVerdict,
    /// The same in words, with what decides.
    pub words: String,
    /// All that was asked, and what became of it.
    pub reasons: Vec<TestReason>,
    /// How much of the standard was seen; empty for own limits.
    pub edition: String,
}

/// Numbers that need not be typed: they stand in readings of the job.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct TestOffer {
    /// Where they come from, in words.
    pub words: String,
    /// Of which balance; empty: the watch.
    pub balance: String,
    /// The numbers.
    pub figures: Vec<TestFigure>,
    /// Signs that follow from them.
    pub signs: Vec<TestSign>,
    /// The readings that they come from.
    pub readings: Vec<String>,
}

/// What the last test of its kind of this watch was done with.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct TestLast {
    /// Of when and of what, in words.
    pub words: String,
    /// By what.
    pub standard: TestStandard,
    /// With what.
    pub instrument: String,
    /// Limits, and what stands on the watch.
    pub figures: Vec<TestFigure>,
}

/// A test that is being filled in.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct TestDraft {
    /// By what it is judged: what was sent, or what is usual.
    pub standard: TestStandard,
    /// What belongs to it.
    pub sheet: TestSheet,
    /// Why it cannot be kept as it is; empty: it can.
    pub refused: String,
    /// Numbers that need not be typed.
    pub offers: Vec<TestOffer>,
    /// The last of its kind; null: there is none.
    pub last: Option<TestLast>,
}

/// A kind of test, and where this job stands with it.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct TestToDo {
    /// Which kind.
    pub kind: TestKind,
    /// In words.
    pub words: String,
    /// Whether it is usual for every watch, or this watch had it before.
    pub is_usual: bool,
    /// What its newest test comes to; null: none was done.
    pub verdict: Option<RegulatingVerdict>,
    /// What the repairer says of the newest.
    pub outcome: TestOutcome,
    /// Where it stands, in words; empty: nothing was done, nothing is known of it.
    pub stands: String,
}

/// The final tests of a job.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct FinalTestList {
    /// In the order in which they were done.
    pub tests: Vec<FinalTest>,
    /// Every kind.
    pub to_do: Vec<TestToDo>,
    /// Letters of the watch's balances; none where it has one.
    pub balances: Vec<String>,
}
