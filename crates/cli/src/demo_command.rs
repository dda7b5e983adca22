//! `endshake demo`: an invented workshop, so that every page has something true to show.

use crate::arguments::DemoWishes;
use crate::data;
use crate::demo_folder::DemoFolder;
use crate::failure::{Failure, Status};
use crate::progress::{PARTS, Progress};
use crate::{interrupt, log, serve};
use demo::NotMade;
use server::Bench;
use store::{Places, Store};

/// Carries the command out.
pub(crate) fn run(wishes: &DemoWishes) -> Result<Status, Failure> {
    let cannot = |e: std::io::Error| {
        Failure::CannotWrite(format!("No folder for the invented workshop can be made ({e})."))
    };
    // Of its own, whatever else is kept on this machine; gone with the program.
    let folder = DemoFolder::new().map_err(cannot)?;
    log::begin(None);
    interrupt::watch();
    let places = Places::in_folder(folder.path());
    let status = data::runtime()?.block_on(async {
        let store = Store::open(&places).await.map_err(data::failure)?;
        let bar = Progress::new(demo::PIECES, "making watches".into());
        let simulated =
            demo::fill(&store, folder.path(), &|| bar.advance(PARTS)).await.map_err(|error| {
                match error {
                    NotMade::Store(error) => data::failure(error),
                    other => Failure::CannotWrite(other.to_string()),
                }
            })?;
        drop(bar);
        let kept = "This is an invented workshop; nothing of it stays.";
        let own = folder.path().to_owned();
        serve::until_interrupted(store, Bench::default(), &wishes.door, own, Some(simulated), kept)
            .await
    })?;
    Ok(status)
}
