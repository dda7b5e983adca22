//! The words and rules in force: the library's and the workshop's own over them.

use crate::desk::Desk;
use crate::failure::Failure;
use crate::wire::{
    Advice, Saying, TakeOutDemand, Trade, TradeKind, TradeProblem, TradeRule, TradeTrait,
};
use rebuild::{
    Part, PartId, PartKind, Rule, RuleId, Rules, Side, State, StepId, TakenOut, Vocabulary,
    taking_out,
};
use std::collections::{BTreeSet, HashSet};
use std::sync::{Arc, PoisonError};
use store::Store;
use uuid::Uuid;

/// Under what name problems of the workshop's own text are told.
const OWN_NAME: &str = "own words and rules";

/// What is in force, made once for each version of the workshop's own text and of the rules that it
/// has switched off.
#[derive(Debug)]
pub(crate) struct InForce {
    /// The version of the workshop's own text; 0 where there is none.
    pub(crate) version: i64,
    /// That text.
    pub(crate) own: String,
    /// What is wrong in it.
    pub(crate) problems: Vec<TradeProblem>,
    /// The version of what is switched off; 0 where nothing ever was.
    pub(crate) off_version: i64,
    /// Ids of rules that are switched off, of what is no rule any more too.
    pub(crate) off: BTreeSet<RuleId>,
    pub(crate) vocabulary: Vocabulary,
    pub(crate) rules: Rules,
    /// Those that are switched off too.
    pub(crate) all_rules: Rules,
    /// What a page fetches once, so that it has it where there is no line.
    pub(crate) shown: Trade,
}

/// What is wrong in a text of own words and rules.
pub(crate) fn problems_of(own: &str) -> Vec<TradeProblem> {
    trade::own(OWN_NAME, own).problems.iter().map(problem).collect()
}

impl InForce {
    /// Those of a store, made anew.
    pub(crate) async fn of(store: &Store) -> Result<Arc<Self>, Failure> {
        let (own, off) = texts(store).await?;
        Ok(tokio::task::spawn_blocking(move || Arc::new(Self::new(own, off))).await?)
    }

    fn new((version, own): (i64, String), (off_version, off): (i64, String)) -> Self {
        let read = trade::own(OWN_NAME, &own);
        let problems = read.problems.iter().map(problem).collect();
        let off: BTreeSet<RuleId> = off.lines().filter_map(|id| RuleId::new(id).ok()).collect();
        let (vocabulary, all_rules) = trade::in_force(read.sheet, &HashSet::new());
        let rules = all_rules.clone().without(&off.iter().cloned().collect());
        let shown = shown(&vocabulary, &rules);
        Self { version, own, problems, off_version, off, vocabulary, rules, all_rules, shown }
    }
}

impl Desk {
    /// The words and rules in force now.
    pub(crate) async fn trade(&self) -> Result<Arc<InForce>, Failure> {
        let (own, off) = texts(&self.store).await?;
        let held = self.in_force.lock().unwrap_or_else(PoisonError::into_inner).clone();
        let is_now = |held: &Arc<InForce>| (held.version, held.off_version) == (own.0, off.0);
        if let Some(held) = held.filter(is_now) {
            return Ok(held);
        }
        let made = tokio::task::spawn_blocking(move || Arc::new(InForce::new(own, off)));
        let made = made.await?;
        *self.in_force.lock().unwrap_or_else(PoisonError::into_inner) = Some(made.clone());
        Ok(made)
    }
}

/// A text with its version.
type Text = (i64, String);

/// The workshop's own words and rules, and what it has switched off.
async fn texts(store: &Store) -> Result<(Text, Text), Failure> {
    let kept = async |key: &str| {
        let kept = store.kept_setting(key).await?;
        Ok::<_, Failure>(kept.map_or((0, String::new()), |kept| (kept.version, kept.value)))
    };
    Ok((kept(store::OWN_RULES).await?, kept(store::RULES_OFF).await?))
}

