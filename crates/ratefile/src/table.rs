//! From text to rows of words: CSV or JSON.

use crate::column::{Column, all_names};
use crate::unfit::{Place, Unfit, Wrong, short};
use serde::Deserialize;
use std::collections::BTreeMap;

/// The largest file that is read, in bytes: the fullest sheet that can be is a tenth of it.
pub const MOST_BYTES: usize = 1 << 18;

/// Most rows: a dozen moves with six positions in six states of wind between them are fewer, and
/// whatever they are, all that follows is told within a twentieth of a second
/// (`crates/horology/benches/full_sheet.rs`).
const MOST_ROWS: usize = 500;

/// What the JSON form calls itself.
const SCHEMA: &str = "endshake.rate-sheet/1";

/// A row with what is written in it; what is empty is not there.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Record {
    pub(crate) at: Place,
    pub(crate) words: BTreeMap<Column, String>,
}

/// The rows of a file, in order.
pub(crate) fn records(text: &str) -> Result<Vec<Record>, Unfit> {
    if text.len() > MOST_BYTES {
        return Err(Unfit::whole(Wrong::TooLong { most: MOST_BYTES }));
    }
    let text = text.trim_start_matches('\u{feff}');
    let records =
        if text.trim_start().starts_with('{') { from_json(text) } else { from_csv(text) }?;
    if records.len() > MOST_ROWS {
        return Err(Unfit::whole(Wrong::TooMany { most: MOST_ROWS, what: "rows" }));
    }
    if records.is_empty() {
        return Err(Unfit::whole(Wrong::Empty));
    }
    Ok(records)
}

fn from_csv(text: &str) -> Result<Vec<Record>, Unfit> {
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter(text))
        .comment(Some(b'#'))
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let mut lines = Lines { text, byte: 0, line: 1 };
    let header = reader.headers().map_err(|error| csv_unfit(&mut lines, &error))?.clone();
    let at = lines.at(header.position());
    let mut columns = Vec::new();
    for name in &header {
        columns.push(column(name, at)?);
    }
    for (place, one) in columns.iter().enumerate() {
        if columns[..place].contains(one) {
            return Err(Unfit::at(at, Wrong::ColumnTwice { name: one.name() }));
        }
    }
    let mut records = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|error| csv_unfit(&mut lines, &error))?;
        let at = lines.at(record.position());
        let words = columns.iter().copied().zip(&record);
        let words = words.filter(|(_, word)| !word.is_empty());
        records.push(Record { at, words: words.map(|(c, word)| (c, word.to_owned())).collect() });
    }
    Ok(records)
}

/// What stands between the columns: a comma, or what spreadsheets put there where the comma is
/// something else.
fn delimiter(text: &str) -> u8 {
    let head = text.lines().find(|line| !line.trim().is_empty() && !line.starts_with('#'));
    let head = head.unwrap_or_default();
    if head.contains(';') {
        b';'
    } else if head.contains('\t') {
        b'\t'
    } else {
        b','
    }
}

/// How far the lines of a text have been counted. The reader's own count is that of the empty lines and
/// remarks before a row, and one behind where lines end with a carriage return and a line feed.
struct Lines<'a> {
    text: &'a str,
    byte: usize,
    line: u64,
}

impl Lines<'_> {
    /// The line of the row that was read from here on, never before the last one that was asked for.
    fn at(&mut self, from: Option<&csv::Position>) -> Place {
        let byte = from.and_then(|from| usize::try_from(from.byte()).ok()).unwrap_or(self.byte);
        if let Some(between) = self.text.get(self.byte..byte) {
            self.line += between.matches('\n').count() as u64;
            self.byte = byte;
        }
        let rest = self.text.get(self.byte..).unwrap_or_default();
        // The rest of a line that has been read, its line feed, counts as an empty one; a line of blanks
        // is a row.
        let is_empty = |line: &str| line.trim_end_matches('\r').is_empty();
        let passed = rest.lines().take_while(|line| is_empty(line) || line.starts_with('#'));
        Place::Line(self.line + passed.count() as u64)
    }
}

