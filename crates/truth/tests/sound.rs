//! The sound itself: same bytes, right places, and no more than a block in memory.

#![allow(clippy::disallowed_methods, reason = "the platform's own functions check those of `libm`")]
#![allow(clippy::unwrap_used, reason = "the functions that tests share may fail as tests do")]
use proptest::prelude::*;
use truth::scenarios::{self, NoWatch};
use truth::{
    Balance, Hum, Knocks, LaidBeat, Noise, Path, Room, Scenario, Sound, SteppingReference, Voice,
    VoiceFamily,
};

fn samples(scenario: &Scenario) -> Vec<f32> {
    Sound::new(scenario).unwrap().rest()
}

/// Everything at once, one second of it.
fn busy(seed: u64) -> Scenario {
    Scenario::new(seed)
        .with_duration_s(1.0)
        .with_channels(2)
        .with_clock_error_ppm(35.0)
        .with_balance(Balance {
            paths: vec![Path::DIRECT, Path { gain: 0.3, delay_ms: 0.043 }],
            ..Balance::default()
        })
        .with_balance(Balance {
            voice: Voice::new(VoiceFamily::Rasping, 4),
            offset_s: 0.07,
            ..Balance::default()
        })
        .with_reference(SteppingReference::default())
        .with_noise(Noise::White { rms_db: -50.0 })
        .with_noise(Noise::Pink { rms_db: -50.0 })
        .with_noise(Noise::Hum(Hum { mains_hz: 50.0, rms_db: -40.0, harmonics: 6 }))
        .with_noise(Noise::Knocks(Knocks { per_minute: 200.0, peak_db: -10.0 }))
        .with_noise(Noise::Clicks(truth::Clicks { per_minute: 600.0, peak_db: -20.0 }))
        .with_noise(Noise::Speech(truth::Speech { rms_db: -40.0, pitch_hz: 120.0 }))
        .with_noise(Noise::Music(truth::Music {
            tempo_per_minute: 120.0,
            timing_sd_ms: 3.0,
            notes_peak_db: -30.0,
            drums_peak_db: -30.0,
        }))
        .with_room(Room { tail_s: 0.3, wet_db: -6.0 })
}

/// FNV-1a of the sample bits (Fowler, Noll, Vo; offset and prime of RFC 9923).
fn hash(samples: &[f32]) -> u64 {
    samples
        .iter()
        .flat_map(|s| s.to_bits().to_le_bytes())
        .fold(0xCBF2_9CE4_8422_2325, |h, b| (h ^ u64::from(b)).wrapping_mul(0x0000_0100_0000_01B3))
}

/// Not an outside value: this pins the bytes, so that a seed named in a study or a report keeps
/// its meaning on every platform and in every later version. A change on purpose goes into the
/// change log.
#[test]
fn bytes_of_a_seed_never_change() {
    assert_eq!(format!("{:016x}", hash(&samples(&busy(1)))), "b8717d2903956e49");
}

#[test]
fn seeds_differ_and_repeat() {
    assert_eq!(samples(&busy(3)), samples(&busy(3)));
    assert_ne!(samples(&busy(3)), samples(&busy(4)));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    /// Odd block sizes, frames split across blocks and all: the same bytes.
    #[test]
    fn block_size_does_not_matter(blocks in prop::collection::vec(1_usize..9_000, 1..6)) {
        let scenario = busy(2).with_duration_s(0.4);
        let whole = samples(&scenario);
        prop_assert_eq!(whole.len(), 2 * 19_200);
        let mut sound = Sound::new(&scenario).unwrap();
        let mut pieces = Vec::new();
        for size in blocks.iter().cycle() {
            let mut block = vec![0.0; *size];
            let filled = sound.fill(&mut block);
            pieces.extend_from_slice(&block[..filled]);
            if filled < *size {
                break;
            }
        }
        prop_assert_eq!(sound.fill(&mut [0.0; 8]), 0);
        prop_assert!(pieces == whole);
    }

    /// Whatever numbers a scenario holds, it is either refused or gives finite samples.
    #[test]
    fn refused_or_finite(
        n in prop::collection::vec(prop_oneof![any::<f64>(), -500.0..500.0_f64, 0.0..1.0_f64], 24),
        pick in 0_u32..3,
    ) {
        let mut i = 0;
        // Mostly sensible, so that one odd number at a time gets through to its check.
        let mut odd = |usual: f64| {
            i += 1;
            if (i * 7 + n[0].to_bits() as usize).is_multiple_of(5) { n[i % 24] } else { usual }
        };
        let balance = Balance {
            beats_per_hour: odd(28_800.0),
            rate_s_per_d: odd(3.0),
            rate_change_s_per_d_per_h: odd(0.0),
            amplitude_deg: odd(270.0),
            amplitude_sd_deg: odd(1.0),
            amplitude_change_deg_per_h: odd(0.0),
            beat_error_ms: odd(0.2),
            lift_deg: odd(52.0),
            loudness: odd(0.5),
            jitter_us: odd(20.0),
            offset_s: odd(0.0),
            timing_ripple_ms: vec![truth::Ripple {
                semi_amplitude: odd(0.1), period_s: odd(60.0), phase_turns: odd(0.0),
            }],
            ..Balance::default()
        };
        let noise = match pick {
            0 => Noise::Hum(Hum { mains_hz: odd(50.0), rms_db: odd(-40.0), harmonics: 3 }),
            1 => Noise::Clicks(truth::Clicks { per_minute: odd(60.0), peak_db: odd(-20.0) }),
            _ => Noise::White { rms_db: odd(-50.0) },
        };
        let scenario = Scenario::new(1)
            .with_duration_s(odd(0.3))
            .with_clock_error_ppm(odd(0.0))
            .with_balance(balance)
            .with_noise(noise);
        if let Ok(mut sound) = Sound::new(&scenario) {
            let mut block = vec![0.0; 9_600];
            let filled = sound.fill(&mut block);
            prop_assert!(block[..filled].iter().all(|s| s.abs() <= 1.0));
        }
    }
}

