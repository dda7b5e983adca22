//! A document as the values that the layout reads.

use crate::document::{
    Block, Cell, Chapter, Document, Fact, Letterhead, Paper, Picture, Side, Table, Tone, Width,
};
use crate::fonts::Fonts;
use crate::pictures;
use std::collections::BTreeSet;
use typst::foundations::{Array, Bytes, Dict, IntoValue, Str, Value};

/// What is shown for a letter that no font has.
const NOT_SHOWN: char = '\u{FFFD}';

/// Turns a document into values; remembers what could not be taken over as it is.
pub(crate) struct Values<'a> {
    fonts: &'a Fonts,
    pub(crate) pictures: Vec<(String, Bytes)>,
    pub(crate) not_shown: BTreeSet<char>,
    pub(crate) unreadable: Vec<String>,
}

impl<'a> Values<'a> {
    pub(crate) fn new(fonts: &'a Fonts) -> Self {
        Self { fonts, pictures: Vec::new(), not_shown: BTreeSet::new(), unreadable: Vec::new() }
    }

    pub(crate) fn document(&mut self, it: &Document) -> Dict {
        let (lang, region) = language(&it.language);
        dict([
            (
                "paper",
                text_of(match it.paper {
                    Paper::A4 => "a4",
                    Paper::Letter => "us-letter",
                }),
            ),
            ("lang", text_of(lang)),
            ("region", region.map_or(Value::None, text_of)),
            ("fonts", array(self.fonts.families().iter().map(|name| text_of(name)))),
            ("letterhead", self.letterhead(&it.letterhead)),
            ("title", self.text(&it.title)),
            ("subtitle", self.text(&it.subtitle)),
            ("facts", self.facts(&it.facts)),
            ("chapters", array(it.chapters.iter().map(|chapter| self.chapter(chapter)))),
            ("foot", self.text(&it.foot)),
            ("page-word", self.text(&it.words.page)),
            ("of-word", self.text(&it.words.of)),
            ("no-picture", self.text(&it.words.no_picture)),
            (
                "date",
                dict([
                    ("year", i64::from(it.date.year).into_value()),
                    ("month", i64::from(it.date.month).into_value()),
                    ("day", i64::from(it.date.day).into_value()),
                ])
                .into_value(),
            ),
        ])
    }

    fn letterhead(&mut self, it: &Letterhead) -> Value {
        dict([
            ("name", self.text(&it.name)),
            ("lines", self.texts(&it.lines)),
            ("logo", it.logo.as_ref().map_or(Value::None, |logo| self.picture(logo))),
        ])
        .into_value()
    }

    fn chapter(&mut self, it: &Chapter) -> Value {
        dict([
            ("title", self.text(&it.title)),
            ("new-page", it.new_page.into_value()),
            ("blocks", array(it.blocks.iter().map(|block| self.block(block)))),
        ])
        .into_value()
    }

    fn block(&mut self, it: &Block) -> Value {
        let (kind, value) = match it {
            Block::Heading(words) => ("heading", self.text(words)),
            Block::Text(words) => ("text", self.text(words)),
            Block::Note(words) => ("note", self.text(words)),
            Block::Remark(tone, words) => ("remark", self.remark(*tone, words)),
            Block::Facts(facts) => ("facts", self.facts(facts)),
            Block::List(things) => ("list", self.texts(things)),
            Block::Steps(steps) => ("steps", self.texts(steps)),
            Block::Table(table) => ("table", self.table(table)),
            Block::Picture(picture) => ("picture", self.picture(picture)),
            Block::Photos(photos) => {
                ("photos", array(photos.iter().map(|photo| self.picture(photo))))
            }
            Block::Signatures(below) => ("signatures", self.texts(below)),
        };
        array([text_of(kind), value])
    }

    fn remark(&mut self, tone: Tone, words: &str) -> Value {
        let tone = match tone {
            Tone::Good => "good",
            Tone::Mind => "mind",
            Tone::Caution => "caution",
        };
        dict([("tone", text_of(tone)), ("words", self.text(words))]).into_value()
    }

    fn facts(&mut self, facts: &[Fact]) -> Value {
        array(facts.iter().map(|fact| array([self.text(&fact.name), self.text(&fact.value)])))
    }