fn problem(problem: &trade::Problem) -> TradeProblem {
    TradeProblem {
        line: u32::try_from(problem.line).unwrap_or(u32::MAX),
        words: problem.to_string(),
    }
}

fn shown(vocabulary: &Vocabulary, rules: &Rules) -> Trade {
    let traits = vocabulary.traits().iter().map(|word| TradeTrait {
        id: word.id.to_string(),
        words: word.name.clone(),
        definition: word.definition.clone(),
    });
    Trade {
        kinds: vocabulary.kinds().iter().map(|kind| shown_kind(kind, vocabulary, rules)).collect(),
        traits: traits.collect(),
        lubricants: rebuild::LubricantClass::ALL
            .iter()
            .map(|class| (class.code().to_owned(), class.words().to_owned()))
            .collect(),
    }
}

fn shown_kind(kind: &PartKind, vocabulary: &Vocabulary, rules: &Rules) -> TradeKind {
    let nothing_out = State::default();
    let out = alone(kind);
    let minded = taking_out(&nothing_out, rules, vocabulary, &out);
    TradeKind {
        id: kind.id.to_string(),
        name: kind.name.clone(),
        words: kind.other_words.clone(),
        family: kind.family.words().to_owned(),
        definition: kind.definition.clone(),
        traits: kind.ask.iter().map(ToString::to_string).collect(),
        advice: advice(&minded.advice),
        before_taking_out: minded
            .demands
            .iter()
            .map(|(_, rule)| TakeOutDemand {
                rule: rule.id.to_string(),
                once: rule.once.code().to_owned(),
                words: words::bench::saying(rule),
                sources: words::bench::sources(rule),
            })
            .collect(),
    }
}

/// A part of this kind, of which nothing more is known.
fn alone(kind: &PartKind) -> TakenOut {
    let nil = Uuid::nil();
    let part = Part {
        id: PartId::from_uuid(nil),
        kind: Some(kind.id.clone()),
        name: String::new(),
        traits: Vec::new(),
        condition: String::new(),
        verdict: None,
    };
    TakenOut {
        step: StepId::from_uuid(nil),
        parts: vec![part],
        side: Side::Train,
        groups: Vec::new(),
        from_assembly: None,
        screws: Vec::new(),
        way_up: String::new(),
        rested_on: Vec::new(),
        was_under: Vec::new(),
        under_tension: false,
        compartment: String::new(),
        photos: Vec::new(),
        note: String::new(),
    }
}

/// What to mind, as it is shown.
pub(super) fn advice(minded: &rebuild::Advice<'_>) -> Advice {
    let sayings = |rules: &[&Rule]| rules.iter().map(|rule| saying(rule)).collect();
    let loud = |screws: &&rebuild::Screws| words::bench::screws(screws, screws.count);
    Advice {
        cautions: sayings(&minded.cautions),
        never_oil: sayings(&minded.never_oil),
        left_handed: minded.left_handed.iter().map(loud).collect(),
        under_tension: minded.under_tension,
    }
}

fn saying(rule: &Rule) -> Saying {
    Saying { words: words::bench::saying(rule), sources: words::bench::sources(rule) }
}

/// A rule in words, for the list of all rules.
pub(crate) fn rule_words(rule: &Rule, trade: &InForce) -> TradeRule {
    let InForce { all_rules: rules, vocabulary, off, .. } = trade;
    let named = rule
        .for_parts
        .kinds
        .iter()
        .map(|id| vocabulary.kind(id).map_or_else(|| id.to_string(), |kind| kind.name.clone()));
    let families = rule.for_parts.families.iter().map(|family| family.words().to_owned());
    TradeRule {
        id: rule.id.to_string(),
        own: rules.is_own(&rule.id),
        off: off.contains(&rule.id),
        kinds: named.chain(families).collect(),
        words: words::bench::saying(rule),
        sources: words::bench::sources(rule),
        otherwise: rules.against(rule).iter().map(|other| other.id.to_string()).collect(),
    }
}
