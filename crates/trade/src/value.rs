//! Values as they stand in the files, each with the sentence that is said where it does not fit.

use rebuild::{
    CautionAt, Closes, Family, KindId, LubricantClass, Once, Opens, Reach, RuleId, TraitId,
};
use serde::de::{Deserialize, Deserializer, Error, SeqAccess, Visitor};
use std::fmt;

/// The longest text of an entry, in characters: a paragraph. What is longer is no rule but a book.
const MOST_CHARACTERS: usize = 1000;

/// A text that is not blank and in one line.
#[derive(Debug)]
pub(crate) struct Text(pub(crate) String);

impl<'de> Deserialize<'de> for Text {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let text = String::deserialize(from)?;
        let text = text.trim();
        if text.is_empty() {
            return Err(D::Error::custom("here a text is wanted, and it is empty"));
        }
        if text.chars().any(char::is_control) {
            return Err(D::Error::custom("a text stands in one line, without tabs"));
        }
        let length = text.chars().count();
        if length > MOST_CHARACTERS {
            return Err(D::Error::custom(format!(
                "the text has {length} characters, and {MOST_CHARACTERS} are the most"
            )));
        }
        Ok(Self(text.to_owned()))
    }
}

/// An id.
#[derive(Debug)]
pub(crate) struct Id<T>(pub(crate) T);

macro_rules! ids {
    ($($id:ident)+) => {$(
        impl<'de> Deserialize<'de> for Id<$id> {
            fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
                let text = String::deserialize(from)?;
                let id = $id::new(&text).map_err(|why| D::Error::custom(without_stop(&why.to_string())))?;
                Ok(Self(id))
            }
        }
    )+};
}

ids! { KindId RuleId TraitId }

/// A sentence as the first part of another.
pub(crate) fn without_stop(sentence: &str) -> &str {
    sentence.trim_end().trim_end_matches('.')
}

/// A word out of a fixed list, by its code.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Code<T>(pub(crate) T);

macro_rules! codes {
    ($($list:ident)+) => {$(
        impl<'de> Deserialize<'de> for Code<$list> {
            fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
                let text = String::deserialize(from)?;
                $list::from_code(&text).map(Self).ok_or_else(|| {
                    let codes: Vec<&str> = $list::ALL.iter().map(|word| word.code()).collect();
                    D::Error::custom(not_among(&text, &codes))
                })
            }
        }
    )+};
}

codes! { Family LubricantClass Once Reach CautionAt }

fn not_among(found: &str, wanted: &[&str]) -> String {
    format!("\"{found}\" is none of {}", wanted.join(", "))
}

/// From when on: `"in-hand"`, `"placed"`, or a list of kinds that must be in.
#[derive(Debug)]
pub(crate) struct From(pub(crate) Opens);

impl<'de> Deserialize<'de> for From {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let words = [("in-hand", Opens::InHand), ("placed", Opens::Placed)];
        from.deserialize_any(WordOrKinds(&words, Opens::KindsPlaced)).map(Self)
    }
}

/// Until when: `"covered"`, `"power"`, `"closing"`, or a list of kinds that go in after it.
#[derive(Debug)]
pub(crate) struct Until(pub(crate) Closes);

impl<'de> Deserialize<'de> for Until {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let words = [
            ("covered", Closes::BeforeCovered),
            ("power", Closes::BeforePower),
            ("closing", Closes::BeforeClosing),
        ];
        from.deserialize_any(WordOrKinds(&words, Closes::BeforeKinds)).map(Self)
    }
}

/// Reads one of some words, or a list of kinds.
struct WordOrKinds<'a, T>(&'a [(&'static str, T)], fn(Vec<KindId>) -> T);

impl<'de, T: Clone> Visitor<'de> for WordOrKinds<'_, T> {
    type Value = T;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let words: Vec<&str> = self.0.iter().map(|(word, _)| *word).collect();
        write!(f, "one of {}, or a list of kinds", words.join(", "))
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<T, E> {
        let found = self.0.iter().find(|(word, _)| *word == text);
        found.map(|(_, value)| value.clone()).ok_or_else(|| {
            let words: Vec<&str> = self.0.iter().map(|(word, _)| *word).collect();
            E::custom(format!("{}, and no list of kinds", not_among(text, &words)))
        })
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<T, A::Error> {
        let mut kinds = Vec::new();
        while let Some(Id(kind)) = list.next_element()? {
            kinds.push(kind);
        }
        if kinds.is_empty() {
            return Err(A::Error::custom("a list of kinds holds one at least"));
        }
        Ok(self.1(kinds))
    }
}