/// One balance, nothing random in its time, no noise.
fn bare(balance: Balance) -> Scenario {
    Scenario::new(9).with_duration_s(10.0).with_balance(Balance {
        jitter_us: 0.0,
        amplitude_sd_deg: 0.0,
        ..balance
    })
}

fn energy(samples: &[f32], rate: f64, from_s: f64, to_s: f64) -> f64 {
    let at = |s: f64| (s * rate).ceil().max(0.0) as usize;
    samples[at(from_s)..at(to_s).min(samples.len())].iter().map(|v| f64::from(*v).powi(2)).sum()
}

/// Unlocking and drop set in when the truth says so: nothing is heard before a beat's unlocking,
/// and the sound grows manyfold as the drop sets in. Every voice family, 60 voices.
#[test]
fn bursts_stand_where_the_truth_says() {
    for seed in 0..60 {
        let voice = Voice::new(VoiceFamily::ALL[seed as usize % 4], seed);
        let scenario =
            bare(Balance { voice, rate_s_per_d: 40.0, ..Balance::default() }).with_duration_s(1.0);
        let sound = samples(&scenario);
        for beat in scenario.beats(0).unwrap().unwrap().skip(1).take(6) {
            let heard = |from, to| energy(&sound, 48_000.0, from, to);
            let before = heard(beat.unlocking_s - 5e-3, beat.unlocking_s);
            let after = heard(beat.unlocking_s, beat.unlocking_s + 1e-3);
            // A ringing voice's banking may still be dying away 100 ms later: −100 dB.
            assert!(before < 1e-6 * after, "{voice:?} {before} {after}");
            // A dull voice takes half a period of its low modes, up to a millisecond, to swell.
            let swell_s = if voice.family == VoiceFamily::Dull { 1e-3 } else { 0.3e-3 };
            let before = heard(beat.drop_s - swell_s, beat.drop_s);
            let after = heard(beat.drop_s, beat.drop_s + swell_s);
            assert!(after > 2.0 * before, "{voice:?} drop {before} {after}");
        }
    }
}

/// Slope of the energy centroids of the beats against their number, as a rate.
fn rate_heard(scenario: &Scenario, laid: &[LaidBeat]) -> f64 {
    let sound = samples(scenario);
    let rate = f64::from(scenario.sample_rate_hz);
    let points: Vec<(f64, f64)> = laid[1..laid.len() - 1]
        .iter()
        .map(|beat| {
            let from = ((scenario.recorder_time_s(beat.time_s) - 0.03) * rate) as usize;
            let window = &sound[from..from + (0.06 * rate) as usize];
            let weight: f64 = window.iter().map(|v| f64::from(*v).powi(2)).sum();
            let moment: f64 =
                window.iter().enumerate().map(|(i, v)| i as f64 * f64::from(*v).powi(2)).sum();
            (beat.index as f64, (from as f64 + moment / weight) / rate)
        })
        .collect();
    let n = points.len() as f64;
    let (mk, mt) = points.iter().fold((0.0, 0.0), |m, p| (m.0 + p.0 / n, m.1 + p.1 / n));
    let slope = points.iter().map(|p| (p.0 - mk) * (p.1 - mt)).sum::<f64>()
        / points.iter().map(|p| (p.0 - mk).powi(2)).sum::<f64>();
    (0.125 / slope - 1.0) * 86_400.0
}

