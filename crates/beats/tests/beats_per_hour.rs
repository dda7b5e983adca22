//! Which beats are heard without being told, and one fast balance against two slow ones that beat
//! by turns.
#![allow(clippy::expect_used, reason = "a test says what went wrong by failing")]

mod simulated;

use beats::{HEARD_BEATS_PER_HOUR, Listener, Reading, Settings, WarningCode};
use quantities::{BeatFrequency, SampleRate};
use simulated::{count, listen, sound};
use truth::{Balance, Noise, Scenario, Voice, VoiceFamily};

const VOICES: [VoiceFamily; 4] =
    [VoiceFamily::Bright, VoiceFamily::Ringing, VoiceFamily::Rasping, VoiceFamily::Dull];

fn recording(seed: u64, duration_s: f64, balances: Vec<Balance>) -> Scenario {
    let noises = vec![Noise::White { rms_db: -65.0 }];
    Scenario { duration_s, balances, noises, ..Scenario::new(seed) }
}

fn balance(beats_per_hour: f64, seed: u64) -> Balance {
    let part = |of: u64| (seed * 7 % of) as f64 / (of - 1) as f64;
    Balance {
        beats_per_hour,
        rate_s_per_d: 60.0 * part(11) - 30.0,
        amplitude_deg: 190.0 + 110.0 * part(5),
        beat_error_ms: 1.5 * part(7),
        voice: Voice::new(VOICES[seed as usize % 4], seed),
        offset_s: 0.02,
        ..Balance::default()
    }
}

/// The beats of watches, pocket watches and clocks with a balance, and both ends of what is heard
/// (common practice, no published source for the list). A beat is right or wrong by a ratio of whole
/// numbers, so that one in a thousand is near enough.
#[test]
fn every_usual_beat_is_heard_without_being_told() {
    let (least, most) = HEARD_BEATS_PER_HOUR;
    let all = [
        least, 12_000.0, 12_342.0, 14_400.0, 14_580.0, 16_200.0, 18_000.0, 19_800.0, 21_600.0,
        25_200.0, 28_800.0, 32_400.0, 36_000.0, 43_200.0, 57_600.0, most,
    ];
    for beats_per_hour in all {
        for seed in 1..=4 {
            let reading = listen(&recording(seed, 15.0, vec![balance(beats_per_hour, seed)]));
            assert_eq!(reading.balances.len(), 1, "{beats_per_hour} {seed}");
            let b = &reading.balances[0];
            let measured = b.measured_beats_per_hour.expect("a beat").value;
            assert!((measured / beats_per_hour - 1.0).abs() < 1e-3, "{beats_per_hour} {measured}");
            let named = b.nominal.map(|n| n.per_hour());
            assert!(beats_per_hour == least || named == Some(beats_per_hour), "{named:?}");
            assert_eq!(count(&reading, WarningCode::OneOrTwo), 0, "{beats_per_hour} {seed}");
        }
    }
}

/// Told a beat that does not fit, the watch is reported at its own, with a word about it.
#[test]
fn a_watch_at_another_beat_than_told_is_reported() {
    for (named, runs) in [(21_600.0, 28_800.0), (28_800.0, 18_000.0), (36_000.0, 18_000.0)] {
        let scenario = recording(2, 20.0, vec![balance(runs, 2)]);
        let reading = listen_told(&scenario, named);
        assert_eq!(reading.balances.len(), 1, "{named}");
        assert_eq!(reading.balances[0].nominal.map(|n| n.per_hour()), Some(runs));
        assert_eq!(count(&reading, WarningCode::BeatNotAsTold), 1);
        let right = listen_told(&scenario, runs);
        assert_eq!(count(&right, WarningCode::BeatNotAsTold), 0);
        assert_eq!(right.balances.len(), 1);
    }
    let silence = recording(2, 20.0, Vec::new());
    assert!(listen_told(&silence, 21_600.0).balances.is_empty());
}

fn listen_told(scenario: &Scenario, beats_per_hour: f64) -> Reading {
    let told = BeatFrequency::from_per_hour(beats_per_hour).expect("a beat");
    let settings = Settings { beats_per_hour: vec![told], ..Settings::default() };
    let rate = SampleRate::from_hz(f64::from(scenario.sample_rate_hz)).expect("a usual rate");
    let mut listener = Listener::new(rate, scenario.channels, settings);
    listener.push(&sound(scenario));
    listener.reading()
}

/// Two balances at one rate, half a beat apart, each with a beat error of its own: they are two.
#[test]
fn two_that_beat_by_turns_are_no_fast_one() {
    for beats_per_hour in [18_000.0, 21_600.0, 36_000.0] {
        for seed in [1, 2] {
            let a = balance(beats_per_hour, seed);
            let b = Balance {
                offset_s: a.offset_s + 1_800.0 / beats_per_hour,
                amplitude_deg: 250.0,
                beat_error_ms: a.beat_error_ms + 0.5,
                voice: Voice::new(VOICES[seed as usize + 1], 70 + seed),
                rate_s_per_d: a.rate_s_per_d,
                loudness: 0.4,
                ..Balance::default()
            };
            let b = Balance { beats_per_hour, ..b };
            let reading = listen(&recording(seed, 30.0, vec![a, b]));
            let heard: Vec<f64> =
                reading.balances.iter().filter_map(|b| Some(b.nominal?.per_hour())).collect();
            assert_eq!(heard, [beats_per_hour; 2], "{seed}");
        }
    }
}

/// Where both are in beat nothing but the small amplitude of the one tells them from two, so the
/// reading names both and is not sure.
#[test]
fn two_in_beat_that_beat_by_turns_are_not_taken_for_one_silently() {
    let in_beat = |offset_s: f64, seed: u64| Balance {
        beats_per_hour: 18_000.0,
        amplitude_deg: 230.0,
        beat_error_ms: 0.0,
        voice: Voice::new(VoiceFamily::Bright, seed),
        offset_s,
        ..Balance::default()
    };
    let reading = listen(&recording(3, 30.0, vec![in_beat(0.02, 1), in_beat(0.12, 2)]));
    let two = reading.balances.len() == 2;
    assert!(two || count(&reading, WarningCode::OneOrTwo) == 1, "{:?}", reading.warnings);
}
