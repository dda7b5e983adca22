//! What is wrong between entries: words that mean two kinds, kinds that do not exist, rules that
//! nobody vouches for.

use crate::problem::{Name, Problem, Wrong};
use crate::sheet::Sheet;
use rebuild::{
    Rule, RuleId, RuleProblem, Vocabulary, VocabularyProblem, check_rules, check_vocabulary,
};
use std::collections::{HashMap, HashSet};
use std::hash::Hash;

/// What is wrong with the entries of `own`, held against those of `base`, which they replace where
/// they have the same id. What is wrong with `base` alone is not reported.
pub(crate) fn check(base: &Sheet, own: &Sheet) -> Vec<(Name, Problem)> {
    let kinds = over(&base.kinds, &own.kinds, |kind| &kind.id);
    let traits = over(&base.traits, &own.traits, |word| &word.id);
    let rules = over(&base.rules, &own.rules, |rule| &rule.id);
    let mut found: Vec<(Name, Wrong)> = check_vocabulary(&kinds, &traits)
        .into_iter()
        .filter_map(|problem| Some((of_words(&problem)?, problem.into())))
        .collect();
    let vocabulary = Vocabulary::new(kinds, traits);
    found.extend(
        check_rules(&rules, &vocabulary)
            .into_iter()
            .map(|problem| (of_rule(&problem), problem.into())),
    );
    found.extend(one_sided(&own.rules));
    found
        .into_iter()
        .filter_map(|(name, wrong)| {
            let problem = own.problem(&name, wrong)?;
            Some((name, problem))
        })
        .collect()
}

/// The entries of `base` that are not replaced, then those of `own`.
fn over<T: Clone, Id: Eq + Hash>(base: &[T], own: &[T], id: impl Fn(&T) -> &Id) -> Vec<T> {
    let replaced: HashSet<&Id> = own.iter().map(&id).collect();
    base.iter().filter(|entry| !replaced.contains(id(entry))).chain(own).cloned().collect()
}

/// The entry that a problem of words is about. Empty names are refused when an entry is read, so
/// that nothing is said of them here.
fn of_words(problem: &VocabularyProblem) -> Option<Name> {
    match problem {
        VocabularyProblem::KindTwice(kind)
        | VocabularyProblem::NoSuchTrait { kind, .. }
        | VocabularyProblem::WordTwice { second: kind, .. } => Some(Name::Kind(kind.clone())),
        VocabularyProblem::TraitTwice(word) => Some(Name::Trait(word.clone())),
        VocabularyProblem::Empty(_) => None,
    }
}

fn of_rule(problem: &RuleProblem) -> Name {
    match problem {
        RuleProblem::Twice(rule)
        | RuleProblem::NoSource(rule)
        | RuleProblem::NoSuchKind { rule, .. }
        | RuleProblem::NoSuchTrait { rule, .. }
        | RuleProblem::NoSuchRule { rule, .. }
        | RuleProblem::NoSuchDemand { rule, .. }
        | RuleProblem::Window(rule)
        | RuleProblem::Range(rule) => Name::Rule(rule.clone()),
    }
}

/// Rules that contradict a rule of the same files which does not name them. A person's own rule may
/// contradict one of the library's, which cannot know of it.
fn one_sided(rules: &[Rule]) -> Vec<(Name, Wrong)> {
    let by_id: HashMap<&RuleId, &Rule> = rules.iter().map(|rule| (&rule.id, rule)).collect();
    let mut found = Vec::new();
    for rule in rules {
        for other in &rule.conflicts {
            let silent = by_id.get(other).is_some_and(|it| !it.conflicts.contains(&rule.id));
            if silent && *other != rule.id {
                found.push((Name::Rule(rule.id.clone()), Wrong::OneSided { other: other.clone() }));
            }
        }
    }
    found
}
