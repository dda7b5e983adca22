//! A movement that is being taken down or put together again: what follows from its log.
//!
//! What is entered are entries of the log, in the written form of `logbook`; this is what the
//! program makes of them. Sentences are whole and for people; the page only shows them.

use super::Moment;
use serde::{Deserialize, Serialize};
use ts_rs::TS;
use utoipa::ToSchema;

/// What holds now, and what to do next.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Movement {
    /// Of which job.
    pub job_id: String,
    /// The number of the last entry that this is made from; 0 where there is none.
    #[ts(type = "number")]
    pub last_entry: u64,
    /// The steps of the take-down, in the order of removal.
    pub steps: Vec<MovementStep>,
    /// The names of all groups.
    pub groups: Vec<String>,
    /// Which side is up: `dial` or `train`; none before anything was placed.
    pub facing: Option<String>,
    /// How much is in again.
    pub progress: MovementProgress,
    /// What to do until everything is in, in order.
    pub plan: Vec<PlanAction>,
    /// How often the movement is turned over from here to the end.
    pub turnings: u32,
    /// Work of the plan that can be settled in one go, when the first of it can be done.
    pub together: Vec<PlanTogether>,
    /// Work whose place was covered, or the spring wound, while it was still to be done.
    pub missed: Vec<MovementWork>,
    /// Work that was settled: done, checked, skipped, or settled by another rule; the latest last.
    pub settled: Vec<MovementWork>,
    /// Relations that contradict each other.
    pub loops: Vec<MovementLoop>,
    /// What differs between twins.
    pub twins: Vec<MovementTwins>,
    /// Entries that make no sense, and windows that hold nothing: sentences.
    pub warnings: Vec<MovementWarning>,
}

/// Work of one sort, between which nothing goes in: where all is well it may be settled with one
/// press. It is sent as an entry for each.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct PlanTogether {
    /// What it is, and on what.
    pub words: String,
    /// The work, two at least, in the order of the plan.
    pub work: Vec<logbook::WorkRef>,
}

/// Counts of what is in and what is in the tray.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct MovementProgress {
    /// Parts that are in.
    pub parts_in: u32,
    /// Parts that lie in the tray.
    pub parts_in_tray: u32,
    /// Parts left out with a reason.
    pub parts_left_out: u32,
    /// Screws that are in.
    pub screws_in: u32,
    /// Screws that lie in the tray.
    pub screws_in_tray: u32,
    /// Screws left out with a reason.
    pub screws_left_out: u32,
    /// Work that is still open.
    pub open_work: u32,
    /// Work that was skipped.
    pub skipped_work: u32,
    /// Everything is in or left out with a reason, and all work is settled.
    pub complete: bool,
}

/// What came out in one go.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct MovementStep {
    /// Its id.
    pub id: String,
    /// What to call it: the names of its parts and its groups.
    pub name: String,
    /// Its parts.
    pub parts: Vec<MovementPart>,
    /// `dial`, `train`, `case` or `hand`.
    pub side: String,
    /// The side in words.
    pub side_words: String,
    /// Its groups; none: common to all.
    pub groups: Vec<String>,
    /// The part that it was taken from in hand.
    pub from_assembly: Option<String>,
    /// Its screws.
    pub screws: Vec<MovementScrews>,
    /// Which way up it sat.
    pub way_up: String,
    /// Parts that it sat on.
    pub rested_on: Vec<String>,
    /// Parts that lay over it.
    pub was_under: Vec<String>,
    /// Whether it was under tension.
    pub under_tension: bool,
    /// Where in the tray it lies.
    pub compartment: String,
    /// Ids of its photos, oldest first.
    pub photos: Vec<String>,
    /// Notes, oldest first.
    pub notes: Vec<String>,
    /// The entry that says that it came out; to take it back.
    pub entry: String,
    /// When it came out.
    pub taken_out_at: Moment,
    /// From which device that was entered.
    pub taken_out_by: String,
    /// When it went in again; none while it lies in the tray.
    pub placed_at: Option<Moment>,
    /// The entry that says that it is in; to take it back.
    pub placed_entry: Option<String>,
    /// Whether anything of it is to go in: false where all its parts are left out.
    pub goes_in: bool,
    /// Its layer: how many steps lie under it at most, 0 for what lies lowest on its side.
    pub layer: u32,
    /// Ids of steps that go in directly before it.
    pub after: Vec<String>,
    /// Ids of steps that go in directly over it.
    pub before: Vec<String>,
    /// What speaks against placing it now; none where it is in, or does not go in.
    pub placing: Option<Placing>,
    /// What to mind while it is in hand and placed.
    pub advice: Advice,
}

