//! Whether the computer's clock is kept right by time servers: as the system says.

use std::process::{Command, Stdio};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{self, RecvTimeoutError, Sender};
use std::time::Duration;

/// It is asked for this often.
const ASK_AGAIN: Duration = Duration::from_secs(60);

/// Whether the kernel counts its clock as synchronised: what `timedatectl` reports of it
/// (`NTPSynchronized`, timedatectl(1)). Nothing is changed. `None` where the system has no such
/// command or does not say.
#[must_use]
pub fn computer_is_synchronised() -> Option<bool> {
    let output = Command::new("timedatectl")
        .args(["show", "--property=NTPSynchronized", "--value"])
        .stdin(Stdio::null())
        .stderr(Stdio::null())
        .output()
        .ok()?;
    match String::from_utf8_lossy(&output.stdout).trim() {
        "yes" => Some(true),
        "no" => Some(false),
        _ => None,
    }
}

/// Asks again and again, on a thread of its own, for the answer may take seconds.
#[derive(Debug)]
pub struct SynchronisedWatch {
    synchronised: Arc<AtomicBool>,
    /// Dropped, it ends the thread.
    _stop: Sender<()>,
}

impl SynchronisedWatch {
    /// Begins to ask.
    ///
    /// # Errors
    /// Where the system has no threads left.
    pub fn start() -> std::io::Result<Self> {
        let synchronised = Arc::new(AtomicBool::new(false));
        let (stop, stopped) = mpsc::channel::<()>();
        let answer = synchronised.clone();
        std::thread::Builder::new().name("computer's clock".into()).spawn(move || {
            loop {
                let yes = computer_is_synchronised() == Some(true);
                answer.store(yes, Ordering::Relaxed);
                if stopped.recv_timeout(ASK_AGAIN) != Err(RecvTimeoutError::Timeout) {
                    break;
                }
            }
        })?;
        Ok(Self { synchronised, _stop: stop })
    }

    /// The last answer; not, where nobody knows.
    #[must_use]
    pub fn synchronised(&self) -> bool {
        self.synchronised.load(Ordering::Relaxed)
    }
}
