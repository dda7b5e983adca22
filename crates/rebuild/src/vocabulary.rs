//! The words for parts: kinds with the other words that people use for them, and the traits that
//! matter for the work.

use crate::wordlist::wordlist;
use crate::{KindId, TraitId};
use std::collections::HashMap;
use thiserror::Error;

wordlist! {
    /// What a kind of part belongs to.
    pub enum Family {
        /// Plates, bridges, cocks, pillars, jewels and their settings.
        Frame = "frame", "frame";
        /// Barrel, mainspring, arbor, fusee and chain.
        Power = "power", "power";
        /// The wheels from the barrel to the escapement.
        GoingTrain = "going-train", "going train";
        /// Escape wheel, fork or detent, bankings.
        Escapement = "escapement", "escapement";
        /// Balance, hairspring, regulator.
        Balance = "balance", "balance";
        /// Ratchet, click, crown wheel, stem, clutch, setting lever, yoke.
        WindingAndSetting = "winding-and-setting", "winding and setting";
        /// Cannon pinion, minute wheel, hour wheel, hands.
        MotionWork = "motion-work", "motion work";
        /// Rotor and what winds from it.
        AutomaticWork = "automatic-work", "automatic work";
        /// Date, day, month, moon.
        Calendar = "calendar", "calendar";
        /// What starts, stops, counts and returns to zero.
        Chronograph = "chronograph", "chronograph";
        /// Hammers, gongs, racks and alarm work.
        Striking = "striking", "striking and alarm";
        /// The case, its glass, gaskets, crown, pushers, and the dial.
        Case = "case", "case and dial";
        /// All else.
        Other = "other", "other";
    }
}

/// A kind of part.
#[derive(Debug, Clone, PartialEq)]
pub struct PartKind {
    /// Its id.
    pub id: KindId,
    /// The usual word, in the singular: "escape wheel".
    pub name: String,
    /// Other words that people use for it.
    pub other_words: Vec<String>,
    /// What it belongs to.
    pub family: Family,
    /// What it is, in a sentence.
    pub definition: String,
    /// Traits that are worth asking for when such a part is entered.
    pub ask: Vec<TraitId>,
}

/// Something about a part that rules depend on.
#[derive(Debug, Clone, PartialEq)]
pub struct TraitWord {
    /// Its id.
    pub id: TraitId,
    /// In words, as it is shown beside a part: "capped jewel".
    pub name: String,
    /// What to look for, in a sentence.
    pub definition: String,
}

/// What is wrong with a list of words.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum VocabularyProblem {
    /// A kind stands twice.
    #[error("the kind {0} stands twice.")]
    KindTwice(KindId),
    /// A trait stands twice.
    #[error("the trait {0} stands twice.")]
    TraitTwice(TraitId),
    /// A kind asks for a trait that is not there.
    #[error("the kind {kind} asks for the trait {wanted}, which is not in the list.")]
    NoSuchTrait {
        /// The kind.
        kind: KindId,
        /// The trait it asks for.
        wanted: TraitId,
    },
    /// One word means two kinds.
    #[error("\"{word}\" stands for both {first} and {second}.")]
    WordTwice {
        /// The word.
        word: String,
        /// The kind that has it already.
        first: KindId,
        /// The other.
        second: KindId,
    },
    /// A name or a definition is empty.
    #[error("{0} has no name or no definition.")]
    Empty(String),
}

/// All kinds and traits, looked up by id or by the beginning of a word.
#[derive(Debug, Clone, Default)]
pub struct Vocabulary {
    kinds: Vec<PartKind>,
    traits: Vec<TraitWord>,
    kind_at: HashMap<KindId, usize>,
    trait_at: HashMap<TraitId, usize>,
}

/// A kind that fits what was typed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Suggestion<'a> {
    /// The kind.
    pub kind: &'a PartKind,
    /// The word that fitted: its name or one of the other words for it.
    pub word: &'a str,
}

