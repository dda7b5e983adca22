//! The numbers of all readings, moves, trials and final tests as tables for other programs: CSV (RFC 4180)
//! and Apache Parquet, with the same columns; and the rate sheet of each job as a file of its own.
//! Nothing is read back from them; all that stands in them stands in the records too.

mod rates;
mod rows;
mod set;

use crate::item::Item;
use crate::limits::FULL_TABLE;
use rates::Rates;
use rows::{Job, Jobs};
pub(crate) use set::Unset;
use set::{Cell, Of};

/// A table: its name, and its columns.
pub(crate) struct Layout {
    name: &'static str,
    columns: &'static [(&'static str, Of)],
}

/// All of them.
const LAYOUTS: [&Layout; 5] =
    [&rows::READINGS, &rows::REPEATS, &rows::MOVES, &rows::TRIAL_DAYS, &rows::FINAL_TESTS];

/// Whether a file of tables may be called so, without its number.
pub(crate) fn is_name(name: &str, ending: &str) -> bool {
    let is_table = LAYOUTS.iter().any(|layout| layout.name == name);
    (is_table && ["csv", "parquet"].contains(&ending)) || (name == rates::NAME && ending == "csv")
}

/// The tables of an archive that is being written.
#[derive(Default)]
pub(crate) struct Tables {
    jobs: Jobs,
    held: [(u32, Vec<Vec<Cell>>); 5],
    rates: Rates,
}

/// The name of a file, and what is in it.
type Files = Vec<(String, Vec<u8>)>;

impl Tables {
    /// Adds what this says, and gives the files that are full now.
    pub(crate) fn put(&mut self, item: &Item) -> Result<Files, Unset> {
        self.rates.put(item);
        match item {
            Item::Job(whole) => {
                let (number, watch) = (whole.value.number, whole.value.watch);
                self.jobs.insert(whole.id, Job { number, watch });
                Ok(Vec::new())
            }
            Item::Reading(whole) => {
                let mut full = self.add(0, rows::of_reading(whole, &self.jobs))?;
                full.extend(self.add(1, rows::of_repeats(whole))?);
                Ok(full)
            }
            Item::Adjustment(whole) => self.add(2, rows::of_move(whole, &self.jobs)),
            Item::Trial(whole) => self.add(3, rows::of_trial(whole, &self.jobs)),
            Item::FinalTest(whole) => self.add(4, rows::of_test(whole, &self.jobs)),
            _ => Ok(Vec::new()),
        }
    }

    fn add(&mut self, table: usize, rows: Vec<Vec<Cell>>) -> Result<Files, Unset> {
        let (_, held) = &mut self.held[table];
        held.extend(rows);
        if held.len() >= FULL_TABLE { self.take(table) } else { Ok(Vec::new()) }
    }

    fn take(&mut self, table: usize) -> Result<Files, Unset> {
        let Layout { name, columns } = LAYOUTS[table];
        let (number, held) = &mut self.held[table];
        let rows = std::mem::take(held);
        if rows.is_empty() {
            return Ok(Vec::new());
        }
        *number += 1;
        Ok(vec![
            (format!("tables/{name}-{number:04}.csv"), set::csv(columns, &rows)?),
            (format!("tables/{name}-{number:04}.parquet"), set::parquet(columns, &rows)?),
        ])
    }

    /// What is still held.
    pub(crate) fn finish(&mut self) -> Result<Files, Unset> {
        let mut files = Vec::new();
        for table in 0..self.held.len() {
            files.extend(self.take(table)?);
        }
        files.extend(self.rates.finish(&self.jobs)?);
        Ok(files)
    }
}
