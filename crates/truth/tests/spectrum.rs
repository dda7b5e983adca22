//! Levels and spectra of what is laid down, by plain sums over sines and cosines.

#![allow(clippy::disallowed_methods, reason = "the platform's own functions check those of `libm`")]
#![allow(clippy::unwrap_used, reason = "the functions that tests share may fail as tests do")]
use std::f64::consts::TAU;
use truth::{
    Balance, Hum, Music, Noise, Room, Scenario, Sound, Speech, Voice, VoiceFamily, scenarios,
};

fn samples(scenario: &Scenario) -> Vec<f64> {
    Sound::new(scenario).unwrap().rest().into_iter().map(f64::from).collect()
}

fn of_noise(noise: Noise, duration_s: f64) -> Vec<f64> {
    samples(&Scenario::new(3).with_duration_s(duration_s).with_noise(noise))
}

fn rms_db(samples: &[f64]) -> f64 {
    10.0 * (samples.iter().map(|v| v * v).sum::<f64>() / samples.len() as f64).log10()
}

/// Power at one frequency, averaged over Hann-windowed stretches of 4,096 samples.
fn power_at(samples: &[f64], rate_hz: f64, hz: f64) -> f64 {
    let length = 4_096;
    let window: Vec<f64> =
        (0..length).map(|i| 0.5 - 0.5 * (TAU * i as f64 / length as f64).cos()).collect();
    let turns: Vec<(f64, f64)> =
        (0..length).map(|i| (TAU * hz * i as f64 / rate_hz).sin_cos()).collect();
    let stretches = samples.chunks_exact(length);
    let count = stretches.len() as f64;
    stretches
        .map(|stretch| {
            let (mut re, mut im) = (0.0, 0.0);
            for ((v, w), (sine, cosine)) in stretch.iter().zip(&window).zip(&turns) {
                re += v * w * cosine;
                im += v * w * sine;
            }
            re * re + im * im
        })
        .sum::<f64>()
        / count
}

/// Mean power over a band, at frequencies 60 Hz apart or finer.
fn band_db(samples: &[f64], rate_hz: f64, from_hz: f64, to_hz: f64) -> f64 {
    let steps = (((to_hz - from_hz) / 60.0) as usize).clamp(4, 40);
    let sum: f64 = (0..steps)
        .map(|i| from_hz + (to_hz - from_hz) * (i as f64 + 0.5) / steps as f64)
        .map(|hz| power_at(samples, rate_hz, hz))
        .sum();
    10.0 * (sum / steps as f64).log10()
}

/// Level as asked; flat. 480,000 draws: the level is sure to 10/ln 10 × √(2/480000) = 0.009 dB,
/// a band of 20 lines × 117 stretches to 0.09 dB; five times that.
#[test]
fn white_noise_is_white() {
    let sound = of_noise(Noise::White { rms_db: -37.0 }, 10.0);
    assert!((rms_db(&sound) + 37.0).abs() < 0.045);
    let bands = [(200.0, 2_000.0), (5_000.0, 8_000.0), (18_000.0, 23_000.0)];
    let levels = bands.map(|(from, to)| band_db(&sound, 48_000.0, from, to));
    assert!((levels[0] - levels[1]).abs() < 0.45 && (levels[1] - levels[2]).abs() < 0.45);
}

/// Pink noise falls by 3.01 dB an octave (definition). From 62 Hz to 16 kHz, eight octaves; the
/// row of first-order filters ripples by a few tenths, a line's octave is sure to 0.3 dB.
#[test]
fn pink_noise_is_pink() {
    for rate_hz in [48_000, 96_000] {
        let scenario = Scenario::new(4)
            .with_duration_s(20.0)
            .with_sample_rate_hz(rate_hz)
            .with_noise(Noise::Pink { rms_db: -30.0 });
        let sound = samples(&scenario);
        let rate_hz = f64::from(rate_hz);
        // The lowest octaves hold a fifth of the power in few independent values: 0.5 dB.
        assert!((rms_db(&sound) + 30.0).abs() < 0.5, "{}", rms_db(&sound));
        let low = band_db(&sound, rate_hz, 100.0, 150.0);
        for octave in 1..8 {
            let factor = f64::from(1 << octave);
            let level = band_db(&sound, rate_hz, 100.0 * factor, 150.0 * factor);
            let expected = low - 3.0103 * f64::from(octave);
            assert!((level - expected).abs() < 1.0, "{rate_hz} {octave}: {level} {expected}");
        }
    }
}

