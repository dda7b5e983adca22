//! The rate sheet of each job as a file that `endshake rates` reads. `ratefile` has its form, and is
//! asked whether it can be read; `docs/design/archive-format.md` says what stands in it.

use super::{Files, Job, Jobs, set};
use crate::item::{Item, Whole};
use jobs::{Adjustment, AdjustmentBy, JobId, Moment, Reading};
use quantities::Measured;
use ratefile::{Unsaid, What};
use serde::Deserialize;
use std::collections::HashMap;

/// How the files begin.
pub(crate) const NAME: &str = "rates";

/// Names that say the unit: those of the tables of readings.
const COLUMNS: [&str; 10] = [
    "position",
    "wind",
    "label",
    "rate_s_per_d",
    "rate_sd_s_per_d",
    "amplitude_deg",
    "amplitude_sd_deg",
    "beat_error_ms",
    "beat_error_sd_ms",
    "move",
];

/// What a file without them would mean; here every number stands with its own.
const UNSAID: Unsaid = Unsaid { rate_sd: 0.5, amplitude_sd_deg: 3.0, beat_error_sd_ms: 0.1 };

/// Steps of a take-down log by which what was read before is of another state of the watch.
const PARTING: [&str; 3] = ["took_out", "placed", "removed"];

/// A row of the file.
struct Row {
    label: String,
    /// Where it was read, as `ratefile` understands it; nothing of a move.
    place: Option<String>,
    words: [String; 10],
}

enum Event {
    Read(Vec<Row>),
    /// A move of the balance of this letter, empty for all.
    Moved {
        label: String,
        /// As a rate sheet writes it; nothing where it cannot.
        words: Option<String>,
    },
    /// The watch was taken down, or put together.
    Parted,
}

/// What was done at each job, as it comes.
#[derive(Default)]
pub(crate) struct Rates(HashMap<JobId, Vec<(Moment, Event)>>);

impl Rates {
    pub(crate) fn put(&mut self, item: &Item) {
        let (job, at, event) = match item {
            Item::Reading(whole) if whole.deleted.is_none() => read(whole),
            Item::Adjustment(whole) if whole.deleted.is_none() => moved(whole),
            Item::Entry(entry) if parts(&entry.body) => {
                (JobId::from_uuid(entry.job), entry.at_ms.moment(), Event::Parted)
            }
            _ => return,
        };
        self.0.entry(job).or_default().push((at, event));
    }

    /// A file for each job of which there is a sheet, in the order of their numbers.
    pub(crate) fn finish(&mut self, jobs: &Jobs) -> Result<Files, set::Unset> {
        let number = |job: &JobId| jobs.get(job).map(|Job { number, .. }| *number);
        let done = std::mem::take(&mut self.0).into_iter();
        let mut sheets: Vec<(u32, Vec<_>)> =
            done.filter_map(|(job, events)| Some((number(&job)?, events))).collect();
        sheets.sort_by_key(|(number, _)| *number);
        let mut files = Vec::new();
        for (number, mut events) in sheets {
            // Those of one moment as they came: what was read before what was moved.
            events.sort_by_key(|(at, _)| *at);
            let csv = written(sheet(events).iter().map(|row| &row.words))?;
            if is_whole(&csv) {
                files.push((format!("{NAME}-{number:04}.csv"), csv));
            }
        }
        Ok(files)
    }
}

/// Whether an entry of a log parts what was read before it from what is read after it.
fn parts(body: &str) -> bool {
    #[derive(Deserialize)]
    struct Entry {
        change: Change,
    }
    #[derive(Deserialize)]
    struct Change {
        kind: String,
    }
    let entry: Result<Entry, _> = serde_json::from_str(body);
    entry.is_ok_and(|entry| PARTING.contains(&entry.change.kind.as_str()))
}