/// The recorder's clock: 35 ppm fast makes a watch that is right look 35e-6 × 86,400 = 3.02 s/d
/// slow in the recorder's own time. The centroids scatter by some 50 µs with the loudness of
/// the bursts, which over 120 s is 86400 √12 × 50e-6/(120 √960) = 0.004 s/d; five times that.
#[test]
fn recorder_clock_shows_in_the_sound() {
    let scenario = bare(Balance::default()).with_duration_s(120.0).with_clock_error_ppm(35.0);
    let laid: Vec<LaidBeat> = scenario.beats(0).unwrap().unwrap().collect();
    let heard = rate_heard(&scenario, &laid);
    assert!((heard + 3.024).abs() < 0.02, "{heard}");
    let gains = bare(Balance { rate_s_per_d: 12.5, ..Balance::default() }).with_duration_s(120.0);
    let laid: Vec<LaidBeat> = gains.beats(0).unwrap().unwrap().collect();
    let heard = rate_heard(&gains, &laid);
    assert!((heard - 12.5).abs() < 0.02, "{heard}");
}

/// Phase of one frequency in a stretch of sound.
fn phase(samples: &[f32], rate: f64, hz: f64) -> (f64, f64) {
    let (mut re, mut im) = (0.0, 0.0);
    for (i, v) in samples.iter().enumerate() {
        let angle = std::f64::consts::TAU * hz * i as f64 / rate;
        re += f64::from(*v) * angle.cos();
        im -= f64::from(*v) * angle.sin();
    }
    (im.atan2(re), re.hypot(im))
}

/// A beat laid down a fraction of a sample later turns the phase of each frequency by exactly
/// that fraction: onsets are not drawn to samples. What aliases from above half the sample rate
/// turns the other way; by the shape of the rise it lies some 40 dB (a hundredth) below the
/// strongest lines, so lines within 12 dB of these keep to 0.04 rad (1 µs at 6 kHz). Snapping to
/// samples would miss by up to 0.8 rad there.
#[test]
fn onsets_are_placed_between_samples() {
    let at = |fraction: f64| {
        let offset_s = 0.05 + fraction / 48_000.0;
        samples(&bare(Balance { offset_s, ..Balance::default() }).with_duration_s(0.1))
    };
    let lines = |sound: &[f32]| -> Vec<(f64, f64, f64)> {
        (20..120)
            .map(|k| {
                let hz = 100.0 * f64::from(k);
                let (phase, strength) = phase(sound, 48_000.0, hz);
                (hz, phase, strength)
            })
            .collect()
    };
    let reference = lines(&at(0.0));
    let strongest = reference.iter().map(|l| l.2).fold(0.0, f64::max);
    for fraction in [0.1, 0.37, 0.5, 0.93] {
        let mut seen = 0;
        for ((hz, one, strength), (_, other, _)) in reference.iter().zip(lines(&at(fraction))) {
            if *strength < 0.25 * strongest {
                continue;
            }
            seen += 1;
            let turns = (other - one) / std::f64::consts::TAU + hz * fraction / 48_000.0;
            let off = (turns - turns.round()) * std::f64::consts::TAU;
            assert!(off.abs() < 0.04, "{fraction} {hz} {off}");
        }
        assert!(seen > 10, "{seen}");
    }
}

/// Gains and delays of the paths: the second channel is 0.25 of the first, 2 ms (96 samples)
/// later.
#[test]
fn paths_carry_gain_and_delay() {
    let paths = vec![Path::DIRECT, Path { gain: 0.25, delay_ms: 2.0 }];
    let scenario = bare(Balance { paths, ..Balance::default() }).with_channels(2);
    let both = samples(&scenario);
    let one: Vec<f32> = both.iter().step_by(2).copied().collect();
    let two: Vec<f32> = both.iter().skip(1).step_by(2).copied().collect();
    assert!(one.iter().any(|v| v.abs() > 0.3));
    for i in 96..one.len() {
        // Single precision, and the last digits of the onset.
        assert!((two[i] - 0.25 * one[i - 96]).abs() < 1e-6, "{i}");
    }
}

