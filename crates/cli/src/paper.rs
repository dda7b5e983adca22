//! `endshake paper`: a paper of a job as PDF.

use crate::arguments::PaperWishes;
use crate::data;
use crate::failure::{Failure, Status};
use crate::interrupt;
use crate::progress::{Piece, Progress};
use crate::shown;
use crate::whole_file;
use server::PaperAsked;
use std::io::Write;

/// Carries the command out.
pub(crate) fn run(wishes: &PaperWishes) -> Result<Status, Failure> {
    let places = data::places(&wishes.data)?;
    // Before any work is done for it.
    whole_file::place_in_folder(&wishes.out)?;
    interrupt::watch();
    let asked = PaperAsked {
        job: wishes.job.clone(),
        kind: wishes.kind.into(),
        colleague: !wishes.no_colleague,
        paper: wishes.paper.map(Into::into),
        photos: !wishes.no_photos,
        drawings: !wishes.no_drawings,
    };
    let made = data::with_store(&places, async |store| {
        let bar = Progress::new(1, "printing".into());
        let mut piece = Piece::new(&bar, Some(1.0));
        let go_on = |share: f64| {
            piece.reached(share);
            !interrupt::pressed()
        };
        Ok(server::paper(&store, &asked, go_on).await)
    })?;
    let made = made.map_err(Failure::Unreadable)?.ok_or(Failure::Interrupted)?;
    whole_file::write(&wishes.out, &made.pdf)?;
    let mut err = std::io::stderr().lock();
    for warning in &made.warnings {
        // Where even standard error is gone there is nobody left to tell.
        let _ = writeln!(err, "endshake: {}", shown::safe(warning));
    }
    let name = wishes.out.display().to_string();
    let pages = if made.pages == 1 { "page" } else { "pages" };
    let mut out = std::io::stdout().lock();
    writeln!(out, "{}: {} {pages}", shown::safe(&name), made.pages)
        .and_then(|()| out.flush())
        .map_err(|error| Failure::writing_output(&error))?;
    Ok(Status::Done)
}
