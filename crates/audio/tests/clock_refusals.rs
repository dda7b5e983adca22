//! What must not be taken for a reference, and what is too little to say anything.

#![allow(clippy::unwrap_used, reason = "a test says what went wrong by failing")]

use audio::clock::{ClockFailure, ClockReading, Reference, ReferencePeriod, SteppingListener};
use quantities::SampleRate;
use truth::{
    Balance, Clicks, Hum, Knocks, Music, Noise, Scenario, Sound, Speech, SteppingReference, Voice,
    VoiceFamily,
};

fn listen(scenario: &Scenario, period_s: f64) -> Result<ClockReading, ClockFailure> {
    let rate = SampleRate::from_hz(f64::from(scenario.sample_rate_hz)).unwrap();
    let reference = Reference::exact(ReferencePeriod::from_s(period_s).unwrap());
    let mut listener = SteppingListener::new(rate, scenario.channels, reference);
    listener.push(&Sound::new(scenario).unwrap().rest());
    listener.finish()
}

fn watch(seed: u64, beats_per_hour: f64) -> Scenario {
    let family = VoiceFamily::ALL[(seed % 4) as usize];
    Scenario::new(seed)
        .with_duration_s(60.0)
        .with_balance(Balance {
            beats_per_hour,
            rate_s_per_d: (seed as f64 * 7.3) % 60.0 - 30.0,
            beat_error_ms: (seed as f64 * 0.37) % 2.5,
            voice: Voice::new(family, seed),
            ..Balance::default()
        })
        .with_noise(Noise::White { rms_db: -55.0 - (seed % 3) as f64 * 5.0 })
}

/// Watches whose beats divide a second, or fall on the same places every few seconds.
#[test]
fn a_watch_is_no_reference() {
    let beats =
        [12_000.0, 14_400.0, 16_200.0, 18_000.0, 19_800.0, 21_600.0, 25_200.0, 28_800.0, 36_000.0];
    let mut told = 0;
    for (seed, beats_per_hour) in beats.into_iter().cycle().take(18).enumerate() {
        for period_s in [1.0, 0.5] {
            match listen(&watch(seed as u64 + 1, beats_per_hour), period_s) {
                Ok(reading) => panic!("{beats_per_hour} at {period_s} s: {reading:?}"),
                Err(ClockFailure::OtherPulses { .. }) => told += 1,
                Err(other) => println!("{beats_per_hour} at {period_s} s: {other}"),
            }
        }
    }
    // All of them are refused; most are also told for what they are.
    assert!(told >= 24, "{told} of 36");
}

#[test]
fn a_watch_of_eight_beats_a_second_is_named_so() {
    let failure = listen(&watch(3, 28_800.0), 1.0).unwrap_err();
    assert_eq!(failure, ClockFailure::OtherPulses { period_s: 1.0, count: 8 });
    assert!(failure.to_string().starts_with("What is heard pulses 8 times in 1 s, not once"));
}

/// Two steps a second where one was said, and one where two were.
#[test]
fn the_wrong_period_does_not_pass() {
    let steps = |period_s: f64| {
        Scenario::new(5)
            .with_duration_s(60.0)
            .with_reference(SteppingReference { period_s, ..SteppingReference::default() })
            .with_noise(Noise::White { rms_db: -60.0 })
    };
    let failure = listen(&steps(0.5), 1.0).unwrap_err();
    assert_eq!(failure, ClockFailure::OtherPulses { period_s: 1.0, count: 2 });
    let failure = listen(&steps(1.0), 0.5).unwrap_err();
    assert!(matches!(failure, ClockFailure::TooFewSteps { .. }), "{failure}");
    assert!(failure.to_string().contains("or give its true period"));
    assert!(listen(&steps(1.0), 0.7).is_err());
}

#[test]
fn noise_speech_music_and_clicks_are_no_reference() {
    for seed in 0..10 {
        let noises = [
            Noise::White { rms_db: -40.0 },
            Noise::Pink { rms_db: -30.0 },
            Noise::Hum(Hum { mains_hz: 50.0, rms_db: -20.0, harmonics: 20 }),
            Noise::Speech(Speech { rms_db: -25.0, pitch_hz: 150.0 }),
            Noise::Clicks(Clicks { per_minute: 80.0, peak_db: -10.0 }),
            Noise::Knocks(Knocks { per_minute: 40.0, peak_db: -6.0 }),
        ];
        for noise in noises {
            let scenario = Scenario::new(seed)
                .with_duration_s(40.0)
                .with_noise(Noise::White { rms_db: -70.0 })
                .with_noise(noise.clone());
            for period_s in [1.0, 0.125] {
                let got = listen(&scenario, period_s);
                assert!(got.is_err(), "{noise:?} {period_s}: {got:?}");
            }
        }
    }
}

/// Music on 60 and 120 beats a minute; a drummer plays to some 10 ms, a machine is exact.
#[test]
fn music_is_no_reference() {
    for seed in 0..8 {
        for tempo_per_minute in [60.0, 120.0] {
            let music = Music {
                tempo_per_minute,
                timing_sd_ms: if seed % 2 == 0 { 8.0 } else { 0.0 },
                notes_peak_db: -12.0,
                drums_peak_db: -9.0,
            };
            let scenario = Scenario::new(seed)
                .with_duration_s(45.0)
                .with_noise(Noise::White { rms_db: -65.0 })
                .with_noise(Noise::Music(music));
            let got = listen(&scenario, 1.0);
            assert!(got.is_err(), "{tempo_per_minute} {seed}: {got:?}");
        }
    }
}

#[test]
fn too_short_says_how_long_is_enough() {
    let failure = listen(&Scenario::new(1).with_duration_s(5.0), 1.0).unwrap_err();
    let ClockFailure::TooShort { heard_s, least_s, good_s } = failure else {
        panic!("{failure}");
    };
    assert_eq!((heard_s, least_s), (5.0, 9.0));
    // 12 (100 µs / 0.3 µs)² = 1,333,333 = 110.06³: 110 steps, rounded up to tens.
    assert_eq!(good_s, 120.0);
}

#[test]
fn silence_and_nothing_are_told_apart() {
    let rate = SampleRate::from_hz(48_000.0).unwrap();
    let reference = Reference::unchecked(ReferencePeriod::one_second());
    let mut listener = SteppingListener::new(rate, 2, reference);
    for _ in 0..20 {
        listener.push(&vec![0.0; 96_000]);
    }
    assert_eq!(listener.finish().unwrap_err(), ClockFailure::Silent);
    let nothing = SteppingListener::new(rate, 0, reference);
    assert!(matches!(nothing.finish().unwrap_err(), ClockFailure::TooShort { .. }));
}