#[test]
fn clips_at_its_level_or_not_at_all() {
    let loud = Balance { loudness: 4.0, ..Balance::default() };
    let clipped = bare(loud.clone()).with_clipping_level(Some(0.8));
    let free = bare(loud).with_clipping_level(None);
    let largest = |s: &Scenario| samples(s).iter().fold(0.0_f32, |m, v| m.max(v.abs()));
    assert_eq!(largest(&clipped), 0.8);
    assert!(largest(&free) > 2.5);
}

/// Loudness is the peak of the loudest burst; beats vary by 8 %, bursts by up to 10 %.
#[test]
fn loudness_is_the_peak() {
    for seed in 0..24 {
        let voice = Voice::new(VoiceFamily::ALL[seed as usize % 4], seed);
        let sound = samples(&bare(Balance { voice, loudness: 0.5, ..Balance::default() }));
        let mut peaks: Vec<f32> = sound
            .chunks(12_000)
            .map(|two_beats| two_beats.iter().fold(0.0, |m, v| v.abs().max(m)))
            .collect();
        peaks.sort_by(f32::total_cmp);
        let middle = peaks[peaks.len() / 2];
        assert!((0.35..0.75).contains(&middle), "{voice:?} {middle}");
    }
}

/// Silent before it starts and after it stops.
#[test]
fn starts_and_stops_in_the_sound() {
    let balance = Balance { starts_at_s: Some(2.0), stops_at_s: Some(5.0), ..Balance::default() };
    let sound = samples(&bare(balance));
    let heard = |from, to| energy(&sound, 48_000.0, from, to);
    assert_eq!(heard(0.0, 1.95), 0.0);
    assert!(heard(2.0, 5.0) > 1.0);
    assert_eq!(heard(5.2, 10.0), 0.0);
}

/// Every family gives sound scenarios, distinct by seed, for many seeds.
#[test]
fn families_are_sound() {
    type Family = fn(u64) -> Scenario;
    let families: [Family; 18] = [
        scenarios::clear_single,
        scenarios::hard_single,
        scenarios::poor_room,
        scenarios::through_the_case,
        scenarios::stops,
        scenarios::starts,
        scenarios::rippled,
        scenarios::clipped,
        scenarios::low_amplitude,
        scenarios::day,
        scenarios::crossing,
        scenarios::faint_second,
        scenarios::locked,
        scenarios::together,
        scenarios::mixed_beats,
        scenarios::three,
        scenarios::two_pickups,
        |seed| scenarios::quartz_reference(-22.0, seed),
    ];
    for (i, family) in families.iter().enumerate() {
        for seed in 0..200 {
            let scenario = family(seed);
            scenario.check().unwrap_or_else(|e| panic!("family {i} seed {seed}: {e}"));
            assert_ne!(scenario, family(seed + 1));
        }
    }
    for kind in NoWatch::ALL {
        for seed in 0..200 {
            let scenario = scenarios::no_watch(kind, seed);
            scenario.check().unwrap();
            assert!(scenario.balances.is_empty() && scenario.references.is_empty());
        }
    }
}

/// The chosen lag, rate difference and loudness of two balances are what is laid down.
#[test]
fn two_balances_as_chosen() {
    for seed in 0..20 {
        let choice = scenarios::TwoBalances {
            lag_ms: 7.5,
            rate_difference_s_per_d: -12.0,
            fainter_db: 6.0,
            ..scenarios::TwoBalances::default()
        };
        let mut scenario = scenarios::two(&choice, seed);
        for balance in &mut scenario.balances {
            (balance.jitter_us, balance.beat_error_ms) = (0.0, 0.0);
        }
        let times =
            |i| -> Vec<f64> { scenario.beats(i).unwrap().unwrap().map(|b| b.time_s).collect() };
        let truth = scenario.truth().unwrap();
        let difference = truth.balances[1].rate_s_per_d - truth.balances[0].rate_s_per_d;
        assert!((difference + 12.0).abs() < 1e-6);
        let decibels = 20.0 * (truth.balances[1].loudness / truth.balances[0].loudness).log10();
        assert!((decibels + 6.0).abs() < 1e-9);
        let (one, other) = (times(0), times(1));
        let lags = truth::score::lags_s(&one, &other);
        // In the middle, give or take three beats: 12 s/d over 0.375 s is 52 µs.
        let middle = one.iter().position(|t| *t > 15.0).unwrap();
        assert!((lags[middle] - 7.5e-3).abs() < 6e-5, "{}", lags[middle]);
    }
}
