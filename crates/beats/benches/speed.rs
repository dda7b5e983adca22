//! Speed of the whole engine: a minute and ten minutes of sound at 48 kHz, one channel, gone through
//! on one thread. `elem/s` are seconds of sound a second: times real time.
//!
//! The sound is made before the clock runs. Where the system tells it, the time is what the thread
//! spent on the processor, so that a busy machine does not spoil it; else time on the wall.
#![allow(missing_docs, reason = "criterion's macros make undocumented items")]

use beats::{Listener, Settings};
use criterion::measurement::{Measurement, ValueFormatter, WallTime};
use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use quantities::SampleRate;
use std::hint::black_box;
use std::time::{Duration, Instant};
use truth::scenarios::{TwoBalances, clear_single, two};
use truth::{Scenario, Sound};

const RATE_HZ: f64 = 48_000.0;
/// Samples a block, as a decoder hands them out.
const BLOCK: usize = 4_096;

/// Time that this thread spent on the processor.
struct OwnTime;

/// Nanoseconds of it so far (Linux: first number of `schedstat`, proc_pid_schedstat(5)).
fn own_ns() -> Option<u64> {
    let stat = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    stat.split_whitespace().next()?.parse().ok()
}

impl Measurement for OwnTime {
    type Intermediate = (Option<u64>, Instant);
    type Value = Duration;

    fn start(&self) -> Self::Intermediate {
        (own_ns(), Instant::now())
    }

    fn end(&self, start: Self::Intermediate) -> Duration {
        match (start.0, own_ns()) {
            (Some(from), Some(to)) => Duration::from_nanos(to.saturating_sub(from)),
            _ => start.1.elapsed(),
        }
    }

    fn add(&self, a: &Duration, b: &Duration) -> Duration {
        *a + *b
    }

    fn zero(&self) -> Duration {
        Duration::ZERO
    }

    fn to_f64(&self, value: &Duration) -> f64 {
        WallTime.to_f64(value)
    }

    fn formatter(&self) -> &dyn ValueFormatter {
        WallTime.formatter()
    }
}

fn sound_of(scenario: &Scenario) -> Vec<f32> {
    Sound::new(scenario).map(Sound::rest).unwrap_or_default()
}

fn heard(sound: &[f32], settings: &Settings) -> usize {
    let Ok(rate) = SampleRate::from_hz(RATE_HZ) else { return 0 };
    let mut listener = Listener::new(rate, 1, settings.clone());
    for block in sound.chunks(BLOCK) {
        listener.push(block);
    }
    listener.reading().balances.len()
}

fn speed(c: &mut Criterion<OwnTime>) {
    go_through(c, "a_minute_at_48_kHz", 60);
    go_through(c, "ten_minutes_at_48_kHz", 600);
}

fn go_through(c: &mut Criterion<OwnTime>, name: &str, length_s: u32) {
    let duration_s = f64::from(length_s);
    let one = clear_single(11).with_duration_s(duration_s);
    let apart = TwoBalances {
        duration_s,
        lag_ms: 40.0,
        rate_difference_s_per_d: 5.0,
        ..TwoBalances::default()
    };
    let mut group = c.benchmark_group(name);
    group.sample_size(10).measurement_time(Duration::from_secs(12));
    for (name, scenario, balances) in [("one_balance", one, 1), ("two_balances", two(&apart, 3), 2)]
    {
        let sound = sound_of(&scenario);
        let settings = Settings::default();
        // A benchmark of an engine that hears nothing would be a fast one.
        assert_eq!(heard(&sound, &settings), balances, "{name}");
        group.throughput(Throughput::Elements(length_s.into()));
        group.bench_function(name, |b| b.iter(|| heard(black_box(&sound), &settings)));
    }
    group.finish();
}

/// What taking samples in costs by itself: less than a stretch of silence, which is never gone
/// through. Too short for a thread's own time, which is counted in ticks.
fn push(c: &mut Criterion) {
    const LENGTH_S: u32 = 30;
    let quiet = vec![1e-3f32; (RATE_HZ as usize) * LENGTH_S as usize];
    let mut group = c.benchmark_group("push_30_s");
    group.throughput(Throughput::Elements(LENGTH_S.into()));
    for channels in [1, 2] {
        group.bench_function(format!("{channels}_channels"), |b| {
            b.iter(|| {
                let Ok(rate) = SampleRate::from_hz(RATE_HZ) else { return };
                let mut listener = Listener::new(rate, channels, Settings::default());
                for block in quiet.chunks(BLOCK) {
                    listener.push(black_box(block));
                }
                black_box(&listener);
            });
        });
    }
    group.finish();
}

criterion_group! {
    name = whole;
    config = Criterion::default().with_measurement(OwnTime);
    targets = speed
}
criterion_group!(taking_in, push);
criterion_main!(whole, taking_in);
