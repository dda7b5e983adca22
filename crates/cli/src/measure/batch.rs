//! Several recordings at once: worked on in parallel, delivered in the order given.

use crate::failure::Failure;
use std::collections::BTreeMap;
use std::num::NonZero;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc;
use std::thread;

/// More do not pay: recordings wait for each other's memory then.
const MOST_JOBS: usize = 16;

/// How many to work on at once, where the user does not say.
pub(crate) fn usual_jobs() -> usize {
    thread::available_parallelism().map_or(1, NonZero::get).min(MOST_JOBS)
}

/// Does `work` for each item on up to `jobs` threads, and hands the results to `deliver` in the
/// order of the items, each as soon as those before it are there.
///
/// # Errors
/// The first that `deliver` gives; work that has not begun by then is left out.
pub(crate) fn in_order<T: Sync, R: Send>(
    items: &[T],
    jobs: usize,
    work: impl Fn(&T) -> R + Sync,
    mut deliver: impl FnMut(R) -> Result<(), Failure>,
) -> Result<(), Failure> {
    let next = AtomicUsize::new(0);
    let enough = AtomicBool::new(false);
    let (sender, receiver) = mpsc::channel();
    thread::scope(|scope| {
        for _ in 0..jobs.clamp(1, items.len().max(1)) {
            let sender = sender.clone();
            let (next, enough, work) = (&next, &enough, &work);
            scope.spawn(move || {
                while !enough.load(Ordering::Relaxed) {
                    let place = next.fetch_add(1, Ordering::Relaxed);
                    let Some(item) = items.get(place) else { break };
                    // Nobody listens any more where delivering has failed.
                    if sender.send((place, work(item))).is_err() {
                        break;
                    }
                }
            });
        }
        drop(sender);
        let mut waiting = BTreeMap::new();
        let mut due = 0;
        for (place, result) in receiver {
            waiting.insert(place, result);
            while let Some(result) = waiting.remove(&due) {
                due += 1;
                if let Err(failure) = deliver(result) {
                    enough.store(true, Ordering::Relaxed);
                    return Err(failure);
                }
            }
        }
        Ok(())
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    #[test]
    fn delivers_in_order_whoever_is_done_first() {
        let items: Vec<u64> = (0..20).collect();
        for jobs in [1, 3, 100] {
            let mut got = Vec::new();
            let work = |n: &u64| {
                thread::sleep(Duration::from_millis((n * 7) % 5));
                n * n
            };
            in_order(&items, jobs, work, |r| {
                got.push(r);
                Ok(())
            })
            .unwrap();
            assert_eq!(got, items.iter().map(|n| n * n).collect::<Vec<_>>());
        }
    }

    #[test]
    fn stops_where_nobody_takes_the_results() {
        let items: Vec<usize> = (0..10_000).collect();
        let begun = AtomicUsize::new(0);
        let work = |_: &usize| {
            thread::sleep(Duration::from_micros(100));
            begun.fetch_add(1, Ordering::Relaxed);
        };
        let refused = in_order(&items, 2, work, |()| Err(Failure::NobodyReads));
        assert_eq!(refused, Err(Failure::NobodyReads));
        assert!(begun.load(Ordering::Relaxed) < items.len());
    }

    #[test]
    fn nothing_to_do() {
        in_order(&[], 4, |(): &()| (), |()| Ok(())).unwrap();
    }
}