/// Lines at the mains frequency and its harmonics, nothing between; level as asked. The mains
/// wander by less than 0.05 Hz.
#[test]
fn hum_has_its_lines() {
    for mains_hz in [50.0, 60.0] {
        let sound = of_noise(Noise::Hum(Hum { mains_hz, rms_db: -20.0, harmonics: 5 }), 10.0);
        assert!((rms_db(&sound) + 20.0).abs() < 0.05, "{}", rms_db(&sound));
        // Half-second stretches tell lines 50 Hz apart from what lies between.
        let stretch = &sound[..24_000];
        let level = |hz: f64| {
            let (mut re, mut im) = (0.0, 0.0);
            for (i, v) in stretch.iter().enumerate() {
                let w = 0.5 - 0.5 * (TAU * i as f64 / 24_000.0).cos();
                let (sine, cosine) = (TAU * hz * i as f64 / 48_000.0).sin_cos();
                re += v * w * cosine;
                im += v * w * sine;
            }
            10.0 * (re * re + im * im).log10()
        };
        for k in 1..=5 {
            let line = level(mains_hz * f64::from(k));
            assert!(line > level(mains_hz * (f64::from(k) + 0.5)) + 40.0, "{mains_hz} {k}");
        }
        assert!(level(mains_hz) > level(mains_hz * 6.0) + 40.0);
    }
}

/// A hum at 50 Hz on a recorder whose clock is 1 % fast lies at 49.505 Hz of its nominal clock:
/// everything is laid down in true time. The wander is below 0.05 Hz.
#[test]
fn hum_keeps_true_time() {
    let hum = Noise::Hum(Hum { mains_hz: 50.0, rms_db: -20.0, harmonics: 1 });
    let scenario =
        Scenario::new(3).with_duration_s(10.0).with_clock_error_ppm(10_000.0).with_noise(hum);
    let sound = samples(&scenario);
    let crossings: Vec<usize> =
        (1..sound.len()).filter(|&i| sound[i - 1] < 0.0 && sound[i] >= 0.0).collect();
    let turns = (crossings.len() - 1) as f64;
    let seconds = (crossings[crossings.len() - 1] - crossings[0]) as f64 / 48_000.0;
    assert!((turns / seconds - 50.0 / 1.01).abs() < 0.06, "{}", turns / seconds);
}

/// Where the families put their energy. "Useful energy lies from a few kHz to above 20 kHz":
/// finite-element modes of one watch, Q. He, S. Su, R. Du, ACTA Press paper 33268, table A1
/// (balance 0.5 to 21.5 kHz, pallet fork 16.8 to 22.2, escape wheel 9.1 to 19.4). The dull one is
/// a telephone's, below 4 kHz.
#[test]
fn families_sound_where_they_should() {
    for seed in 0..6 {
        let level = |family, from, to| {
            let balance = Balance { voice: Voice::new(family, seed), ..Balance::default() };
            let sound = samples(&Scenario::new(1).with_duration_s(2.0).with_balance(balance));
            band_db(&sound, 48_000.0, from, to)
        };
        let bright = VoiceFamily::Bright;
        assert!(level(bright, 3_000.0, 13_000.0) > level(bright, 100.0, 1_000.0) + 6.0);
        let dull = VoiceFamily::Dull;
        assert!(level(dull, 500.0, 3_000.0) > level(dull, 8_000.0, 16_000.0) + 25.0);
        let rasping = VoiceFamily::Rasping;
        let (low, high) = (level(rasping, 2_000.0, 6_000.0), level(rasping, 8_000.0, 14_000.0));
        assert!((low - high).abs() < 15.0, "{low} {high}");
    }
}

/// A ringing case is heard longer than a bright one: share of a beat's energy that comes more
/// than 2 ms after its drop.
#[test]
fn ringing_rings_on() {
    let late = |family| -> f64 {
        (0..8)
            .map(|seed| {
                let balance = Balance { voice: Voice::new(family, seed), ..Balance::default() };
                let scenario = Scenario::new(1).with_duration_s(2.0).with_balance(balance);
                let sound = samples(&scenario);
                let energy = |from_s: f64, to_s: f64| -> f64 {
                    let (from, to) = ((from_s * 48e3) as usize, (to_s * 48e3) as usize);
                    sound[from..to].iter().map(|v| v * v).sum()
                };
                let laid = scenario.beats(0).unwrap().unwrap().skip(1).take(12);
                laid.map(|b| {
                    energy(b.drop_s + 2e-3, b.drop_s + 3e-2) / energy(b.drop_s, b.drop_s + 3e-2)
                })
                .sum::<f64>()
            })
            .sum()
    };
    assert!(late(VoiceFamily::Ringing) > 3.0 * late(VoiceFamily::Bright));
}

/// What is above half the sample rate is not heard: 8 kHz of a bright voice holds less than
/// 48 kHz does, and still peaks where the truth says.
#[test]
fn low_sample_rates_hear_the_low_modes_only() {
    let scenario = |rate| {
        Scenario::new(1).with_duration_s(2.0).with_sample_rate_hz(rate).with_balance(Balance {
            voice: Voice::new(VoiceFamily::Rasping, 2),
            ..Balance::default()
        })
    };
    let (low, high) = (samples(&scenario(8_000)), samples(&scenario(192_000)));
    assert!(rms_db(&low) < rms_db(&high) - 3.0);
    assert!(rms_db(&low) > rms_db(&high) - 30.0);
}

