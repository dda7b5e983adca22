//! What is wrong with a file: where, with which entry, and what to do about it.

use rebuild::{KindId, RuleId, RuleProblem, TraitId, VocabularyProblem};
use std::fmt;
use std::sync::Arc;
use thiserror::Error;

/// Something wrong in a file, with its place.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("{file}, line {line}{of}: {wrong}", of = Of(entry.as_deref()))]
pub struct Problem {
    /// The name of the file, as it was given.
    pub file: Arc<str>,
    /// The line, counted from 1: that of the fault, or the first line of its entry.
    pub line: usize,
    /// The entry: "rule oil-my-wheel"; none where the fault is in no entry or its id is not known.
    pub entry: Option<String>,
    /// What is wrong.
    pub wrong: Wrong,
}

/// The entry as it stands in a sentence.
struct Of<'a>(Option<&'a str>);

impl fmt::Display for Of<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.map_or(Ok(()), |entry| write!(f, ", {entry}"))
    }
}

/// What is wrong. Each says what to do.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum Wrong {
    /// The file is larger than any list of rules that a person writes.
    #[error("the file has {bytes} bytes, and {most} are the most; split it.", most = crate::MOST_BYTES)]
    TooLong {
        /// How large it is.
        bytes: usize,
    },
    /// The text is not TOML.
    #[error("this is not TOML ({0}); until the line is mended, nothing of the file counts.")]
    NotToml(String),
    /// A section that does not exist.
    #[error("there is no section or key \"{0}\" here; write kind, trait, rule or family.")]
    NoSuchSection(String),
    /// An entry cannot be read: an unknown key, a missing one, a word or value that does not fit.
    #[error("{0}; mend it, and the entry will count.")]
    Entry(String),
    /// What is wrong between words.
    #[error("{} {}", .0, advice_on_words(.0))]
    Words(#[from] VocabularyProblem),
    /// What is wrong with a rule.
    #[error("{} {}", .0, advice_on_rule(.0))]
    Rule(#[from] RuleProblem),
    /// A rule contradicts another, which does not say so.
    #[error("it contradicts {other}, which does not name it; write it under its conflicts, too.")]
    OneSided {
        /// The rule that should name it.
        other: RuleId,
    },
}

fn advice_on_words(problem: &VocabularyProblem) -> &'static str {
    match problem {
        VocabularyProblem::KindTwice(_) | VocabularyProblem::TraitTwice(_) => {
            "Give one of the two another id, or take it out."
        }
        VocabularyProblem::NoSuchTrait { .. } => "Add the trait, or mend its spelling.",
        VocabularyProblem::WordTwice { .. } => {
            "Leave the word to one of them, or add to it which one is meant."
        }
        VocabularyProblem::Empty(_) => "Write a name, and say in a sentence what it is.",
    }
}

fn advice_on_rule(problem: &RuleProblem) -> &'static str {
    match problem {
        RuleProblem::Twice(_) => "Give one of the two another id, or take it out.",
        RuleProblem::NoSource(_) => {
            "Say under sources who says so: a text with its place, \"common practice\" or \"from memory\"."
        }
        RuleProblem::NoSuchKind { .. } => "Add the kind, or mend its spelling.",
        RuleProblem::NoSuchTrait { .. } => "Add the trait, or mend its spelling.",
        RuleProblem::NoSuchRule { .. } => "Mend the spelling, or take it out of the conflicts.",
        RuleProblem::NoSuchDemand { .. } => "Mend the spelling, or take it out of met-by.",
        RuleProblem::Window(_) => {
            "Write from and until for what is oiled, treated or checked, and only there."
        }
        RuleProblem::Range(_) => "Write low and high in this order, or one of them.",
    }
}

/// An entry, as it is named to a person.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(crate) enum Name {
    Kind(KindId),
    Trait(TraitId),
    Rule(RuleId),
}

impl fmt::Display for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Kind(id) => write!(f, "kind {id}"),
            Self::Trait(id) => write!(f, "trait {id}"),
            Self::Rule(id) => write!(f, "rule {id}"),
        }
    }
}
