//! Lets the engine hear recordings, two at a time.

use crate::recordings::Recording;
use beats::{Listener, Reading, Settings};
use quantities::{BeatFrequency, ClockError, LiftAngle, OutOfRange, RecorderClock, SampleRate};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use truth::score::ErrorSummary;
use truth::{Scenario, ScenarioError, Side, Sound, Truth};

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
    let truth = truth_as_heard(&recording.scenario, sound.truth())?;
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

/// The truth with the beat error between like shocks in place of that at the line of centres.
///
/// Whoever listens times shocks. From one unlocking to the next, and from drop to drop, the two
/// kinds of interval differ by more than between passages of the line of centres, which nobody
/// hears: by `(lift/2A)²/2` of it, 2 % at 150 degrees with a lift angle of 60 (the balance is the
/// slower the further it has swung, so what is off centre counts for more there).
fn truth_as_heard(scenario: &Scenario, mut truth: Truth) -> Result<Truth, NotLaidDown> {
    for (place, balance) in truth.balances.iter_mut().enumerate() {
        let Some(beats) = scenario.beats(place)? else { continue };
        let (mut tick, mut tock) = (ErrorSummary::default(), ErrorSummary::default());
        for beat in beats {
            let jitter_s = beat.time_s - beat.steady_time_s;
            let shocks_s = 0.5 * (beat.unlocking_s + beat.drop_s) - jitter_s;
            let side = if beat.side == Side::Tick { &mut tick } else { &mut tock };
            side.add(shocks_s - beat.even_time_s);
        }
        if tick.count > 0 && tock.count > 0 {
            balance.beat_error_ms = 1e3 * (tock.mean() - tick.mean()).abs();
        }
    }
    Ok(truth)
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

    /// Worked out by hand from the sine of the swing, at 150 degrees, lift 60, 18,000 beats per
    /// hour and 5 ms: rest is `150 sin(π 0.005/0.4) = 5.889` degrees off centre; unlocking and
    /// drop are 30 degrees from the centre on either side, so half the difference is
    /// `0.4/2π (asin(35.889/150) - asin(24.111/150))` = 5.103 ms. Tolerance: the digits given.
    /// Amplitude without spread, so that every beat is the same.
    #[test]
    fn beat_error_between_like_shocks() -> Result<(), NotLaidDown> {
        let scenario = Scenario::new(1).with_balance(truth::Balance {
            beats_per_hour: 18_000.0,
            amplitude_deg: 150.0,
            amplitude_sd_deg: 0.0,
            lift_deg: 60.0,
            beat_error_ms: 5.0,
            ..truth::Balance::default()
        });
        let truth = truth_as_heard(&scenario, scenario.truth()?)?;
        let heard_ms = truth.balances[0].beat_error_ms;
        assert!((heard_ms - 5.103).abs() < 6e-4, "{heard_ms}");
        Ok(())
    }

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
