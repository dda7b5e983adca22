//! The numbers of all readings, moves, trials and final tests as tables for other programs: CSV (RFC 4180)
//! and Apache Parquet, with the same columns; and the rate sheet of each job as a file of its own.
//! Nothing is read back from them; all that stands in them stands in the records too.

mod held;
mod rates;
mod rows;
pub(crate) mod series;
mod set;

use crate::item::Item;
use crate::limits::FULL_TABLE;
pub(crate) use held::{Files, Held, Layout};
use rates::Rates;
use rows::{Job, Jobs};
pub(crate) use set::Unset;

/// All of them.
const LAYOUTS: [&Layout; 5] =
    [&rows::READINGS, &rows::REPEATS, &rows::MOVES, &rows::TRIAL_DAYS, &rows::FINAL_TESTS];

/// Whether a file of tables may be called so, without its number.
pub(crate) fn is_name(name: &str, ending: &str) -> bool {
    let is_table = LAYOUTS.iter().any(|layout| layout.name == name);
    (is_table && ["csv", "parquet"].contains(&ending)) || (name == rates::NAME && ending == "csv")
}

/// The tables of an archive that is being written.
pub(crate) struct Tables {
    jobs: Jobs,
    held: Held<5>,
    rates: Rates,
}

impl Default for Tables {
    fn default() -> Self {
        Self { jobs: Jobs::new(), held: Held::new(LAYOUTS, FULL_TABLE), rates: Rates::default() }
    }
}

impl Tables {
    /// Adds what this says, and gives the files that are full now.
    pub(crate) fn put(&mut self, item: &Item) -> Result<Files, Unset> {
        self.rates.put(item);
        let full = match item {
            Item::Job(whole) => {
                let (number, watch) = (whole.value.number, whole.value.watch);
                self.jobs.insert(whole.id, Job { number, watch });
                Files::new()
            }
            Item::Reading(whole) => {
                let mut full = self.held.add(0, rows::of_reading(whole, &self.jobs))?;
                full.extend(self.held.add(1, rows::of_repeats(whole))?);
                full
            }
            Item::Adjustment(whole) => self.held.add(2, rows::of_move(whole, &self.jobs))?,
            Item::Trial(whole) => self.held.add(3, rows::of_trial(whole, &self.jobs))?,
            Item::FinalTest(whole) => self.held.add(4, rows::of_test(whole, &self.jobs))?,
            _ => Files::new(),
        };
        Ok(within(full))
    }

    /// What is still held.
    pub(crate) fn finish(&mut self) -> Result<Files, Unset> {
        let mut files = self.held.finish()?;
        files.extend(self.rates.finish(&self.jobs)?);
        Ok(within(files))
    }
}

/// In the folder of tables.
fn within(mut files: Files) -> Files {
    for (name, _) in &mut files {
        name.insert_str(0, "tables/");
    }
    files
}
