use std::collections::HashMap;
use std::net::IpAddr;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// Wrong codes that may be tried from one address ...
const GUESSES: usize = 10;
/// ... within this; then it has to wait. A code has 192 random bits: this is against noise in the
/// log more than against luck.
const WITHIN: Duration = Duration::from_secs(60);
/// Addresses that are held; beyond it the quietest are forgotten.
const MOST_ADDRESSES: usize = 1_000;

/// Counts wrong guesses of join codes, address by address: who guesses holds up nobody else.
#[derive(Debug, Default)]
pub(crate) struct GuessLimit {
    wrong: Mutex<HashMap<IpAddr, Vec<Instant>>>,
}

impl GuessLimit {
    /// Whether another may be tried now.
    pub(crate) fn may_guess(&self, from: IpAddr, now: Instant) -> bool {
        let mut wrong = self.wrong.lock().unwrap_or_else(PoisonError::into_inner);
        let Some(times) = wrong.get_mut(&from) else { return true };
        times.retain(|t| now.duration_since(*t) <= WITHIN);
        times.len() < GUESSES
    }

    /// One was wrong.
    pub(crate) fn was_wrong(&self, from: IpAddr, now: Instant) {
        let mut wrong = self.wrong.lock().unwrap_or_else(PoisonError::into_inner);
        if wrong.len() >= MOST_ADDRESSES {
            wrong.retain(|_, times| times.iter().any(|t| now.duration_since(*t) <= WITHIN));
        }
        if wrong.len() < MOST_ADDRESSES || wrong.contains_key(&from) {
            wrong.entry(from).or_default().push(now);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::net::Ipv4Addr;

    #[test]
    fn guessing_ends_and_may_begin_again_and_holds_up_nobody_else() {
        let limit = GuessLimit::default();
        let start = Instant::now();
        let address = |n| IpAddr::from(Ipv4Addr::new(192, 0, 2, n));
        for _ in 0..GUESSES {
            assert!(limit.may_guess(address(1), start));
            limit.was_wrong(address(1), start);
        }
        assert!(!limit.may_guess(address(1), start + WITHIN));
        assert!(limit.may_guess(address(2), start + WITHIN));
        assert!(limit.may_guess(address(1), start + WITHIN + Duration::from_millis(1)));
    }
}