/// The room's tail falls by 60 dB in its time: 0.6 s after the last step of a silent reference
/// the level in a room of 0.6 s lies 60 dB below the level at the step, give or take what the
/// damping of the high notes and the spread of the combs do (15 dB).
#[test]
fn room_tail_dies_away_in_its_time() {
    let reference = truth::SteppingReference {
        period_s: 10.0,
        offset_s: 0.1,
        ..truth::SteppingReference::default()
    };
    let scenario = Scenario::new(1)
        .with_duration_s(2.0)
        .with_reference(reference)
        .with_room(Room { tail_s: 0.6, wet_db: 0.0 });
    let sound = samples(&scenario);
    let level = |from_s: f64| {
        let from = (from_s * 48e3) as usize;
        rms_db(&sound[from..from + 2_400])
    };
    let fall = level(0.25) - level(0.55);
    assert!((20.0..45.0).contains(&fall), "{fall}");
    assert!(level(0.25) > -70.0);
}

/// Energy of the room against the direct sound, as asked, on average over the voices of a
/// balance; a single spectrum may differ by some dB from the white one it is set for.
#[test]
fn room_is_as_loud_as_asked() {
    let energy = |room: Option<Room>, seed| -> f64 {
        let balance = Balance { voice: Voice::new(VoiceFamily::Dull, seed), ..Balance::default() };
        let scenario =
            Scenario { room, ..Scenario::new(seed).with_duration_s(4.0).with_balance(balance) };
        samples(&scenario).iter().map(|v| v * v).sum()
    };
    let mut ratio = 0.0;
    for seed in 0..10 {
        let dry = energy(None, seed);
        let both = energy(Some(Room { tail_s: 0.4, wet_db: 0.0 }), seed);
        ratio += (both - dry) / dry / 10.0;
    }
    assert!((0.4..2.5).contains(&ratio), "{ratio}");
}

/// Speech: as loud as asked, with pauses, and most of its energy below 4 kHz as speech has.
#[test]
fn speech_like() {
    let sound = of_noise(Noise::Speech(Speech { rms_db: -30.0, pitch_hz: 120.0 }), 30.0);
    assert!((rms_db(&sound) + 30.0).abs() < 2.0, "{}", rms_db(&sound));
    let mut levels: Vec<f64> = sound.chunks(4_800).map(rms_db).collect();
    levels.sort_by(f64::total_cmp);
    // A tenth of all tenths of a second lie far below the loud ones.
    assert!(levels[levels.len() / 10] < levels[levels.len() * 9 / 10] - 30.0);
    let (low, high) =
        (band_db(&sound, 48e3, 100.0, 3_500.0), band_db(&sound, 48e3, 10_000.0, 20_000.0));
    assert!(low > high + 10.0, "{low} {high}");
    // Voiced: its waveform repeats at the pitch.
    let repeats = sound.chunks(4_800).filter(|c| {
        let own: f64 = c.iter().map(|v| v * v).sum();
        let best = (250..600)
            .map(|lag| c.iter().zip(&c[lag..]).map(|(a, b)| a * b).sum::<f64>())
            .fold(0.0, f64::max);
        own > 1e-3 && best > 0.4 * own
    });
    assert!(repeats.count() > 40);
}

/// Music keeps its tempo: the envelope of a machine's drums at 120 quarters a minute repeats
/// after a bar (2 s) better than after 2.1 s.
#[test]
fn music_like() {
    let music = Music {
        tempo_per_minute: 120.0,
        timing_sd_ms: 0.0,
        notes_peak_db: -60.0,
        drums_peak_db: -10.0,
    };
    let sound = of_noise(Noise::Music(music), 20.0);
    let envelope: Vec<f64> = sound.chunks(240).map(|c| c.iter().map(|v| v.abs()).sum()).collect();
    let mean = envelope.iter().sum::<f64>() / envelope.len() as f64;
    let likeness = |lag: usize| -> f64 {
        envelope.iter().zip(&envelope[lag..]).map(|(a, b)| (a - mean) * (b - mean)).sum()
    };
    assert!(likeness(400) > 2.0 * likeness(420).abs(), "{} {}", likeness(400), likeness(420));
}

/// None of the recordings without a watch is lost in clipping: fewer than one sample in a
/// hundred is at full scale.
#[test]
fn no_watch_is_recorded_at_a_fair_level() {
    for kind in scenarios::NoWatch::ALL {
        for seed in 0..3 {
            let sound = samples(&scenarios::no_watch(kind, seed).with_duration_s(5.0));
            let clipped = sound.iter().filter(|v| v.abs() >= 1.0).count();
            assert!(clipped * 100 < sound.len(), "{kind:?} {seed} {clipped}");
            assert!(rms_db(&sound) < -8.0);
        }
    }
}
