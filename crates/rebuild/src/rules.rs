//! The rules in force: the library's, with the user's own over them.

use crate::{KindId, Rule, RuleId, TraitId, Vocabulary, What};
use std::collections::{HashMap, HashSet};
use thiserror::Error;

/// The rules in force, looked up by id.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Rules {
    all: Vec<Rule>,
    at: HashMap<RuleId, usize>,
    own: HashSet<RuleId>,
}

impl Rules {
    /// The library's rules, the user's own over them (the same id replaces, in the same place),
    /// without those that the user has switched off.
    #[must_use]
    pub fn new(library: Vec<Rule>, own: Vec<Rule>, off: &HashSet<RuleId>) -> Self {
        let mut rules = Self::default();
        for rule in library {
            rules.put(rule);
        }
        for rule in own {
            rules.own.insert(rule.id.clone());
            rules.put(rule);
        }
        if off.is_empty() { rules } else { rules.without(off) }
    }

    /// The same without those that the user has switched off.
    #[must_use]
    pub fn without(mut self, off: &HashSet<RuleId>) -> Self {
        self.all.retain(|rule| !off.contains(&rule.id));
        self.at = self.all.iter().enumerate().map(|(n, rule)| (rule.id.clone(), n)).collect();
        self
    }

    fn put(&mut self, rule: Rule) {
        if let Some(at) = self.at.get(&rule.id) {
            self.all[*at] = rule;
        } else {
            self.at.insert(rule.id.clone(), self.all.len());
            self.all.push(rule);
        }
    }

    /// All of them, in the order in which they came.
    #[must_use]
    pub fn all(&self) -> &[Rule] {
        &self.all
    }

    /// The rule with this id.
    #[must_use]
    pub fn get(&self, id: &RuleId) -> Option<&Rule> {
        self.at.get(id).map(|at| &self.all[*at])
    }

    /// Whether the rule is the user's own.
    #[must_use]
    pub fn is_own(&self, id: &RuleId) -> bool {
        self.own.contains(id) && self.at.contains_key(id)
    }

    /// The rules in force that contradict this one, whichever of the two says so.
    #[must_use]
    pub fn against(&self, rule: &Rule) -> Vec<&Rule> {
        let says = |a: &Rule, b: &Rule| a.conflicts.contains(&b.id);
        self.all
            .iter()
            .filter(|other| other.id != rule.id && (says(rule, other) || says(other, rule)))
            .collect()
    }
}

/// What is wrong with a rule.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum RuleProblem {
    /// A rule stands twice.
    #[error("the rule {0} stands twice.")]
    Twice(RuleId),
    /// A rule has no source.
    #[error("the rule {0} names no source.")]
    NoSource(RuleId),
    /// A kind that is not in the vocabulary.
    #[error("the rule {rule} names the kind {kind}, which is not in the vocabulary.")]
    NoSuchKind {
        /// The rule.
        rule: RuleId,
        /// The kind.
        kind: KindId,
    },
    /// A trait that is not in the vocabulary.
    #[error("the rule {rule} names the trait {wanted}, which is not in the vocabulary.")]
    NoSuchTrait {
        /// The rule.
        rule: RuleId,
        /// The trait.
        wanted: TraitId,
    },
    /// It contradicts a rule that is not there, or itself.
    #[error("the rule {rule} contradicts {other}, which is no other rule.")]
    NoSuchRule {
        /// The rule.
        rule: RuleId,
        /// What it names.
        other: RuleId,
    },
    /// It is met by something that is no other demand.
    #[error("the rule {rule} is met by {other}, which is no other rule of its sort.")]
    NoSuchDemand {
        /// The rule.
        rule: RuleId,
        /// What it names.
        other: RuleId,
    },
    /// A window is there where none belongs, or missing where one must be.
    #[error("the rule {0} has a window and needs none, or needs one and has none.")]
    Window(RuleId),
    /// An expected range with no bound, or with its bounds the wrong way round.
    #[error("the rule {0} expects a range that holds nothing or everything.")]
    Range(RuleId),
}