fn csv_unfit(lines: &mut Lines, error: &csv::Error) -> Unfit {
    let at = error.position().map(|position| lines.at(Some(position)));
    let wrong = match error.kind() {
        csv::ErrorKind::UnequalLengths { expected_len, len, .. } => {
            format!("values: {len}, columns in the header: {expected_len}")
        }
        _ => "it is neither CSV nor JSON".to_owned(),
    };
    Unfit { at, wrong: Wrong::Form(wrong) }
}

/// The JSON form.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Whole {
    schema: String,
    rows: Vec<BTreeMap<String, Word>>,
}

#[derive(Debug, Deserialize)]
#[serde(untagged)]
enum Word {
    Number(serde_json::Number),
    Words(String),
    Nothing(()),
}

fn from_json(text: &str) -> Result<Vec<Record>, Unfit> {
    let whole: Whole = serde_json::from_str(text).map_err(|error| {
        let said = error.to_string();
        // The place is said in front already.
        let said = said.split(" at line ").next().unwrap_or_default();
        let at = Some(Place::Line(error.line() as u64)).filter(|_| error.line() > 0);
        Unfit { at, wrong: Wrong::Form(short_form(said)) }
    })?;
    if whole.schema != SCHEMA {
        let wrong = format!("schema cannot be “{}”: this is {SCHEMA}", short(&whole.schema));
        return Err(Unfit::whole(Wrong::Form(wrong)));
    }
    let rows = whole.rows.into_iter().enumerate();
    rows.map(|(place, row)| {
        let at = Place::Row(place + 1);
        let mut words = BTreeMap::new();
        for (name, word) in row {
            let column = column(&name, at)?;
            let word = match word {
                Word::Number(number) => number.to_string(),
                Word::Words(words) => words.trim().to_owned(),
                Word::Nothing(()) => continue,
            };
            if !word.is_empty() && words.insert(column, word).is_some() {
                return Err(Unfit::at(at, Wrong::ColumnTwice { name: column.name() }));
            }
        }
        Ok(Record { at, words })
    })
    .collect()
}

fn short_form(said: &str) -> String {
    said.chars().map(|c| if c.is_control() { ' ' } else { c }).take(200).collect()
}

fn column(name: &str, at: Place) -> Result<Column, Unfit> {
    Column::named(name)
        .ok_or_else(|| Unfit::at(at, Wrong::Column { name: short(name), there: all_names() }))
}

#[cfg(test)]
mod tests {
    use super::{Place, records};

    /// The line of each row, however lines end and whatever stands between them.
    #[test]
    fn rows_are_told_with_the_line_that_an_editor_shows() {
        let text = "# ours\nposition,rate\nCH,1\n\n# turned over\nFH,2\n12H,3\n";
        for ends in ["\n", "\r\n"] {
            let rows = records(&text.replace('\n', ends)).expect("it is a table");
            let lines: Vec<Place> = rows.iter().map(|row| row.at).collect();
            assert_eq!(lines, [Place::Line(3), Place::Line(6), Place::Line(7)], "{ends:?}");
        }
    }

    #[test]
    fn a_row_of_blanks_is_told_with_its_own_line() {
        let unfit = records("position,rate\nCH,1\n \t").expect_err("a value too few");
        assert_eq!(unfit.at, Some(Place::Line(3)));
    }

    #[test]
    fn a_row_with_too_much_in_it_is_told_with_its_line() {
        let text = "position,rate\nCH,1\n# turned over\nFH,2,3\n";
        for ends in ["\n", "\r\n"] {
            let unfit = records(&text.replace('\n', ends)).expect_err("a value too many");
            assert_eq!(unfit.at, Some(Place::Line(4)), "{ends:?}");
        }
    }
}
