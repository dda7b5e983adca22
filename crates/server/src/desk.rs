//! What all requests share.

use crate::access::GuessLimit;
use crate::archive_desk::ArchiveDesk;
use crate::failure::Failure;
use crate::live_desk::LiveDesk;
use crate::movement::InForce;
use crate::network::Network;
use crate::papers::Office;
use crate::rehearing::Rehearing;
use std::net::{IpAddr, Ipv4Addr};
use std::path::PathBuf;
use std::sync::{Arc, Mutex};
use store::{By, Role, Store};
use tokio::sync::broadcast::error::RecvError;
use tokio::sync::watch;

/// What all requests share. Cheap to clone.
#[derive(Clone)]
pub(crate) struct Desk(Arc<Inner>);

pub(crate) struct Inner {
    pub(crate) store: Store,
    /// Who asks through this machine's own door.
    pub(crate) bench: Bench,
    pub(crate) live: LiveDesk,
    pub(crate) rehearing: Rehearing,
    /// The words and rules in force, as they were made last.
    pub(crate) in_force: Mutex<Option<Arc<InForce>>>,
    pub(crate) guesses: GuessLimit,
    pub(crate) network: Network,
    pub(crate) papers: Office,
    pub(crate) archives: ArchiveDesk,
    pub(crate) small_photos: Mutex<lru::LruCache<jobs::MediaHash, bytes::Bytes>>,
    /// The folder of everything.
    pub(crate) folder: PathBuf,
    /// The port at which the bench's own page is.
    pub(crate) port: u16,
    /// Held by whoever looks whether all is well.
    pub(crate) looks: tokio::sync::Mutex<()>,
    /// Where the sound of a reading lies while it is taken.
    pub(crate) in_hand: PathBuf,
    pub(crate) demo: bool,
    /// Turns true when the program is to end: whoever streams ends then.
    pub(crate) ending: watch::Receiver<bool>,
}

impl std::ops::Deref for Desk {
    type Target = Inner;

    fn deref(&self) -> &Inner {
        &self.0
    }
}

impl Desk {
    pub(crate) fn new(inner: Inner) -> Self {
        Self(Arc::new(inner))
    }

    /// The failure that a failed change is told as: where somebody else was first, with what it
    /// says now.
    pub(crate) async fn refused(&self, error: store::Error) -> Failure {
        let store::Error::Conflict(present) = error else { return error.into() };
        match crate::routes::present(self, *present).await {
            Ok(now) => Failure::Conflict(Box::new(now)),
            Err(failure) => failure,
        }
    }
}

/// Who asks.
#[derive(Debug, Clone)]
pub(crate) struct Asker {
    /// As the history names it.
    pub(crate) name: String,
    /// Where it has joined.
    pub(crate) device: Option<store::Device>,
    /// What it may do; none: it has not joined.
    pub(crate) role: Option<Role>,
    /// Whether it sits at the machine on which this runs.
    pub(crate) local: bool,
    /// From where it asks.
    pub(crate) address: IpAddr,
}

/// The machine on which this runs: several may work on one database.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bench {
    /// As the history names it.
    pub name: String,
    /// What whoever sits at it may do.
    pub role: Role,
}

impl Default for Bench {
    /// The only one there is, and its owner's.
    fn default() -> Self {
        Self { name: "bench".into(), role: Role::Owner }
    }
}

impl Bench {
    /// With a name and what may be done there.
    ///
    /// # Errors
    ///
    /// Where the name is no line that the history can show.
    pub fn called(name: &str, role: Role) -> Result<Self, jobs::Invalid> {
        let name = name.trim();
        jobs::check_line("name of the bench", name)?;
        Ok(Self { name: name.into(), role })
    }

    /// Who asks there.
    pub(crate) fn asker(&self) -> Asker {
        Asker {
            name: self.name.clone(),
            device: None,
            role: Some(self.role),
            local: true,
            address: Ipv4Addr::LOCALHOST.into(),
        }
    }
}

impl Asker {
    /// Whether it may do what asks for this role.
    pub(crate) fn reaches(&self, least: Role) -> bool {
        self.role.is_some_and(|has| has >= least)
    }

    /// A change that it makes now.
    pub(crate) fn by(&self) -> By {
        By::now(&self.name)
    }

    /// Waits until this device is turned out, or has another role: what it has open was let in for
    /// what it was. For ever, where that cannot be.
    pub(crate) async fn turned_out(&self, desk: &Desk) {
        let Some(device) = &self.device else { return std::future::pending().await };
        let mut changes = desk.store.listen();
        loop {
            match changes.recv().await {
                Ok(change) if change.subject != store::Subject::Device => continue,
                Err(RecvError::Closed) => return,
                Ok(_) | Err(RecvError::Lagged(_)) => {}
            }
            let devices = desk.store.devices().await;
            let as_it_was = |d: &store::Device| {
                d.id == device.id && d.turned_out.is_none() && d.role == device.role
            };
            let there = devices.is_ok_and(|all| all.iter().any(as_it_was));
            if !there {
                return;
            }
        }
    }

    /// Only the bench may.
    pub(crate) fn must_be_local(&self) -> Result<(), Failure> {
        if self.local { Ok(()) } else { Err(Failure::BenchOnly) }
    }
}
