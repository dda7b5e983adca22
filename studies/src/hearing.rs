//! Lets the engine hear recordings, two at a time.

use crate::recordings::Recording;
use beats::{Listener, Reading, Settings};
use quantities::{BeatFrequency, ClockError, LiftAngle, OutOfRange, RecorderClock, SampleRate};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use truth::{ScenarioError, Sound, Truth};

/// Recordings heard at the same time.
const THREADS: usize = 2;
/// Samples handed over at a time.
const BLOCK: usize = 1 << 16;

/// A recording that could not be laid down: a study asked for something absurd.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct NotLaidDown(pub(crate) String);

impl From<ScenarioError> for NotLaidDown {
    fn from(error: ScenarioError) -> Self {
        Self(error.to_string())
    }
}

impl From<OutOfRange> for NotLaidDown {
    fn from(error: OutOfRange) -> Self {
        Self(error.to_string())
    }
}

/// What was laid down and what was heard of it.
#[derive(Debug, Clone)]
pub(crate) struct Heard {
    pub(crate) truth: Truth,
    pub(crate) reading: Reading,
}

/// Lays the recording down block by block and lets the engine hear it.
pub(crate) fn hear(recording: &Recording) -> Result<Heard, NotLaidDown> {
    let mut sound = Sound::new(&recording.scenario)?;
    let truth = sound.truth();
    let rate = SampleRate::from_hz(f64::from(recording.scenario.sample_rate_hz))?;
    let settings = settings(recording)?;
    let mut listener = Listener::new(rate, recording.scenario.channels, settings);
    let channels = recording.scenario.channels;
    let mut block = vec![0.0_f32; BLOCK / channels * channels];
    loop {
        let filled = sound.fill(&mut block);
        if filled == 0 {
            break;
        }
        recording.store_as.round(&mut block[..filled]);
        listener.push(&block[..filled]);
    }
    Ok(Heard { truth, reading: listener.reading() })
}

/// What the user tells the engine.
fn settings(recording: &Recording) -> Result<Settings, NotLaidDown> {
    let told = &recording.told;
    let lift_angles =
        told.lift_deg.iter().map(|&deg| LiftAngle::from_deg(deg)).collect::<Result<_, _>>()?;
    let beats_per_hour = told
        .beats_per_hour
        .iter()
        .map(|&bph| BeatFrequency::from_per_hour(bph))
        .collect::<Result<_, _>>()?;
    let clock = match told.clock_ppm {
        Some((error, sd)) => RecorderClock::calibrated(ClockError::from_ppm(error)?, sd),
        None => RecorderClock::unknown(),
    };
    Ok(Settings { lift_angles, beats_per_hour, balances: told.balances, clock })
}

/// Does `work` for every number below `count`, on two threads; the results are in order.
pub(crate) fn for_each<T: Send>(count: usize, work: impl Fn(usize) -> T + Sync) -> Vec<T> {
    let next = AtomicUsize::new(0);
    let done = Mutex::new(Vec::with_capacity(count));
    std::thread::scope(|scope| {
        for _ in 0..THREADS.min(count) {
            scope.spawn(|| {
                loop {
                    let n = next.fetch_add(1, Ordering::Relaxed);
                    if n >= count {
                        break;
                    }
                    let result = work(n);
                    // A poisoned lock means that another thread died; its panic is passed on.
                    if let Ok(mut done) = done.lock() {
                        done.push((n, result));
                    }
                }
            });
        }
    });
    let mut done = done.into_inner().unwrap_or_else(std::sync::PoisonError::into_inner);
    done.sort_by_key(|(n, _)| *n);
    done.into_iter().map(|(_, result)| result).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_come_in_order() {
        let squares = for_each(100, |n| {
            std::thread::yield_now();
            n * n
        });
        assert_eq!(squares, (0..100).map(|n| n * n).collect::<Vec<_>>());
        assert!(for_each(0, |n| n).is_empty());
    }
}
