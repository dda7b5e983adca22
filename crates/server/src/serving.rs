//! The program as it serves: started, and ended so that nothing is lost.

use crate::access::{Door, GuessLimit, Through};
use crate::desk::{Bench, Desk, Inner};
use crate::failure::Failure;
use crate::live_desk::{LiveDesk, Simulated, clear_away, left_in_hand, take_in_what_was_left};
use crate::network::Network;
use crate::rehearing::Rehearing;
use crate::routes;
use hyper_util::rt::{TokioExecutor, TokioTimer};
use std::fs::{File, TryLockError};
use std::net::{Ipv4Addr, SocketAddr, TcpListener};
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::time::Duration;
use store::Store;
use thiserror::Error;
use tokio::sync::watch;
use tokio::task::JoinHandle;

/// Open connections are waited for so long at the end.
const LAST_WAIT: Duration = Duration::from_secs(2);

/// A connection that says nothing for so long is closed.
const SILENCE: Duration = Duration::from_secs(30);

/// How to serve.
#[derive(Debug, Clone)]
pub struct Options {
    /// How this machine is called in the history, and what whoever sits at it may do.
    pub bench: Bench,
    /// Port for this machine's own pages; 0 for any that is free.
    pub port: u16,
    /// Port for devices that join; 0 for any that is free. It opens when the first is let in.
    pub network_port: u16,
    /// Where certificate and unfinished readings lie.
    pub folder: PathBuf,
    /// Whether this is the invented workshop.
    pub demo: bool,
    /// Simulated watches among the sound devices.
    pub simulated: Vec<Simulated>,
}

/// Why it cannot serve.
#[derive(Debug, Error)]
pub enum StartFailure {
    /// Somebody else has the port, or it is not ours to open.
    #[error(
        "Port {port} of this machine cannot be opened ({why}). Is the program running already? \
         Else name another port with --port."
    )]
    Port {
        /// Which.
        port: u16,
        /// Why.
        why: String,
    },
    /// Another program serves from the same folder.
    #[error(
        "Another program serves from {0} already: use that one, or name another folder with --data."
    )]
    Taken(PathBuf),
    /// The folder cannot be used.
    #[error("{folder} cannot be written ({why}): name another folder with --data.")]
    Folder {
        /// Which.
        folder: PathBuf,
        /// Why.
        why: String,
    },
}

/// The program while it serves.
pub struct Serving {
    address: SocketAddr,
    desk: Desk,
    ending: watch::Sender<bool>,
    server: JoinHandle<std::io::Result<()>>,
    /// Held for as long as it serves.
    _alone: File,
}

/// Begins to serve what is in a store, to this machine alone.
///
/// # Errors
/// [`StartFailure`].
pub async fn serve(store: Store, options: Options) -> Result<Serving, StartFailure> {
    let alone = alone_in(&options.folder)?;
    let cannot = |e: std::io::Error| StartFailure::Port { port: options.port, why: e.to_string() };
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, options.port)).map_err(cannot)?;
    listener.set_nonblocking(true).map_err(cannot)?;
    let address = listener.local_addr().map_err(cannot)?;
    let (ending, ends) = watch::channel(false);
    let in_hand = options.folder.join("readings-in-hand");
    clear_away(&in_hand);
    let left = left_in_hand(&in_hand);
    let desk = Desk::new(Inner {
        store,
        bench: options.bench,
        live: LiveDesk::new(options.simulated),
        in_force: Mutex::default(),
        rehearing: Rehearing::new(ends.clone()),
        guesses: GuessLimit::default(),
        network: Network::new(options.network_port, options.folder.clone()),
        papers: crate::papers::Office::default(),
        archives: crate::archive_desk::ArchiveDesk::default(),
        small_photos: Mutex::new(lru::LruCache::new(routes::SMALL_HELD)),
        port: address.port(),
        looks: tokio::sync::Mutex::default(),
        in_hand,
        folder: options.folder,
        demo: options.demo,
        ending: ends.clone(),
    });
    let through = Through { door: Door::Bench, port: address.port() };
    let router = routes::router(desk.clone(), through);
    let handle = axum_server::Handle::new();
    let mut server = axum_server::from_tcp(listener).map_err(cannot)?.handle(handle.clone());
    limit(server.http_builder());
    let server = tokio::spawn(server.serve(router.into_make_service()));
    end_with(ends, handle);
    let begun = desk.clone();
    tokio::spawn(async move {
        if let Err(failure) = open_to_those_who_joined(&begun).await {
            tracing::warn!("devices that joined cannot come in: {failure:?}");
        }
        take_in_what_was_left(&begun, left).await;
    });
    Ok(Serving { address, desk, ending, server, _alone: alone })
}

/// Who says nothing is not waited for for ever: connections are few on a bench.
pub(crate) fn limit(builder: &mut hyper_util::server::conn::auto::Builder<TokioExecutor>) {
    builder.http1().timer(TokioTimer::new()).header_read_timeout(SILENCE);
    builder
        .http2()
        .timer(TokioTimer::new())
        .keep_alive_interval(SILENCE)
        .keep_alive_timeout(SILENCE);
}

/// Ends a server when the program ends: at once for who asks nothing, soon for who does.
pub(crate) fn end_with<A: axum_server::Address + Send + Sync + 'static>(
    mut ending: watch::Receiver<bool>,
    handle: axum_server::Handle<A>,
) {
    tokio::spawn(async move {
        // Where nobody is left to say so, it is the end too.
        let _ = ending.wait_for(|ending| *ending).await;
        handle.graceful_shutdown(Some(LAST_WAIT));
    });
}

/// Makes sure that no other program uses this folder; the system lets go of it however we end.
fn alone_in(folder: &Path) -> Result<File, StartFailure> {
    let cannot =
        |e: std::io::Error| StartFailure::Folder { folder: folder.to_owned(), why: e.to_string() };
    std::fs::create_dir_all(folder).map_err(cannot)?;
    let file = File::create(folder.join("serving.lock")).map_err(cannot)?;
    match file.try_lock() {
        Ok(()) => Ok(file),
        Err(TryLockError::WouldBlock) => Err(StartFailure::Taken(folder.to_owned())),
        Err(TryLockError::Error(error)) => Err(cannot(error)),
    }
}

/// A device that was let in before finds the door open after a restart too.
async fn open_to_those_who_joined(desk: &Desk) -> Result<(), Failure> {
    if desk.store.devices().await?.iter().any(|device| device.turned_out.is_none()) {
        desk.network.open(desk).await?;
    }
    Ok(())
}

impl Serving {
    /// Where the page is, for this machine.
    #[must_use]
    pub fn address(&self) -> SocketAddr {
        self.address
    }

    /// Ends: readings that are being taken end with what they have and are kept, then the store is
    /// closed.
    pub async fn end(self) {
        self.desk.live.end_all();
        self.desk.live.all_kept(Duration::from_secs(20)).await;
        // Everybody who streams is told.
        let _ = self.ending.send(true);
        let _ = tokio::time::timeout(2 * LAST_WAIT, self.server).await;
        self.desk.store.clone().close().await;
    }
}
