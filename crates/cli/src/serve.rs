//! `endshake serve`: the bench as a page.

use crate::arguments::{BenchWishes, DoorWishes, RoleWish, ServeWishes};
use crate::data;
use crate::failure::{Failure, Status};
use crate::interrupt;
use server::{Bench, Options, Simulated};
use std::io::{IsTerminal, Write};
use std::path::PathBuf;
use std::time::Duration;
use store::{Role, Store};
use tracing_subscriber::EnvFilter;

/// How often to look whether somebody wants us to end.
const LOOK: Duration = Duration::from_millis(100);

/// Carries the command out.
pub(crate) fn run(wishes: &ServeWishes) -> Result<Status, Failure> {
    let bench = bench(&wishes.bench)?;
    let places = data::places(&wishes.data)?;
    let folder = data::folder(&wishes.data)?;
    std::fs::create_dir_all(&folder).map_err(|e| {
        Failure::CannotWrite(format!(
            "{} cannot be made ({e}): name another folder with --data.",
            folder.display()
        ))
    })?;
    log();
    interrupt::watch();
    data::runtime()?.block_on(async {
        let store = Store::open(&places).await.map_err(|e| data::not_opened(&places, e))?;
        let kept = format!("Kept in {}.", places.database.shown());
        until_interrupted(store, bench, &wishes.door, folder, None, &kept).await
    })
}

/// As it is called, and what may be done there.
fn bench(wishes: &BenchWishes) -> Result<Bench, Failure> {
    let name = wishes.name.trim();
    let most = jobs::limit::LINE;
    if name.is_empty() || name.chars().count() > most || name.contains(char::is_control) {
        return Err(Failure::WrongUse(format!(
            "A bench is called by one line of 1 to {most} letters: give another name with --bench."
        )));
    }
    let role = match wishes.role {
        RoleWish::Owner => Role::Owner,
        RoleWish::Repairer => Role::Repairer,
        RoleWish::ReadOnly => Role::ReadOnly,
    };
    Ok(Bench { name: name.into(), role })
}

/// Says what happens on standard error; RUST_LOG says how much.
pub(crate) fn log() {
    let filter = EnvFilter::try_from_default_env()
        .unwrap_or_else(|_| EnvFilter::new("warn,server=info,store=info"));
    let written = tracing_subscriber::fmt()
        .with_env_filter(filter)
        .with_writer(std::io::stderr)
        .with_ansi(std::io::stderr().is_terminal() && std::env::var_os("NO_COLOR").is_none())
        .try_init();
    // Somebody else writes already.
    drop(written);
}

/// Serves until somebody wants us to end. `simulated` is there in the invented workshop.
pub(crate) async fn until_interrupted(
    store: Store,
    bench: Bench,
    door: &DoorWishes,
    folder: PathBuf,
    simulated: Option<Vec<Simulated>>,
    kept: &str,
) -> Result<Status, Failure> {
    let options = Options {
        bench,
        port: door.port,
        network_port: door.network_port,
        folder,
        demo: simulated.is_some(),
        simulated: simulated.unwrap_or_default(),
    };
    let serving = server::serve(store, options)
        .await
        .map_err(|error| Failure::CannotWrite(error.to_string()))?;
    let said = {
        let mut out = std::io::stdout().lock();
        writeln!(out, "Endshake is open at http://{}/", serving.address())
            .and_then(|()| writeln!(out, "{kept} Ctrl-C ends."))
            .and_then(|()| out.flush())
    };
    // Whoever closed our output has its address, or does not want it.
    drop(said);
    while !interrupt::pressed() {
        tokio::time::sleep(LOOK).await;
    }
    serving.end().await;
    Ok(Status::Done)
}
