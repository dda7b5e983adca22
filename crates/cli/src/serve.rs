//! `endshake serve`: the bench as a page.

use crate::arguments::{BenchWishes, DoorWishes, RoleWish, ServeWishes};
use crate::data;
use crate::failure::{Failure, Status};
use crate::interrupt;
use crate::log;
use crate::manager;
use crate::upgrade::Upgrade;
use server::{Bench, Options, Simulated};
use std::io::Write;
use std::path::PathBuf;
use std::time::Duration;
use store::{Opening, Role, Store};

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
    log::begin(wishes.log);
    interrupt::watch();
    data::runtime()?.block_on(async {
        let upgrade = Upgrade::new();
        let tell = |now: &store::Upgrading| upgrade.tell(now);
        let opening = Opening { may_upgrade_server: wishes.upgrade, tell: &tell };
        let opened = Store::open_as(&places, &opening).await;
        drop(upgrade);
        let store = opened.map_err(|e| data::not_opened(&places, e))?;
        let shown = places.database.shown();
        tracing::info!(
            "Endshake {}: data in {}, database {shown} (schema {}), sounds and photos in {}",
            env!("CARGO_PKG_VERSION"),
            folder.display(),
            store::schema(),
            places.media.shown(),
        );
        until_interrupted(store, bench, &wishes.door, folder, None, &format!("Kept in {shown}."))
            .await
    })
}

/// As it is called, and what may be done there.
fn bench(wishes: &BenchWishes) -> Result<Bench, Failure> {
    let role = match wishes.role {
        RoleWish::Owner => Role::Owner,
        RoleWish::Repairer => Role::Repairer,
        RoleWish::ReadOnly => Role::ReadOnly,
    };
    Bench::called(&wishes.name, role).map_err(|why| Failure::WrongUse(format!("--bench: {why}")))
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
    let address = serving.address();
    let said = {
        let mut out = std::io::stdout().lock();
        writeln!(out, "Endshake is open at http://{address}/")
            .and_then(|()| writeln!(out, "{kept} Ctrl-C ends."))
            .and_then(|()| out.flush())
    };
    // Whoever closed our output has its address, or does not want it.
    drop(said);
    tracing::info!("open to this machine at http://{address}/");
    manager::ready(&format!("open at http://{address}/"));
    tell_devices();
    while !interrupt::pressed() {
        tokio::time::sleep(LOOK).await;
    }
    tracing::info!("ending: readings that are being taken are kept");
    manager::ending();
    serving.end().await;
    tracing::info!("ended; all that was entered is kept");
    Ok(Status::Done)
}

/// Tells which sound devices there are. Some sound systems take their time to say so, which neither the
/// start nor the end waits for.
#[cfg(feature = "capture")]
fn tell_devices() {
    if !tracing::enabled!(tracing::Level::INFO) {
        return;
    }
    let told = std::thread::Builder::new().name("sound devices".into()).spawn(|| {
        match audio::capture::devices() {
            Ok(devices) => {
                let names: Vec<&str> = devices.iter().map(|device| device.name.as_str()).collect();
                tracing::info!("sound devices: {}", names.join(", "));
            }
            Err(error) => tracing::info!("sound devices: {error}"),
        }
    });
    // Nobody is worse off without knowing.
    drop(told);
}

#[cfg(not(feature = "capture"))]
fn tell_devices() {
    tracing::info!("sound devices: this program was built without listening to them");
}
