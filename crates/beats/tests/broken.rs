//! Sound from which a recorder lost samples, or into which it put some.
#![allow(clippy::expect_used, reason = "a test says what went wrong by failing")]

mod simulated;

use beats::{Listener, Reading, Settings, WarningCode};
use quantities::SampleRate;
use simulated::{count, rate_error, sound};
use truth::{Balance, Noise, Scenario, Voice, VoiceFamily};

const RATE_HZ: usize = 48_000;

fn balance(s_per_d: f64, offset_s: f64, seed: u64) -> Balance {
    Balance {
        rate_s_per_d: s_per_d,
        beat_error_ms: 0.4,
        offset_s,
        voice: Voice::new(VoiceFamily::Bright, seed),
        ..Balance::default()
    }
}

fn recording(balances: Vec<Balance>) -> Vec<f32> {
    let noises = vec![Noise::White { rms_db: -65.0 }];
    sound(&Scenario { duration_s: 50.0, balances, noises, ..Scenario::new(7) })
}

fn read(samples: &[f32]) -> Reading {
    let rate = SampleRate::from_hz(RATE_HZ as f64).expect("a usual rate");
    let mut listener = Listener::new(rate, 1, Settings::default());
    listener.push(samples);
    listener.reading()
}

fn without(mut samples: Vec<f32>, at_s: usize, ms: usize) -> Vec<f32> {
    samples.drain(at_s * RATE_HZ..at_s * RATE_HZ + ms * RATE_HZ / 1_000);
    samples
}

fn with_zeros(mut samples: Vec<f32>, at_s: usize, ms: usize) -> Vec<f32> {
    let at = at_s * RATE_HZ;
    samples.splice(at..at, vec![0.0; ms * RATE_HZ / 1_000]);
    samples
}

fn said(reading: &Reading) -> String {
    let found = reading.warnings.iter().find(|w| w.code == WarningCode::SoundBroken);
    found.map(|w| w.message.clone()).unwrap_or_default()
}

/// What was taken out is known, and so is the rate (the simulator's truth); the limit is five
/// deviations. Ten milliseconds in fifty seconds would be 17 s/d.
#[test]
fn a_block_that_is_missing_is_said_and_does_not_spoil_the_rate() {
    for ms in [2, 10, 40] {
        let reading = read(&without(recording(vec![balance(6.0, 0.05, 3)]), 21, ms));
        assert_eq!(reading.balances.len(), 1, "{ms} ms");
        let (error, sd) = rate_error(&reading.balances[0], 6.0);
        assert!(error.abs() < 5.0 * sd && sd < 0.2, "{ms} ms: {error} ± {sd}");
        assert_eq!(count(&reading, WarningCode::SoundBroken), 1, "{ms} ms");
        let message = said(&reading);
        assert!(message.contains(&format!("sound is missing, some {ms}.0 ms")), "{message}");
        assert!(message.contains("or the watch was jolted"), "{message}");
        assert_eq!(count(&reading, WarningCode::Started), 0);
        assert_eq!(count(&reading, WarningCode::Stopped), 0);
        // A line in two pieces with one slope: each half of the length has a quarter of the
        // lever, so that the deviation is about twice that of the whole.
        let whole = read(&recording(vec![balance(6.0, 0.05, 3)]));
        let whole_sd = rate_error(&whole.balances[0], 6.0).1;
        assert!(sd > 1.5 * whole_sd, "{sd} {whole_sd}");
    }
}

#[test]
fn a_block_put_in_is_found() {
    for seed in [4, 5, 6] {
        let broken = with_zeros(recording(vec![balance(-9.0, 0.05, seed)]), 27, 10);
        let reading = read(&broken);
        assert_eq!(reading.balances.len(), 1, "{seed}");
        let (error, sd) = rate_error(&reading.balances[0], -9.0);
        assert!(error.abs() < 5.0 * sd, "{seed}: {error} ± {sd}");
        assert_eq!(count(&reading, WarningCode::SoundBroken), 1, "{seed}");
        let message = said(&reading);
        assert!(message.contains("put into the sound, some 10.0 ms"), "{seed}: {message}");
    }
}

/// All balances step alike: that was the recorder.
#[test]
fn two_balances_that_step_alike_are_two_and_the_recorder_did_it() {
    let two = vec![balance(6.0, 0.05, 3), balance(-8.0, 0.10, 4)];
    let reading = read(&without(recording(two), 23, 10));
    assert_eq!(reading.balances.len(), 2);
    assert_eq!(count(&reading, WarningCode::SoundBroken), 1);
    assert!(!said(&reading).contains("jolted"), "{}", said(&reading));
}

#[test]
fn whole_sound_is_not_called_broken() {
    let mut waves = balance(3.0, 0.05, 5);
    waves.timing_ripple_ms =
        vec![truth::Ripple { semi_amplitude: 0.4, period_s: 6.0, phase_turns: 0.1 }];
    let mut late = balance(3.0, 0.05, 6);
    late.starts_at_s = Some(12.0);
    let crossing = vec![balance(9.0, 0.05, 7), balance(-9.0, 0.058, 8)];
    for balances in [vec![waves], vec![late], crossing] {
        let reading = read(&recording(balances));
        assert_eq!(count(&reading, WarningCode::SoundBroken), 0, "{}", said(&reading));
    }
}

/// Several breaks in one stretch tilt the line through all its beats, leave a hole in its middle, or
/// no piece that stands out: each is found all the same. The limit is five deviations.
#[test]
fn two_breaks_in_one_stretch_are_both_found() {
    for seed in 4..10 {
        let whole = || recording(vec![balance(-9.0, 0.05, seed)]);
        for (name, broken) in [
            ("in, in", with_zeros(with_zeros(whole(), 33, 10), 15, 10)),
            ("out, in", without(with_zeros(whole(), 33, 10), 15, 10)),
            ("out, out", without(without(whole(), 36, 25), 11, 4)),
        ] {
            let reading = read(&broken);
            assert_eq!(reading.balances.len(), 1, "{seed} {name}");
            let (error, sd) = rate_error(&reading.balances[0], -9.0);
            assert!(error.abs() < 5.0 * sd && sd < 0.2, "{seed} {name}: {error} ± {sd}");
            assert_eq!(count(&reading, WarningCode::SoundBroken), 2, "{seed} {name}");
        }
    }
}