/// A part.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct MovementPart {
    /// Its id.
    pub id: String,
    /// Its kind in the vocabulary.
    pub kind: Option<String>,
    /// What to call it.
    pub name: String,
    /// Ids of its traits.
    pub traits: Vec<String>,
    /// The condition found.
    pub condition: String,
    /// `keep`, `clean`, `repair` or `replace`.
    pub verdict: Option<String>,
    /// Why it does not go in again.
    pub left_out: Option<String>,
}

/// Like screws of a step.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct MovementScrews {
    /// The id of the set.
    pub id: String,
    /// How many came out.
    pub count: u32,
    /// How many go in.
    pub to_place: u32,
    /// Length in mm, where it was measured.
    pub length_mm: Option<f64>,
    /// How they look.
    pub look: String,
    /// `right`, `left` or `unknown`.
    pub thread: String,
    /// Where they belong.
    pub place: String,
    /// All of that in words.
    pub words: String,
}

/// What speaks against placing a step now.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Placing {
    /// Open work that it would cover. Each must be done, or skipped with a reason, before.
    pub would_cover: Vec<MovementWork>,
    /// Ids of steps that have to be in before it.
    pub missing: Vec<String>,
}

/// One thing to do.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct PlanAction {
    /// What.
    #[serde(flatten)]
    pub what: PlanWhat,
    /// Why it stands here, in a sentence.
    pub why: String,
}

/// What to do.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
#[serde(tag = "action", rename_all = "snake_case")]
pub enum PlanWhat {
    /// Turn the movement over.
    Turn {
        /// The side that is up afterwards: `dial` or `train`.
        up: String,
        /// In words.
        words: String,
    },
    /// Place what came out in this step.
    Place {
        /// Its id.
        step: String,
    },
    /// Do this work, or make this check.
    Do {
        /// The work.
        work: Box<MovementWork>,
    },
}

/// Work that a rule asks for.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct MovementWork {
    /// Which rule, on what: as entries of the log name it.
    pub work: logbook::WorkRef,
    /// `oil`, `treatment`, `check` or, among what is settled, `demand`: what must have been done
    /// before something comes out.
    pub kind: String,
    /// What to do, in a sentence.
    pub words: String,
    /// On what: the names of parts, of the group, or "the movement".
    pub on: String,
    /// The steps that it is about.
    pub steps: Vec<String>,
    /// How much, or what to expect.
    pub detail: String,
    /// `dial` or `train` where that side must be up.
    pub side: Option<String>,
    /// To be done in hand, before the part goes in.
    pub in_hand: bool,
    /// `open`, `done`, `skipped`, `settled_by_other` or `missed`.
    pub status: String,
    /// What was said of it last, in words.
    pub said: Option<String>,
    /// The entry that said so; to take it back.
    pub said_entry: Option<String>,
    /// The part that will cover it, or what it has to come before.
    pub covered_by: Option<String>,
    /// The unit of what is measured; none where nothing is.
    pub unit: Option<String>,
    /// Which bottle to take.
    pub bottle: Option<BottleChoice>,
    /// Who says so.
    pub sources: Vec<String>,
    /// Rules that say otherwise, in words, with who says so.
    pub otherwise: Vec<String>,
}

/// Which of the user's bottles to take.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct BottleChoice {
    /// The bottle; none where there is none of that class.
    pub id: Option<String>,
    /// Which, in words, or that there is none.
    pub words: String,
    /// That it is old or expires: a sentence.
    pub warning: Option<String>,
}

/// What to mind.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Advice {
    /// Cautions.
    pub cautions: Vec<Saying>,
    /// Where no oil may come.
    pub never_oil: Vec<Saying>,
    /// Screws with a left-handed thread, in words.
    pub left_handed: Vec<String>,
    /// It is under tension.
    pub under_tension: bool,
}

/// A sentence and who says so.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Saying {
    /// The sentence.
    pub words: String,
    /// Who says so.
    pub sources: Vec<String>,
}

/// Relations that go round in a circle.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct MovementLoop {
    /// The relations, each said to come before the next.
    pub relations: Vec<LoopRelation>,
    /// How to break it.
    pub ways_out: Vec<LoopWayOut>,
}

/// One relation of a loop.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct LoopRelation {
    /// The step that goes in first.
    pub first: String,
    /// The step that goes in later.
    pub then: String,
    /// In a sentence, with who says so.
    pub words: String,
}

