//! Recordings that are worked on at once share a bound on memory: those that need much take turns.

use std::sync::{Condvar, Mutex, PoisonError};
use std::thread;

/// Samples (of all channels together) of recordings that may be held at once. The engine holds up to
/// this many of a recording of any length, and some 20 bytes for each while it listens.
const MOST_SAMPLES: u64 = 3_000_000;
/// No more of a recording is held at once than this, seconds.
const LONGEST_HELD_S: f64 = 80.0;

/// Hands out what may be held.
#[derive(Debug)]
pub(crate) struct Turns {
    left: Mutex<u64>,
    given_back: Condvar,
}

/// Does work on a thread of its own. What it takes from the system's allocator is taken over by the
/// next such thread; threads that live on would each keep theirs.
///
/// # Errors
/// Where the work panicked.
pub(crate) fn apart<R: Send>(work: impl FnOnce() -> R + Send) -> thread::Result<R> {
    thread::scope(|scope| scope.spawn(work).join())
}

/// A share that is given back when it is dropped.
#[derive(Debug)]
pub(crate) struct Turn<'a> {
    turns: &'a Turns,
    samples: u64,
}

impl Turns {
    pub(crate) fn new() -> Self {
        Self { left: Mutex::new(MOST_SAMPLES), given_back: Condvar::new() }
    }

    /// Waits until a recording of so many samples a second, of all channels together, may be held.
    /// Where its length is not known it counts as long.
    pub(crate) fn for_recording(&self, samples_per_s: f64, length_s: Option<f64>) -> Turn<'_> {
        let held_s = length_s.filter(|s| *s >= 0.0).unwrap_or(LONGEST_HELD_S).min(LONGEST_HELD_S);
        self.wait((samples_per_s * held_s) as u64)
    }

    /// Waits until nothing else is held.
    pub(crate) fn alone(&self) -> Turn<'_> {
        self.wait(MOST_SAMPLES)
    }

    fn wait(&self, samples: u64) -> Turn<'_> {
        let samples = samples.min(MOST_SAMPLES);
        let mut left = self.left.lock().unwrap_or_else(PoisonError::into_inner);
        while *left < samples {
            left = self.given_back.wait(left).unwrap_or_else(PoisonError::into_inner);
        }
        *left -= samples;
        Turn { turns: self, samples }
    }
}

impl Drop for Turn<'_> {
    fn drop(&mut self) {
        *self.turns.left.lock().unwrap_or_else(PoisonError::into_inner) += self.samples;
        self.turns.given_back.notify_all();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicU64, Ordering};

    #[test]
    fn long_recordings_take_turns_and_short_ones_do_not() {
        let turns = Turns::new();
        // Two of 20 s at 48 kHz fit: if not, this would wait for ever.
        let (one, two) =
            (turns.for_recording(48e3, Some(20.0)), turns.for_recording(48e3, Some(20.0)));
        drop((one, two));
        let (held, most) = (AtomicU64::new(0), AtomicU64::new(0));
        std::thread::scope(|scope| {
            for length_s in [None, Some(600.0), Some(1e9), Some(-1.0), Some(f64::NAN), Some(70.0)] {
                let (turns, held, most) = (&turns, &held, &most);
                scope.spawn(move || {
                    let turn = turns.for_recording(96e3, length_s);
                    most.fetch_max(held.fetch_add(1, Ordering::SeqCst) + 1, Ordering::SeqCst);
                    std::thread::sleep(std::time::Duration::from_millis(5));
                    held.fetch_sub(1, Ordering::SeqCst);
                    drop(turn);
                });
            }
        });
        assert_eq!(most.load(Ordering::SeqCst), 1);
        drop(turns.alone());
    }
}
