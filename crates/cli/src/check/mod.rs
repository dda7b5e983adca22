//! `endshake check`: whether all of the bench's data is there and as it was.

mod told;

use crate::arguments::{CheckWishes, TextOrJson};
use crate::data;
use crate::failure::{Failure, Status};
use crate::interrupt;
use crate::progress::{PARTS, Progress};
use crate::text::Ink;
use crate::wire::{self, CheckResult};
use clap::ColorChoice;
use std::io::Write;

/// Carries the command out.
pub(crate) fn run(wishes: &CheckWishes, color: ColorChoice) -> Result<Status, Failure> {
    let places = data::places(&wishes.data)?;
    interrupt::watch();
    let checked = data::with_store(&places, async |store| {
        let bar = Progress::new(1, "checking".into());
        let mut parts = 0;
        let mut go_on = |progress: store::Progress| {
            let now = PARTS * progress.done / progress.of.max(1);
            bar.advance(now - parts);
            parts = now;
            !interrupt::pressed()
        };
        store::check(&store, wishes.sweep, &mut go_on).await
    })?;
    let checked = checked.ok_or(Failure::Interrupted)?;
    let output = match wishes.format {
        TextOrJson::Json => wire::line(&CheckResult::of(&places, &checked)),
        TextOrJson::Text => told::text(&places, wishes, &checked, Ink::for_output(color)),
    };
    let mut out = std::io::stdout().lock();
    out.write_all(output.as_bytes())
        .and_then(|()| out.flush())
        .map_err(|error| Failure::writing_output(&error))?;
    Ok(if checked.faults.is_empty() { Status::Done } else { Status::Unreadable })
}