/// In what way a word fits what was typed; the better, the smaller.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Fit {
    Whole,
    Beginning,
    BeginningOfAWord,
    Inside,
}

impl Vocabulary {
    /// From lists of kinds and traits. Where an id stands twice, the later one counts.
    #[must_use]
    pub fn new(kinds: Vec<PartKind>, traits: Vec<TraitWord>) -> Self {
        let mut all = Self::default();
        kinds.into_iter().for_each(|kind| all.put_kind(kind));
        traits.into_iter().for_each(|word| all.put_trait(word));
        all
    }

    /// With the user's own kinds and traits: the same id replaces, others are added.
    #[must_use]
    pub fn with(mut self, kinds: Vec<PartKind>, traits: Vec<TraitWord>) -> Self {
        kinds.into_iter().for_each(|kind| self.put_kind(kind));
        traits.into_iter().for_each(|word| self.put_trait(word));
        self
    }

    fn put_kind(&mut self, kind: PartKind) {
        if let Some(at) = self.kind_at.get(&kind.id) {
            self.kinds[*at] = kind;
        } else {
            self.kind_at.insert(kind.id.clone(), self.kinds.len());
            self.kinds.push(kind);
        }
    }

    fn put_trait(&mut self, word: TraitWord) {
        if let Some(at) = self.trait_at.get(&word.id) {
            self.traits[*at] = word;
        } else {
            self.trait_at.insert(word.id.clone(), self.traits.len());
            self.traits.push(word);
        }
    }

    /// All kinds, in the order in which they came.
    #[must_use]
    pub fn kinds(&self) -> &[PartKind] {
        &self.kinds
    }

    /// All traits, in the order in which they came.
    #[must_use]
    pub fn traits(&self) -> &[TraitWord] {
        &self.traits
    }

    /// The kind with this id.
    #[must_use]
    pub fn kind(&self, id: &KindId) -> Option<&PartKind> {
        self.kind_at.get(id).map(|at| &self.kinds[*at])
    }

    /// The trait with this id.
    #[must_use]
    pub fn trait_word(&self, id: &TraitId) -> Option<&TraitWord> {
        self.trait_at.get(id).map(|at| &self.traits[*at])
    }

    /// Kinds that fit what was typed so far, the best first, each once: whole words before
    /// beginnings, beginnings before what stands inside; names before other words. Capitals and
    /// hyphens do not count. Nothing for nothing typed.
    #[must_use]
    pub fn suggest(&self, typed: &str, most: usize) -> Vec<Suggestion<'_>> {
        let typed = plain(typed);
        if typed.is_empty() {
            return Vec::new();
        }
        let mut found: Vec<(Fit, bool, usize, &str)> = Vec::new();
        for (at, kind) in self.kinds.iter().enumerate() {
            let words = std::iter::once(&kind.name).chain(&kind.other_words);
            let best = words
                .enumerate()
                .filter_map(|(n, word)| Some((fit(&plain(word), &typed)?, n > 0, word.as_str())))
                .min_by_key(|(how, other, _)| (*how, *other));
            if let Some((how, other, word)) = best {
                found.push((how, other, at, word));
            }
        }
        found.sort_by_key(|(how, other, at, _)| (*how, *other, *at));
        found.truncate(most);
        found
            .into_iter()
            .map(|(_, _, at, word)| Suggestion { kind: &self.kinds[at], word })
            .collect()
    }
}