/// What is wrong with a list of rules, held against a vocabulary.
#[must_use]
pub fn check_rules(rules: &[Rule], vocabulary: &Vocabulary) -> Vec<RuleProblem> {
    let ids: HashSet<&RuleId> = rules.iter().map(|rule| &rule.id).collect();
    let mut seen = HashSet::new();
    let mut problems = Vec::new();
    for rule in rules {
        let id = &rule.id;
        if !seen.insert(id) {
            problems.push(RuleProblem::Twice(id.clone()));
        }
        if rule.sources.is_empty() {
            problems.push(RuleProblem::NoSource(id.clone()));
        }
        for kind in rule.kinds_named().filter(|kind| vocabulary.kind(kind).is_none()) {
            let (rule, kind) = (id.clone(), kind.clone());
            problems.push(RuleProblem::NoSuchKind { rule, kind });
        }
        let traits = rule.for_parts.traits.iter().chain(&rule.for_parts.unless);
        for wanted in traits.filter(|wanted| vocabulary.trait_word(wanted).is_none()) {
            let (rule, wanted) = (id.clone(), wanted.clone());
            problems.push(RuleProblem::NoSuchTrait { rule, wanted });
        }
        for other in rule.conflicts.iter().filter(|other| !ids.contains(other) || *other == id) {
            let (rule, other) = (id.clone(), other.clone());
            problems.push(RuleProblem::NoSuchRule { rule, other });
        }
        if let What::BeforeTakingOut { met_by, .. } = &rule.what {
            let is_demand = |wanted: &RuleId| {
                let mut others = rules.iter().filter(|other| other.id == *wanted && wanted != id);
                others.any(|other| matches!(other.what, What::BeforeTakingOut { .. }))
            };
            for other in met_by.iter().filter(|other| !is_demand(other)) {
                let (rule, other) = (id.clone(), other.clone());
                problems.push(RuleProblem::NoSuchDemand { rule, other });
            }
        }
        if rule.window.is_some() != rule.what.is_work() {
            problems.push(RuleProblem::Window(id.clone()));
        }
        if let What::Check { expected: Some(range), .. } = &rule.what {
            let sound = match (range.low, range.high) {
                (Some(low), Some(high)) => low <= high,
                (low, high) => low.or(high).is_some_and(f64::is_finite),
            };
            if !sound {
                problems.push(RuleProblem::Range(id.clone()));
            }
        }
    }
    problems
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Closes, Expected, ForParts, Once, Opens, Reach, Source, Window};

    fn caution(id: &str) -> Rule {
        let text = "Mind the hairspring.".to_owned();
        Rule {
            id: RuleId::new(id).unwrap(),
            for_parts: ForParts::default(),
            once: Once::EachPart,
            what: What::Caution { text, at: crate::CautionAt::InHand },
            window: None,
            reach: Reach::OwnSide,
            sources: vec![Source::CommonPractice],
            conflicts: Vec::new(),
        }
    }

    fn found(rule: Rule) -> Vec<RuleProblem> {
        check_rules(&[rule], &Vocabulary::default())
    }

    #[test]
    fn a_sound_rule_has_no_problem_and_each_fault_is_found() {
        assert_eq!(found(caution("a")), []);
        let id = RuleId::new("a").unwrap();
        assert_eq!(
            check_rules(&[caution("a"), caution("a")], &Vocabulary::default()),
            [RuleProblem::Twice(id.clone())]
        );
        let no_source = Rule { sources: Vec::new(), ..caution("a") };
        assert_eq!(found(no_source), [RuleProblem::NoSource(id.clone())]);
        let against_itself = Rule { conflicts: vec![id.clone()], ..caution("a") };
        let other = id.clone();
        assert_eq!(found(against_itself), [RuleProblem::NoSuchRule { rule: id.clone(), other }]);

        let demand = |id: &str, met_by: &[&str]| {
            let demand = "Let the mainspring down.".to_owned();
            let met_by = met_by.iter().map(|id| RuleId::new(id).unwrap()).collect();
            Rule { what: What::BeforeTakingOut { demand, met_by }, ..caution(id) }
        };
        let both = [demand("a", &["b"]), demand("b", &["a"])];
        assert_eq!(check_rules(&both, &Vocabulary::default()), []);
        for nothing in ["a", "b", "c"] {
            let other = RuleId::new(nothing).unwrap();
            let rules = [demand("a", &[nothing]), caution("b")];
            let wrong = [RuleProblem::NoSuchDemand { rule: id.clone(), other }];
            assert_eq!(check_rules(&rules, &Vocabulary::default()), wrong);
        }

        let kind = KindId::new("wheel").unwrap();
        let window = Some(Window {
            opens: Opens::KindsPlaced(vec![kind.clone()]),
            closes: Closes::BeforeCovered,
        });
        let windowed = Rule { window, ..caution("a") };
        let no_kind = RuleProblem::NoSuchKind { rule: id.clone(), kind };
        assert_eq!(found(windowed), [no_kind, RuleProblem::Window(id.clone())]);

        let mut of_trait = caution("a");
        let wanted = TraitId::new("capped-jewel").unwrap();
        of_trait.for_parts.unless = vec![wanted.clone()];
        let no_trait = RuleProblem::NoSuchTrait { rule: id.clone(), wanted };
        assert_eq!(found(of_trait), [no_trait]);

        let check = |low: Option<f64>, high: Option<f64>| {
            let question = "How much?".to_owned();
            let expected = Some(Expected { low, high, unit: "mm".to_owned() });
            let window = Some(Window { opens: Opens::Placed, closes: Closes::BeforeCovered });
            let what = What::Check { question, expected, order: 1, under_power: false };
            Rule { what, window, ..caution("a") }
        };
        assert_eq!(found(check(Some(0.01), Some(0.05))), []);
        assert_eq!(found(check(None, Some(0.05))), []);
        for (low, high) in [(None, None), (Some(0.05), Some(0.01)), (Some(f64::NAN), None)] {
            assert_eq!(found(check(low, high)), [RuleProblem::Range(id.clone())]);
        }
    }
}
