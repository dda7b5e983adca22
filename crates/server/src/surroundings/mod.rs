//! What the program stands on, as facts for `doctor`: gathered without changing anything, for the command
//! and for the page alike.

mod folder;
mod host;
mod kept;
mod page;
mod port;
mod sound;

use doctor::Facts;
use std::path::Path;
use store::{Places, Progress};

/// What is asked.
pub struct Asked<'a> {
    /// Where things are kept.
    pub places: &'a Places,
    /// The folder of everything.
    pub folder: &'a Path,
    /// The port at which the page is or is to be.
    pub port: u16,
    /// Whether to take the checksum of each sound and photo, not only of some.
    pub is_thorough: bool,
}

/// How many sounds and photos are looked at where nobody wants them all.
const SOME: u64 = 20;

/// Gathers the facts. `go_on` is told how far it is; where it answers no, that is the end, and
/// nothing comes of it.
pub async fn gather(
    asked: &Asked<'_>,
    go_on: &mut (dyn FnMut(Progress) -> bool + Send),
) -> Option<Facts> {
    let database = kept::database(asked.places).await;
    let sums = (!asked.is_thorough).then_some(SOME);
    let media = kept::media(asked.places, &database, sums, go_on).await?;
    // What asks the system may take its time, and would keep others waiting.
    let (folder, temporary, sound, system) = {
        let data = asked.folder.to_owned();
        tokio::task::spawn_blocking(move || {
            let temporary = std::env::temp_dir();
            let one_disk = folder::one_disk(&data, &temporary);
            let places = (folder::fact(&data), folder::fact(&temporary), one_disk);
            (places, sound::facts(), host::facts())
        })
        .await
        .map(|(places, sound, system)| ((places.0, places.2), places.1, sound, system))
        .ok()?
    };
    let (folder, one_disk) = folder;
    Some(Facts {
        version: env!("CARGO_PKG_VERSION").into(),
        now_ms: store::now().ms(),
        folder,
        temporary,
        one_disk,
        database,
        media,
        page: page::fact().await,
        port: (asked.port, port::fact(asked.port).await),
        sound,
        system,
    })
}
