//! What a service manager wants to know: when the bench is open, and when it ends (sd_notify(3)). Where
//! there is none, nobody is told.

/// The bench is open.
#[cfg(target_os = "linux")]
pub(crate) fn ready(words: &str) {
    use sd_notify::NotifyState::{Ready, Status};
    told(&[Ready, Status(words)]);
}

/// It ends.
#[cfg(target_os = "linux")]
pub(crate) fn ending() {
    told(&[sd_notify::NotifyState::Stopping]);
}

#[cfg(target_os = "linux")]
fn told(states: &[sd_notify::NotifyState<'_>]) {
    if let Err(error) = sd_notify::notify(states) {
        tracing::warn!("the service manager cannot be told: {error}");
    }
}

/// The bench is open.
#[cfg(not(target_os = "linux"))]
pub(crate) fn ready(_words: &str) {}

/// It ends.
#[cfg(not(target_os = "linux"))]
pub(crate) fn ending() {}