/// A row for each balance that has a rate, in a position and a state of wind that a rate sheet knows.
fn read(whole: &Whole<Reading>) -> (JobId, Moment, Event) {
    let reading = &whole.value;
    let position = reading.position.map(|position| position.symbol()).unwrap_or_default();
    let number = |number: f64| format!("{number:?}");
    let both = |measured: Option<Measured>| match measured {
        Some(Measured { value, sd }) => [number(value), number(sd)],
        None => [String::new(), String::new()],
    };
    let rows = reading.balances.iter().filter_map(|balance| {
        let [rate, rate_sd] = both(balance.rate_s_per_d);
        let [amplitude, amplitude_sd] = both(balance.amplitude_deg);
        let [beat_error, beat_error_sd] = both(balance.beat_error_ms);
        let (wind, label) = (reading.wind.clone(), balance.label.clone());
        let position = position.to_owned();
        let words = [
            position,
            wind,
            label.clone(),
            rate,
            rate_sd,
            amplitude,
            amplitude_sd,
            beat_error,
            beat_error_sd,
            String::new(),
        ];
        Some(Row { label, place: Some(place(&words)?), words })
    });
    (reading.job, reading.taken, Event::Read(rows.collect()))
}

fn moved(whole: &Whole<Adjustment>) -> (JobId, Moment, Event) {
    let Adjustment { job, balance, at, by, amount, note: _ } = &whole.value;
    let by = match by {
        AdjustmentBy::Index => Some("index"),
        AdjustmentBy::TimingScrews => Some("screws"),
        AdjustmentBy::Mass => Some("mass"),
        AdjustmentBy::Stud => Some("stud"),
        AdjustmentBy::Other => None,
    };
    let words = by.zip(*amount).map(|(by, amount)| format!("{by} {amount:+?}"));
    (*job, *at, Event::Moved { label: balance.clone(), words })
}

/// The rows since the watch was last taken down or put together, or something was done to a balance
/// that a rate sheet has no words for; between two moves the last of each place.
fn sheet(events: Vec<(Moment, Event)>) -> Vec<Row> {
    let mut rows: Vec<Row> = Vec::new();
    for (_, event) in events {
        match event {
            Event::Parted => rows.clear(),
            Event::Moved { label: of, words: None } => {
                rows.retain(|row| !of.is_empty() && row.label != of);
            }
            Event::Moved { label: of, words: Some(words) } => {
                let mut labels: Vec<String> = rows.iter().map(|row| row.label.clone()).collect();
                labels.sort();
                labels.dedup();
                labels.retain(|label| of.is_empty() || *label == of);
                for label in labels {
                    let mut row: [String; 10] = Default::default();
                    row[2].clone_from(&label);
                    row[9].clone_from(&words);
                    rows.push(Row { label, place: None, words: row });
                }
            }
            Event::Read(read) => {
                for row in read {
                    let of = |there: &Row| there.label == row.label;
                    let moved = |there: &Row| of(there) && there.place.is_none();
                    let since = rows.iter().rposition(moved).map_or(0, |at| at + 1);
                    let same = |there: &Row| of(there) && there.place == row.place;
                    if let Some(at) = rows[since..].iter().position(same) {
                        rows.remove(since + at);
                    }
                    rows.push(row);
                }
            }
        }
    }
    rows
}

/// Where a row was read, as `ratefile` understands it; nothing where it does not.
fn place(words: &[String; 10]) -> Option<String> {
    let csv = written([words]).ok()?;
    let read = ratefile::read(std::str::from_utf8(&csv).ok()?, &UNSAID).ok()?;
    match read.entries.first()?.what {
        What::Read(reading) => Some(format!("{:?} {:?}", reading.stance?, reading.wind)),
        _ => None,
    }
}

/// Whether a rate sheet can be made of it.
fn is_whole(csv: &[u8]) -> bool {
    let read = std::str::from_utf8(csv).ok().and_then(|text| ratefile::read(text, &UNSAID).ok());
    read.is_some_and(|file| file.rounds(0.0).is_ok())
}

fn written<'a>(rows: impl IntoIterator<Item = &'a [String; 10]>) -> Result<Vec<u8>, set::Unset> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(COLUMNS)?;
    for row in rows {
        writer.write_record(row)?;
    }
    writer.into_inner().map_err(|error| set::Unset(error.to_string()))
}
