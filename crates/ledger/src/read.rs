//! From text to visits.

use crate::column::{Column, all_names};
use crate::row::{Row, Visit};
use crate::unfit::{BadRow, Unfit, short};
use jobs::{JobId, Record, Watch, WatchId};
use std::collections::HashMap;

/// The largest table that is read, bytes.
pub const MOST_BYTES: usize = 64 << 20;

/// Most rows: three workshops' working lives.
pub const MOST_ROWS: usize = 100_000;

/// What a table says.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Ledger {
    /// Visits, in the order of the rows.
    pub visits: Vec<Visit>,
    /// Rows that cannot be taken; where there is one, none is to be taken.
    pub bad: Vec<BadRow>,
}

/// Reads a table.
///
/// # Errors
///
/// Where it cannot be read as a whole. Rows that cannot be taken are in [`Ledger::bad`].
pub fn read(bytes: &[u8]) -> Result<Ledger, Unfit> {
    if bytes.len() > MOST_BYTES {
        return Err(Unfit::TooLong(MOST_BYTES));
    }
    let text = std::str::from_utf8(bytes).map_err(|_| Unfit::NotUtf8)?;
    let text = text.trim_start_matches('\u{feff}');
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter(text))
        .trim(csv::Trim::All)
        .flexible(true)
        .from_reader(text.as_bytes());
    // From a text in memory nothing but a text can come.
    let header = reader.headers().map_err(|_| Unfit::Empty)?.clone();
    let columns = columns(&header)?;
    let mut ledger = Ledger::default();
    let mut lines: HashMap<JobId, u64> = HashMap::new();
    let mut at = At { text: text.as_bytes(), byte: 0, line: 1 };
    for record in reader.records() {
        let Ok(record) = record else { continue };
        let byte = record.position().map_or(0, csv::Position::byte);
        let line = at.line_of(usize::try_from(byte).unwrap_or(usize::MAX));
        if record.iter().all(str::is_empty) {
            continue;
        }
        if ledger.visits.len() + ledger.bad.len() >= MOST_ROWS {
            return Err(Unfit::TooMany(MOST_ROWS));
        }
        match visit(&columns, &record, line, &mut lines) {
            Ok(visit) => ledger.visits.push(visit),
            Err(what) => ledger.bad.push(BadRow { line, what }),
        }
    }
    if ledger.visits.is_empty() && ledger.bad.is_empty() {
        return Err(Unfit::Empty);
    }
    one_of_each_watch(&mut ledger.visits);
    Ok(ledger)
}

/// Each row of a watch may say something of it. It is one watch: what the first row says of it counts,
/// what that leaves out comes from a later one, and what contradicts it goes into the notes of that
/// visit, so that nothing is lost.
fn one_of_each_watch(visits: &mut [Visit]) {
    let mut watches: HashMap<WatchId, Watch> = HashMap::new();
    for visit in visits.iter_mut() {
        let (id, said) = &visit.watch;
        let Some(one) = watches.get_mut(id) else {
            watches.insert(*id, said.clone());
            continue;
        };
        let mut notes = Vec::new();
        if one.owner.is_none() {
            one.owner = said.owner;
        } else if let Some((_, owner)) =
            visit.owner.as_ref().filter(|(id, _)| one.owner != Some(*id))
        {
            notes.push(format!("Brought by {}.", owner.title()));
        }
        if one.calibre.is_empty() {
            one.calibre.clone_from(&said.calibre);
        } else if !said.calibre.is_empty() && !same(&one.calibre, &said.calibre) {
            notes.push(format!("Calibre as written: {}.", said.calibre));
        }
        if !same(&one.description, &said.description) {
            notes.push(format!("Watch as written: {}.", said.description));
        }
        for number in &said.serial_numbers {
            if !one.serial_numbers.iter().any(|own| same(own, number)) {
                one.serial_numbers.push(number.clone());
            }
        }
        let all = std::iter::once(visit.job.1.notes.clone()).chain(notes);
        visit.job.1.notes = all.filter(|line| !line.is_empty()).collect::<Vec<_>>().join("\n");
    }
    for visit in visits {
        if let Some(one) = watches.get(&visit.watch.0) {
            visit.watch.1 = one.clone();
        }
    }
}

/// Whether two texts differ in letters' case and blanks alone.
fn same(one: &str, other: &str) -> bool {
    let plain = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
    plain(one) == plain(other)
}

/// How far the lines of a text have been counted. The reader counts them too, but is one behind where
/// lines end with a carriage return and a line feed.
struct At<'a> {
    text: &'a [u8],
    byte: usize,
    line: u64,
}

impl At<'_> {
    /// The line of the first thing that stands at this byte or after it, never before the last one that
    /// was asked for.
    fn line_of(&mut self, byte: usize) -> u64 {
        let is_break = |place: &usize| matches!(self.text.get(*place), Some(b'\r' | b'\n'));
        let to = (byte.max(self.byte)..).find(|place| !is_break(place)).unwrap_or(byte);
        let between = self.text.get(self.byte..to).unwrap_or_default();
        self.line += between.iter().filter(|byte| **byte == b'\n').count() as u64;
        self.byte = to.min(self.text.len());
        self.line
    }
}

fn visit(
    columns: &[Column],
    record: &csv::StringRecord,
    line: u64,
    lines: &mut HashMap<JobId, u64>,
) -> Result<Visit, String> {
    if record.len() != columns.len() {
        let (has, wanted) = (record.len(), columns.len());
        return Err(format!(
            "this row has {has} values, and there are {wanted} columns: put what holds a comma or \
             semicolon between double quotes."
        ));
    }
    let words = columns.iter().copied().zip(record).filter(|(_, words)| !words.is_empty());
    let visit = Row { line, words: words.collect() }.visit()?;
    match lines.insert(visit.job.0, line) {
        None => Ok(visit),
        Some(first) => Err(format!(
            "this is the same watch on the same day as in line {first}: join the two rows."
        )),
    }
}

/// What stands between the columns: the one of the three that the first line has most of.
fn delimiter(text: &str) -> u8 {
    let head = text.lines().find(|line| !line.trim().is_empty()).unwrap_or_default();
    let count = |mark: char| head.matches(mark).count();
    let (semicolons, tabs, commas) = (count(';'), count('\t'), count(','));
    if semicolons >= tabs && semicolons > commas {
        b';'
    } else if tabs > commas {
        b'\t'
    } else {
        b','
    }
}

fn columns(header: &csv::StringRecord) -> Result<Vec<Column>, Unfit> {
    let mut columns = Vec::new();
    for name in header {
        let column = Column::named(name)
            .ok_or_else(|| Unfit::Column { name: short(name), there: all_names() })?;
        if columns.contains(&column) {
            return Err(Unfit::Twice(column.name().into()));
        }
        columns.push(column);
    }
    if columns.is_empty() {
        return Err(Unfit::Empty);
    }
    for must in [Column::Watch, Column::In, Column::Out] {
        if !columns.contains(&must) {
            return Err(Unfit::Missing(must.name()));
        }
    }
    Ok(columns)
}
