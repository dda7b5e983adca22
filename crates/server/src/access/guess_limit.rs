use std::collections::VecDeque;
use std::sync::Mutex;
use std::time::{Duration, Instant};

/// Wrong codes that may be tried ...
const GUESSES: usize = 10;
/// ... within this; then all have to wait. A code has 192 random bits: this is against noise in the
/// log more than against luck.
const WITHIN: Duration = Duration::from_secs(60);

/// Counts wrong guesses of join codes.
#[derive(Debug, Default)]
pub(crate) struct GuessLimit {
    wrong: Mutex<VecDeque<Instant>>,
}

impl GuessLimit {
    /// Whether another may be tried now.
    pub(crate) fn may_guess(&self, now: Instant) -> bool {
        let mut wrong = self.wrong.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        while wrong.front().is_some_and(|t| now.duration_since(*t) > WITHIN) {
            wrong.pop_front();
        }
        wrong.len() < GUESSES
    }

    /// One was wrong.
    pub(crate) fn was_wrong(&self, now: Instant) {
        let mut wrong = self.wrong.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        wrong.push_back(now);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn guessing_ends_and_may_begin_again() {
        let limit = GuessLimit::default();
        let start = Instant::now();
        for _ in 0..GUESSES {
            assert!(limit.may_guess(start));
            limit.was_wrong(start);
        }
        assert!(!limit.may_guess(start + WITHIN));
        assert!(limit.may_guess(start + WITHIN + Duration::from_millis(1)));
    }
}