/// What is wrong with lists of kinds and traits before they are put together.
#[must_use]
pub fn check_vocabulary(kinds: &[PartKind], traits: &[TraitWord]) -> Vec<VocabularyProblem> {
    let mut problems = Vec::new();
    let mut trait_seen = std::collections::HashSet::new();
    for word in traits {
        if !trait_seen.insert(&word.id) {
            problems.push(VocabularyProblem::TraitTwice(word.id.clone()));
        }
        if word.name.trim().is_empty() || word.definition.trim().is_empty() {
            problems.push(VocabularyProblem::Empty(word.id.to_string()));
        }
    }
    let mut kind_seen = std::collections::HashSet::new();
    let mut meaning: HashMap<String, &KindId> = HashMap::new();
    for kind in kinds {
        if !kind_seen.insert(&kind.id) {
            problems.push(VocabularyProblem::KindTwice(kind.id.clone()));
        }
        if kind.name.trim().is_empty() || kind.definition.trim().is_empty() {
            problems.push(VocabularyProblem::Empty(kind.id.to_string()));
        }
        for wanted in kind.ask.iter().filter(|wanted| !trait_seen.contains(wanted)) {
            let (kind, wanted) = (kind.id.clone(), wanted.clone());
            problems.push(VocabularyProblem::NoSuchTrait { kind, wanted });
        }
        for word in std::iter::once(&kind.name).chain(&kind.other_words) {
            let first = *meaning.entry(plain(word)).or_insert(&kind.id);
            if *first != kind.id {
                problems.push(VocabularyProblem::WordTwice {
                    word: word.clone(),
                    first: first.clone(),
                    second: kind.id.clone(),
                });
            }
        }
    }
    problems
}

/// Lower case, hyphens as blanks, single blanks.
fn plain(text: &str) -> String {
    let text = text.to_lowercase().replace('-', " ");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn fit(word: &str, typed: &str) -> Option<Fit> {
    if word == typed {
        Some(Fit::Whole)
    } else if word.starts_with(typed) {
        Some(Fit::Beginning)
    } else if word.contains(&format!(" {typed}")) {
        Some(Fit::BeginningOfAWord)
    } else if typed.chars().count() >= 3 && word.contains(typed) {
        Some(Fit::Inside)
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kind(id: &str, name: &str, other: &[&str]) -> PartKind {
        PartKind {
            id: KindId::new(id).unwrap(),
            name: name.to_owned(),
            other_words: other.iter().map(|word| (*word).to_owned()).collect(),
            family: Family::Other,
            definition: "a part".to_owned(),
            ask: Vec::new(),
        }
    }

    fn some() -> Vocabulary {
        Vocabulary::new(
            vec![
                kind("pallet-fork", "pallet fork", &["lever", "pallets"]),
                kind("setting-lever", "setting lever", &["detent lever", "pull-out piece"]),
                kind("escape-wheel", "escape wheel", &["'scape wheel"]),
            ],
            Vec::new(),
        )
    }

    #[test]
    fn other_words_find_a_kind_and_whole_words_come_first() {
        let all = some();
        let ids = |typed: &str| -> Vec<&str> {
            all.suggest(typed, 9).iter().map(|found| found.kind.id.as_str()).collect()
        };
        assert_eq!(ids("Lever"), ["pallet-fork", "setting-lever"]);
        assert_eq!(ids("pull out"), ["setting-lever"]);
        assert_eq!(ids("scape"), ["escape-wheel"]);
        assert_eq!(ids(" "), [""; 0]);
        assert_eq!(all.suggest("lever", 1)[0].word, "lever");
    }

    #[test]
    fn the_users_kind_replaces_and_adds() {
        let own = vec![
            kind("escape-wheel", "escape wheel, ours", &[]),
            kind("tourbillon", "carriage", &[]),
        ];
        let all = some().with(own, Vec::new());
        assert_eq!(all.kinds().len(), 4);
        assert_eq!(
            all.kind(&KindId::new("escape-wheel").unwrap()).unwrap().name,
            "escape wheel, ours"
        );
    }

    #[test]
    fn a_word_for_two_kinds_is_found() {
        let kinds = vec![kind("a", "click", &[]), kind("b", "pawl", &["Click"])];
        assert_eq!(
            check_vocabulary(&kinds, &[]),
            [VocabularyProblem::WordTwice {
                word: "Click".to_owned(),
                first: KindId::new("a").unwrap(),
                second: KindId::new("b").unwrap(),
            }]
        );
    }
}
