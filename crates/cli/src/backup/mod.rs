//! `endshake backup`: a copy of all of the bench's data as it is at one moment.

use crate::arguments::{BackupWishes, TextOrJson};
use crate::data;
use crate::failure::{Failure, Status};
use crate::interrupt;
use crate::progress::{PARTS, Progress};
use crate::shown;
use crate::wire::{self, BackupResult};
use std::io::Write;
use store::BackedUp;

/// Carries the command out.
pub(crate) fn run(wishes: &BackupWishes) -> Result<Status, Failure> {
    let places = data::places(&wishes.data)?;
    interrupt::watch();
    let made = data::with_store(&places, async |store| {
        let bar = Progress::new(1, "copying".into());
        let mut parts = 0;
        let mut go_on = |progress: store::Progress| {
            let now = PARTS * progress.done / progress.of.max(1);
            bar.advance(now - parts);
            parts = now;
            !interrupt::pressed()
        };
        store::backup(&store, &wishes.folder, &mut go_on).await
    })?;
    let made = made.ok_or(Failure::Interrupted)?;
    let output = match wishes.format {
        TextOrJson::Json => wire::line(&BackupResult::of(&places, &made)),
        TextOrJson::Text => text(&made),
    };
    let mut out = std::io::stdout().lock();
    out.write_all(output.as_bytes())
        .and_then(|()| out.flush())
        .map_err(|error| Failure::writing_output(&error))?;
    Ok(Status::Done)
}

fn text(made: &BackedUp) -> String {
    let folder = made.folder.display().to_string();
    let folder = shown::safe(&folder);
    format!(
        "Copied into {folder}: {} {}, {}.\nCheck it with: endshake check --database \
         {folder}/endshake.sqlite\n",
        made.files,
        if made.files == 1 { "file" } else { "files" },
        doctor::size(made.bytes),
    )
}
