//! What a file holds, and what holds of library and own entries together.

use crate::embedded::library;
use crate::problem::{Name, Problem, Wrong};
use rebuild::{PartKind, Rule, RuleId, Rules, TraitWord, Vocabulary};
use std::collections::{HashMap, HashSet};
use std::sync::Arc;

/// Kinds, traits and rules, in the order in which they stand in their files.
#[derive(Debug, Clone, Default)]
pub struct Sheet {
    /// Kinds of part.
    pub kinds: Vec<PartKind>,
    /// Traits that parts may have.
    pub traits: Vec<TraitWord>,
    /// Rules.
    pub rules: Vec<Rule>,
    /// Where each stands, in which file and line. Of two entries with one id it is the second, which
    /// is the one too many.
    places: HashMap<Name, (Arc<str>, usize)>,
}

/// What could be read, and what was wrong with the rest.
#[derive(Debug, Clone, Default)]
pub struct Read {
    /// The entries that hold; one with something wrong is not among them.
    pub sheet: Sheet,
    /// What is wrong, in the order of the lines.
    pub problems: Vec<Problem>,
}

impl Sheet {
    /// The words of this sheet alone.
    #[must_use]
    pub fn vocabulary(&self) -> Vocabulary {
        Vocabulary::new(self.kinds.clone(), self.traits.clone())
    }

    pub(crate) fn note(&mut self, name: Name, file: &Arc<str>, line: usize) {
        self.places.insert(name, (file.clone(), line));
    }

    pub(crate) fn append(&mut self, mut other: Self) {
        self.kinds.append(&mut other.kinds);
        self.traits.append(&mut other.traits);
        self.rules.append(&mut other.rules);
        self.places.extend(other.places);
    }

    /// What is wrong with this entry, with its place; none where it is not of this sheet.
    pub(crate) fn problem(&self, name: &Name, wrong: Wrong) -> Option<Problem> {
        let (file, line) = self.places.get(name)?;
        Some(Problem { file: file.clone(), line: *line, entry: Some(name.to_string()), wrong })
    }

    pub(crate) fn without(mut self, bad: &HashSet<Name>) -> Self {
        let good = |name: Name| !bad.contains(&name);
        self.kinds.retain(|kind| good(Name::Kind(kind.id.clone())));
        self.traits.retain(|word| good(Name::Trait(word.id.clone())));
        self.rules.retain(|rule| good(Name::Rule(rule.id.clone())));
        self.places.retain(|name, _| !bad.contains(name));
        self
    }
}

/// The words and the rules in force: the library's, a person's own over them (the same id
/// replaces), without the rules that were switched off.
#[must_use]
pub fn in_force(own: Sheet, off: &HashSet<RuleId>) -> (Vocabulary, Rules) {
    let vocabulary = library().vocabulary().with(own.kinds, own.traits);
    (vocabulary, Rules::new(library().rules.clone(), own.rules, off))
}