/// One way to break a loop.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct LoopWayOut {
    /// In a sentence.
    pub words: String,
    /// What to enter for that.
    pub change: logbook::LogChange,
}

/// Two groups held against each other.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct MovementTwins {
    /// The one.
    pub one: String,
    /// The other.
    pub other: String,
    /// How many parts match.
    pub pairs: u32,
    /// What differs, in sentences.
    pub differences: Vec<String>,
    /// Seconds from the first to the last placing of each.
    pub placing_s: (Option<f64>, Option<f64>),
}

/// Something to know about the log.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct MovementWarning {
    /// The entry that it is about.
    pub entry: Option<String>,
    /// In a sentence.
    pub words: String,
}

/// What became of entries that were sent.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct LogKept {
    /// Ids of those that were kept now.
    pub kept: Vec<String>,
    /// Ids of those that were there already.
    pub there_already: Vec<String>,
    /// Those that were not kept, and why. Nothing of what follows them was kept either.
    pub refused: Option<LogRefusal>,
}

/// Why an entry was not kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct LogRefusal {
    /// Which entry.
    pub id: String,
    /// In a sentence, with what to do.
    pub words: String,
}

/// What may be taken out, and what to mind then. All of it is fetched once, so that a phone has it
/// where there is no line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Trade {
    /// The kinds of part.
    pub kinds: Vec<TradeKind>,
    /// The traits that a part may have.
    pub traits: Vec<TradeTrait>,
    /// Classes of lubricant: code and words.
    pub lubricants: Vec<(String, String)>,
}

/// A kind of part.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct TradeKind {
    /// Its id.
    pub id: String,
    /// What it is called.
    pub name: String,
    /// Other words for it.
    pub words: Vec<String>,
    /// Its family, in words.
    pub family: String,
    /// What it is.
    pub definition: String,
    /// Ids of traits that it may well have.
    pub traits: Vec<String>,
    /// What to mind while taking it out.
    pub advice: Advice,
    /// What must have been done before it comes out.
    pub before_taking_out: Vec<TakeOutDemand>,
}

/// Something that must have been done before a part comes out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct TakeOutDemand {
    /// The rule: to enter it as done or skipped.
    pub rule: String,
    /// `each-part`, `each-group` or `movement`: once for what it is to be entered.
    pub once: String,
    /// In a sentence.
    pub words: String,
    /// Who says so.
    pub sources: Vec<String>,
}

/// A trait that a part may have.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct TradeTrait {
    /// Its id.
    pub id: String,
    /// In words.
    pub words: String,
    /// What to look for.
    pub definition: String,
}

/// A rule in words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct TradeRule {
    /// Its id: an own rule with this id takes its place.
    pub id: String,
    /// Whether it is the workshop's own.
    pub own: bool,
    /// Whether the workshop has switched it off.
    pub off: bool,
    /// For which kinds and families.
    pub kinds: Vec<String>,
    /// What it says.
    pub words: String,
    /// Who says so.
    pub sources: Vec<String>,
    /// Ids of rules that say otherwise.
    pub otherwise: Vec<String>,
}

/// Every rule, those that are switched off too.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct TradeRuleList {
    /// In the order of the library, own ones last.
    pub rules: Vec<TradeRule>,
}

/// The workshop's own words and rules: a text in TOML.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct OwnTrade {
    /// Grows with each change; 0 where nothing was ever written.
    pub version: u32,
    /// The text.
    pub text: String,
    /// What is wrong in it. What is right counts all the same.
    pub problems: Vec<TradeProblem>,
}

/// The workshop's own words and rules, changed.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(deny_unknown_fields)]
pub struct OwnTradeChange {
    /// The version it is based on.
    pub version: u32,
    /// The text.
    pub text: String,
}

/// The rules that the workshop has switched off: nothing is asked or told by them.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct RulesOff {
    /// Grows with each change; 0 where nothing was ever switched off.
    pub version: u32,
    /// Their ids, in the order of the alphabet.
    pub rules: Vec<String>,
}

/// The rules that the workshop has switched off, changed.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(deny_unknown_fields)]
pub struct RulesOffChange {
    /// The version it is based on.
    pub version: u32,
    /// The ids of all that are to be off.
    pub rules: Vec<String>,
}

/// Something wrong in the workshop's own text.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct TradeProblem {
    /// The line, counted from 1.
    pub line: u32,
    /// What is wrong and what to do.
    pub words: String,
}

/// Entries of a log, in their order.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(deny_unknown_fields)]
pub struct LogSent {
    /// The entries; at most 200 at once.
    pub entries: Vec<logbook::LogEntry>,
}