    fn table(&mut self, it: &Table) -> Value {
        let columns = it.columns.iter().map(|column| {
            let side = match column.side {
                Side::Start => "start",
                Side::End => "end",
            };
            let width = match column.width {
                Width::AsItsCells => "cells",
                Width::AsTheLongestDay => "day",
                Width::WhatIsLeft => "left",
            };
            dict([
                ("title", self.text(&column.title)),
                ("side", text_of(side)),
                ("width", text_of(width)),
            ])
            .into_value()
        });
        let columns = array(columns);
        let width = it.columns.len();
        let rows = it.rows.iter().map(|row| {
            let missing = std::iter::repeat_with(|| Cell::plain("")).take(width);
            let cells: Vec<Cell> = row.iter().cloned().chain(missing).take(width).collect();
            array(cells.iter().map(|cell| {
                dict([("text", self.text(&cell.text)), ("strong", cell.strong.into_value())])
                    .into_value()
            }))
        });
        let rows = array(rows);
        dict([
            ("caption", self.text(&it.caption)),
            ("columns", columns),
            ("rows", rows),
            ("dense", it.is_dense.into_value()),
        ])
        .into_value()
    }

    /// A picture under a name of its own. One that cannot be drawn has no file: the layout says so
    /// in its place.
    fn picture(&mut self, it: &Picture) -> Value {
        let bytes = Bytes::new(it.bytes.clone());
        let file = match pictures::readable(&bytes) {
            Some(ending) => {
                let name = format!("picture-{}.{ending}", self.pictures.len());
                self.pictures.push((name.clone(), bytes));
                text_of(&name)
            }
            None => {
                let name = if it.caption.is_empty() { &it.words } else { &it.caption };
                self.unreadable.push(name.clone());
                Value::None
            }
        };
        dict([("file", file), ("words", self.text(&it.words)), ("caption", self.text(&it.caption))])
            .into_value()
    }

    fn texts(&mut self, all: &[String]) -> Value {
        array(all.iter().map(|one| self.text(one)))
    }

    /// Text that can be shown: letters that no font has become a mark, controls but for the line
    /// break go.
    fn text(&mut self, words: &str) -> Value {
        let mut shown = String::with_capacity(words.len());
        for c in words.chars() {
            match c {
                '\n' => shown.push(c),
                '\t' | '\u{2028}' | '\u{2029}' => shown.push(' '),
                _ if c.is_control() => {}
                _ if is_unseen(c) || c == ' ' || self.fonts.have(c) => shown.push(c),
                _ => {
                    self.not_shown.insert(c);
                    shown.push(NOT_SHOWN);
                }
            }
        }
        shown.into_value()
    }
}

/// Marks that steer how text is joined and in which direction it runs; fonts need not have them
/// (Unicode, `Default_Ignorable_Code_Point`, the ones that text in use has).
fn is_unseen(c: char) -> bool {
    matches!(c, '\u{AD}' | '\u{61C}' | '\u{200B}'..='\u{200F}' | '\u{202A}'..='\u{202E}'
        | '\u{2060}'..='\u{2069}' | '\u{FE00}'..='\u{FE0F}' | '\u{FEFF}')
}

/// Language and region of a BCP 47 tag, where they are of the lengths that the typesetter knows.
fn language(tag: &str) -> (&str, Option<&str>) {
    let mut parts = tag.split('-');
    let letters = |part: &str, lengths: &[usize]| {
        lengths.contains(&part.len()) && part.bytes().all(|b| b.is_ascii_alphabetic())
    };
    let lang = parts.next().filter(|part| letters(part, &[2, 3])).unwrap_or("en");
    (lang, parts.next_back().filter(|part| letters(part, &[2])))
}

fn text_of(words: &str) -> Value {
    Str::from(words).into_value()
}

fn array(values: impl IntoIterator<Item = Value>) -> Value {
    values.into_iter().collect::<Array>().into_value()
}

fn dict<const N: usize>(entries: [(&str, Value); N]) -> Dict {
    entries.into_iter().map(|(name, value)| (Str::from(name), value)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_language_is_taken_from_a_tag() {
        assert_eq!(language("en"), ("en", None));
        assert_eq!(language("de-CH"), ("de", Some("CH")));
        assert_eq!(language("zh-Hant-TW"), ("zh", Some("TW")));
        assert_eq!(language("in words"), ("en", None));
        assert_eq!(language(""), ("en", None));
    }
}
