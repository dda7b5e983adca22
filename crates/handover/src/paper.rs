//! What all papers of a job have in common.

use crate::case::Case;
use crate::kind::Kind;
use jiff::civil::Date;
use jobs::{ConditionState, Moment};
use report::{Block, Cell, Chapter, Column, Document, Fact, PaperWords, Table};

/// A paper with its head and nothing in it yet.
pub(crate) fn paper(case: &Case<'_>, kind: Kind) -> Document {
    let Case { workshop, job, watch, today, .. } = case;
    let number = if job.number == 0 { String::new() } else { format!("Job {}", job.number) };
    let foot = [number.clone(), watch.description.clone(), long_day(*today)];
    Document {
        paper: workshop.paper,
        language: "en".to_owned(),
        letterhead: workshop.letterhead.clone(),
        title: kind.title().to_owned(),
        subtitle: joined(&[watch.description.clone(), number.clone()], " · "),
        facts: facts(case),
        chapters: Vec::new(),
        foot: joined(&foot, " · "),
        words: PaperWords::default(),
        date: day_of(*today),
        identifier: format!("{} of job {} of watch {}", kind.code(), job.number, job.watch),
    }
}

fn facts(case: &Case<'_>) -> Vec<Fact> {
    let Case { owner, watch, job, .. } = case;
    let mut facts = Facts::default();
    if let Some(owner) = owner {
        let lines: Vec<&str> = std::iter::once(owner.name.as_str())
            .chain(owner.contact.iter().map(String::as_str))
            .collect();
        facts.put("For", lines.join("\n"));
    }
    facts.put("Calibre", watch.calibre.clone());
    facts.put("Numbers", watch.serial_numbers.join(", "));
    if let Some(first) = job.moves.first() {
        facts.put("Came in", long_day(case.day(first.at)));
    }
    facts.put("Due", job.due.map(long_day).unwrap_or_default());
    if let Some(handed_over) = job.handed_over {
        facts.put("Handed over", long_day(case.day(handed_over)));
    }
    facts.0
}

/// Facts, without those that say nothing.
#[derive(Default)]
pub(crate) struct Facts(pub(crate) Vec<Fact>);

impl Facts {
    pub(crate) fn put(&mut self, name: &str, value: impl Into<String>) {
        let value = value.into();
        if !value.trim().is_empty() {
            self.0.push(Fact { name: name.to_owned(), value });
        }
    }
}

impl Case<'_> {
    /// The day of a moment, where the workshop is; the day of the paper where the calendar has none.
    pub(crate) fn day(&self, at: Moment) -> Date {
        day_at(at, self.ahead_of_utc_min).unwrap_or(self.today)
    }
}

/// The day of a moment where clocks are so many minutes ahead of UTC; nothing where the calendar has
/// none.
#[must_use]
pub fn day_at(at: Moment, ahead_of_utc_min: i32) -> Option<Date> {
    let at = jiff::Timestamp::from_millisecond(at.ms()).ok()?;
    let offset = jiff::tz::Offset::from_seconds(ahead_of_utc_min * 60).ok()?;
    Some(offset.to_datetime(at).date())
}

/// A day as papers say it: "9 February 2026".
#[must_use]
pub fn long_day(day: Date) -> String {
    day.strftime("%-d %B %Y").to_string()
}

fn day_of(day: Date) -> report::Date {
    // Days and months of a calendar are positive and small.
    report::Date {
        year: i32::from(day.year()),
        month: day.month().unsigned_abs(),
        day: day.day().unsigned_abs(),
    }
}

/// Texts one after the other, without those that are empty.
pub(crate) fn joined(texts: &[String], between: &str) -> String {
    let full: Vec<&str> =
        texts.iter().map(|text| text.trim()).filter(|text| !text.is_empty()).collect();
    full.join(between)
}

/// A chapter, where there is something to say in it.
pub(crate) fn chapter(title: &str, blocks: Vec<Block>) -> Option<Chapter> {
    let chapter = Chapter { title: title.to_owned(), new_page: false, blocks };
    (!chapter.blocks.is_empty()).then_some(chapter)
}

/// Running text, where there is any.
pub(crate) fn text(words: &str) -> Option<Block> {
    (!words.trim().is_empty()).then(|| Block::Text(words.trim().to_owned()))
}

/// A table, without columns in which nothing stands; `None` where it has no rows.
pub(crate) fn table(
    caption: &str,
    columns: impl Into<Vec<Column>>,
    rows: Vec<Vec<Cell>>,
) -> Option<Block> {
    filled(caption, columns.into(), rows, false)
}

/// As [`table`], for what is looked up rather than read.
pub(crate) fn dense_table(
    caption: &str,
    columns: impl Into<Vec<Column>>,
    rows: Vec<Vec<Cell>>,
) -> Option<Block> {
    filled(caption, columns.into(), rows, true)
}

fn filled(
    caption: &str,
    columns: Vec<Column>,
    rows: Vec<Vec<Cell>>,
    is_dense: bool,
) -> Option<Block> {
    let has_words = |at: &usize| {
        rows.iter().any(|row| row.get(*at).is_some_and(|cell| !cell.text.trim().is_empty()))
    };
    let kept: Vec<usize> = (0..columns.len()).filter(has_words).collect();
    let columns = kept.iter().map(|at| columns[*at].clone()).collect();
    let rows = rows.iter().map(|row| kept.iter().filter_map(|at| row.get(*at).cloned()).collect());
    let table = Table { caption: caption.to_owned(), columns, rows: rows.collect(), is_dense };
    (!kept.is_empty()).then_some(Block::Table(table))
}

/// A dense table under a heading; neither where it has no rows.
pub(crate) fn headed(
    heading: &str,
    columns: impl Into<Vec<Column>>,
    rows: Vec<Vec<Cell>>,
) -> Vec<Block> {
    let table = dense_table("", columns, rows);
    table.into_iter().flat_map(|table| [Block::Heading(heading.to_owned()), table]).collect()
}

/// How the watch was found when it came in; what nobody looked at is left out.
pub(crate) fn condition(case: &Case<'_>) -> Option<Block> {
    let rows = case.job.condition.iter().filter(|entry| entry.state != ConditionState::NotLookedAt);
    let rows = rows.map(|entry| {
        let state = match entry.state {
            ConditionState::Damaged => Cell::strong(entry.state.words()),
            _ => Cell::plain(entry.state.words()),
        };
        vec![Cell::plain(entry.of.words()), state, Cell::plain(entry.note.trim())]
    });
    let columns = [Column::text("Looked at"), Column::text("Found"), Column::wide("Note")];
    table("", columns, rows.collect())
}
