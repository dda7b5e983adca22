//! `endshake archive paper-records`: older paper records from a table.

use super::told::count;
use super::{Bar, DEVICE, about, print};
use crate::arguments::{PaperRecordsWishes, TextOrJson};
use crate::data;
use crate::failure::{Failure, Status};
use crate::shown;
use crate::standard_input;
use crate::text;
use crate::whole_input;
use crate::wire::{self, PaperRecordsResult};
use ledger::{BadRow, Ledger};
use store::{By, Store, TakenIn};

/// So many bad rows are shown; a table that has more has one mistake throughout.
const SHOWN: usize = 50;

pub(super) fn run(wishes: &PaperRecordsWishes) -> Result<Status, Failure> {
    let places = data::places(&wishes.data)?;
    let named = standard_input::shown(&wishes.file);
    let bytes = whole_input::bytes(&wishes.file, ledger::MOST_BYTES)
        .map_err(|failure| failure.about(&wishes.file))?;
    let Ledger { visits, bad } =
        ledger::read(&bytes).map_err(|unfit| Failure::Unreadable(format!("{named}: {unfit}")))?;
    let only_look = wishes.dry_run || !bad.is_empty();
    let work = async |store: Store| {
        let mut bar = Bar::new("taking in");
        let mut go_on = |progress: store::Progress| bar.reached(progress.done, progress.of);
        store.take_in(&By::now(DEVICE), &visits, only_look, &mut go_on).await
    };
    let taken = if !bad.is_empty() {
        TakenIn::default()
    } else {
        let taken = if only_look {
            data::with_store_or_an_empty_one(&places, work)
        } else {
            data::with_new_store(&places, work)
        };
        let taken = taken.map_err(|failure| about(&wishes.file, failure))?;
        taken.ok_or(Failure::Interrupted)?
    };
    print(&match wishes.format {
        TextOrJson::Json => {
            wire::line(&PaperRecordsResult::of(&places, wishes.dry_run, &taken, &bad))
        }
        TextOrJson::Text => told(&named, wishes.dry_run, &taken, &bad),
    })?;
    Ok(if bad.is_empty() { Status::Done } else { Status::Unreadable })
}

fn told(named: &str, only_looked: bool, taken: &TakenIn, bad: &[BadRow]) -> String {
    let mut lines = vec![named.to_owned()];
    if !bad.is_empty() {
        for row in bad.iter().take(SHOWN) {
            lines.extend(text::wrapped(&shown::safe(&row.to_string()), "! "));
        }
        if bad.len() > SHOWN {
            lines.push(format!("and {} more rows.", bad.len() - SHOWN));
        }
        lines.push("Nothing was added: all rows are taken in, or none.".into());
        return text::joined(&lines);
    }
    let TakenIn { owners, watches, visits, there, removed } = *taken;
    let added = if only_looked { "Would be added" } else { "Added" };
    lines.push(format!(
        "{added}: {}, {}, {}.",
        count(visits, "visit", "visits"),
        count(watches, "watch", "watches"),
        count(owners, "owner", "owners"),
    ));
    if there > 0 {
        lines.push(format!("Here already: {}.", count(there, "visit", "visits")));
    }
    if removed > 0 {
        let visits = count(removed, "visit was", "visits were");
        lines.push(format!("{visits} removed for good here, and not added again."));
    }
    text::joined(&lines)
}
