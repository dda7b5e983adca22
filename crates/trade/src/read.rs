//! From text to entries. One entry that cannot be read does not take the others with it.

use crate::check::check;
use crate::embedded::library;
use crate::entry::{KindEntry, RuleEntry, TraitEntry};
use crate::problem::{Name, Problem, Wrong};
use crate::sheet::Read;
use crate::value::{Code, without_stop};
use rebuild::Family;
use serde::de::DeserializeOwned;
use std::collections::HashSet;
use std::ops::Range;
use std::sync::Arc;
use toml::Spanned;
use toml::de::{DeTable, DeValue, ValueDeserializer};

/// The largest file that is read, in bytes. The whole library is less than a fifth of it.
pub const MOST_BYTES: usize = 1 << 20;

/// Reads what a person wrote, under the name by which they know the file, and holds it against the
/// library. An entry with something wrong is left out and reported; all others hold.
#[must_use]
pub fn own(file: &str, text: &str) -> Read {
    let mut read = parse(file, text);
    let found = check(library(), &read.sheet);
    let (bad, mut wrong): (HashSet<Name>, Vec<Problem>) = found.into_iter().unzip();
    read.sheet = read.sheet.without(&bad);
    read.problems.append(&mut wrong);
    read.problems.sort_by_key(|problem| problem.line);
    read
}

/// Reads a file by itself: what its entries say of each other and of other files is not checked.
pub(crate) fn parse(file: &str, text: &str) -> Read {
    let mut reader =
        Reader { file: file.into(), lines: Lines::of(text), read: Read::default(), family: None };
    if text.len() > MOST_BYTES {
        reader.problem(0, None, Wrong::TooLong { bytes: text.len() });
        return reader.read;
    }
    match DeTable::parse(text) {
        Ok(table) => reader.sections(table.into_inner()),
        Err(why) => {
            let at = why.span().map_or(0, |span| span.start);
            reader.problem(at, None, Wrong::NotToml(in_one_line(why.message())));
        }
    }
    reader.read
}

struct Reader {
    file: Arc<str>,
    lines: Lines,
    read: Read,
    /// That of the kinds in this file that name none.
    family: Option<Family>,
}

impl Reader {
    fn sections(&mut self, mut table: DeTable<'_>) {
        if let Some(family) = table.remove("family") {
            let at = family.span();
            self.family = self.value::<Code<Family>>(family, &at, None).map(|Code(family)| family);
        }
        for (section, value) in table {
            let at = section.span();
            match section.get_ref().as_ref() {
                "kind" => self.entries(value, Self::kind),
                "trait" => self.entries(value, Self::word),
                "rule" => self.entries(value, Self::rule),
                other => {
                    let other = in_one_line(other);
                    self.problem(at.start, None, Wrong::NoSuchSection(other));
                }
            }
        }
    }

    /// Every entry of a section, each by itself.
    fn entries<'t>(
        &mut self,
        section: Spanned<DeValue<'t>>,
        read: fn(&mut Self, Spanned<DeValue<'t>>),
    ) {
        let at = section.span();
        match section.into_inner() {
            DeValue::Array(entries) => {
                for entry in entries {
                    read(self, entry);
                }
            }
            _ => {
                let why = "entries begin with a line like [[rule]], in double brackets";
                self.problem(at.start, None, Wrong::Entry(why.to_owned()));
            }
        }
    }

    fn kind(&mut self, value: Spanned<DeValue<'_>>) {
        let (at, name) = (value.span(), named("kind", &value));
        let Some(entry) = self.value::<KindEntry>(value, &at, name.clone()) else { return };
        match entry.into_kind(self.family) {
            Ok(kind) => {
                self.note(Name::Kind(kind.id.clone()), &at);
                self.read.sheet.kinds.push(kind);
            }
            Err(why) => self.problem(at.start, name, Wrong::Entry(why)),
        }
    }

    fn word(&mut self, value: Spanned<DeValue<'_>>) {
        let (at, name) = (value.span(), named("trait", &value));
        let Some(entry) = self.value::<TraitEntry>(value, &at, name) else { return };
        let word = entry.into_trait();
        self.note(Name::Trait(word.id.clone()), &at);
        self.read.sheet.traits.push(word);
    }

    fn rule(&mut self, value: Spanned<DeValue<'_>>) {
        let (at, name) = (value.span(), named("rule", &value));
        let Some(entry) = self.value::<RuleEntry>(value, &at, name.clone()) else { return };
        match entry.into_rule() {
            Ok(rule) => {
                self.note(Name::Rule(rule.id.clone()), &at);
                self.read.sheet.rules.push(rule);
            }
            Err(why) => self.problem(at.start, name, Wrong::Entry(why)),
        }
    }

    /// A value as a type, or a problem.
    fn value<T: DeserializeOwned>(
        &mut self,
        value: Spanned<DeValue<'_>>,
        at: &Range<usize>,
        name: Option<String>,
    ) -> Option<T> {
        match T::deserialize(ValueDeserializer::from(value)) {
            Ok(entry) => Some(entry),
            Err(why) => {
                let place = why.span().map_or(at.start, |span| span.start);
                self.problem(place, name, Wrong::Entry(in_our_words(why.message())));
                None
            }
        }
    }

    fn note(&mut self, name: Name, at: &Range<usize>) {
        let line = self.lines.of_byte(at.start);
        self.read.sheet.note(name, &self.file, line);
    }

    fn problem(&mut self, at: usize, entry: Option<String>, wrong: Wrong) {
        let line = self.lines.of_byte(at);
        self.read.problems.push(Problem { file: self.file.clone(), line, entry, wrong });
    }
}

/// "rule oil-my-wheel", as far as an entry that may not be readable tells.
fn named(section: &str, value: &Spanned<DeValue<'_>>) -> Option<String> {
    let id = value.get_ref().get("id")?.get_ref().as_str()?;
    Some(format!("{section} {}", in_one_line(id)))
}

/// What a library says, or what a person wrote, as part of a sentence.
fn in_one_line(text: &str) -> String {
    let plain: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    without_stop(&plain).chars().take(300).collect()
}

/// What the reader of structures says, with the word that the documents use for it.
fn in_our_words(message: &str) -> String {
    let message = message.replace("unknown field", "unknown key");
    in_one_line(&message.replace("missing field", "missing key"))
}

/// Where the lines of a text begin.
struct Lines(Vec<usize>);

impl Lines {
    fn of(text: &str) -> Self {
        Self(text.match_indices('\n').map(|(at, _)| at + 1).collect())
    }

    /// The line, counted from 1, in which a byte stands.
    fn of_byte(&self, at: usize) -> usize {
        1 + self.0.partition_point(|start| *start <= at)
    }
}
