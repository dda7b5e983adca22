//! Whatever comes in, the engine answers, and the answer does not hang on how it comes in.

mod simulated;

use beats::{Detail, Listener, Reading, Settings};
use proptest::prelude::*;
use quantities::{BeatFrequency, SampleRate};
use simulated::{listen, listener, sound};
use truth::Scenario;
use truth::scenarios::{clear_single, two_pickups};

/// Every number of a reading that must be a number.
fn is_sane(reading: &Reading) -> bool {
    let finite = |m: &Option<quantities::Measured>| {
        m.is_none_or(|m| m.value.is_finite() && m.sd.is_finite() && m.sd >= 0.0)
    };
    reading.duration_s.is_finite()
        && reading.balances.iter().all(|b| {
            finite(&b.rate_s_per_d)
                && finite(&b.measured_beats_per_hour)
                && finite(&b.beat_error_ms)
                && finite(&b.amplitude_deg)
                && b.beats_used <= b.beats_expected
                && b.running_s.0 <= b.running_s.1
                && b.drift.iter().all(|d| {
                    d.time_s.is_finite() && d.gain_ms.is_finite() && d.residual_ms.is_finite()
                })
                && b.averaged_beats.iter().all(|a| a.mean.iter().all(|v| v.is_finite()))
                && b.rate_course.iter().all(|p| p.value.value.is_finite())
        })
}

/// Single samples as bad sources make them.
fn any_sample() -> impl Strategy<Value = f32> {
    prop_oneof![
        4 => -1.0f32..1.0,
        1 => prop::sample::select(vec![
            0.0, -0.0, 1.0, -1.0, f32::NAN, f32::INFINITY, f32::NEG_INFINITY, f32::MAX, f32::MIN,
            f32::MIN_POSITIVE, 1e-40, 1e9, -32_768.0,
        ]),
    ]
}

/// Pieces of sound as bad sources make them, samples times channels.
fn any_piece() -> impl Strategy<Value = Vec<f32>> {
    prop_oneof![
        prop::collection::vec(any_sample(), 0..400),
        (any_sample(), 0usize..60_000).prop_map(|(x, n)| vec![x; n]),
        // Steps of the level.
        (any_sample(), any_sample(), 1usize..3_000, 0usize..60_000)
            .prop_map(|(a, b, step, n)| (0..n)
                .map(|i| if i / step % 2 == 0 { a } else { b })
                .collect()),
        // Clicks, evenly spaced like a very loud watch, or unevenly.
        (any_sample(), 200usize..9_000, 0usize..60_000, any::<bool>()).prop_map(
            |(x, every, n, even)| {
                (0..n)
                    .map(|i| {
                        let at = if even { i % every } else { (i * i / 7) % every };
                        if at == 0 { x } else { 0.0 }
                    })
                    .collect()
            }
        ),
        // White noise.
        (any::<u64>(), 0usize..60_000, 0.0f32..2.0).prop_map(|(seed, n, level)| {
            let mut state = seed;
            (0..n)
                .map(|_| {
                    // Knuth's generator (TAOCP vol. 2, 3.3.4).
                    state = state
                        .wrapping_mul(6_364_136_223_846_793_005)
                        .wrapping_add(1_442_695_040_888_963_407);
                    level * ((state >> 40) as f32 / (1u32 << 24) as f32 - 0.5)
                })
                .collect()
        }),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]

    #[test]
    fn nothing_makes_it_panic(
        pieces in prop::collection::vec(any_piece(), 0..6),
        rate_hz in prop::sample::select(vec![
            8_000.0, 11_025.0, 16_000.0, 22_050.0, 44_100.0, 48_000.0, 96_000.0, 192_000.0, 384_000.0,
        ]),
        channels in 0usize..9,
        named in prop::option::of(3_600.0..360_000.0f64),
        balances in prop::option::of(0usize..5),
    ) {
        let settings = Settings {
            beats_per_hour: named.and_then(|b| BeatFrequency::from_per_hour(b).ok()).into_iter().collect(),
            balances,
            ..Settings::default()
        };
        let rate = SampleRate::from_hz(rate_hz).expect("within range");
        let mut listener = Listener::new(rate, channels, settings);
        for piece in &pieces {
            listener.push(piece);
        }
        let reading = listener.reading();
        prop_assert!(is_sane(&reading));
        let samples: usize = pieces.iter().map(Vec::len).sum();
        let frames = samples / channels.max(1);
        prop_assert!((reading.duration_s - frames as f64 / rate_hz).abs() < 1e-9);
    }

    /// Every length of a true recording, from nothing up.
    #[test]
    fn any_length_gives_an_answer(length in 0usize..300_000, seed in 0u64..4) {
        let scenario = clear_single(seed).with_duration_s(6.25);
        let all = sound(&scenario);
        let mut listener = listener(&scenario);
        listener.push(&all[..length.min(all.len())]);
        prop_assert!(is_sane(&listener.reading()));
    }
}

#[test]
fn the_first_samples_one_by_one() {
    let scenario = clear_single(1).with_duration_s(1.0);
    let all = sound(&scenario);
    let mut listener = listener(&scenario);
    assert!(listener.reading().balances.is_empty());
    for sample in &all[..300] {
        listener.push(&[*sample]);
        assert!(is_sane(&listener.reading_with(Detail::Numbers)));
    }
}

/// The same reading whatever the blocks, also across the border of stretches and within frames.
#[test]
fn blocks_do_not_matter() {
    let long = clear_single(2).with_duration_s(100.0).with_sample_rate_hz(16_000);
    let pickups = two_pickups(2).with_duration_s(12.0);
    for (scenario, blocks) in [(long, [333, 65_537]), (pickups, [1_023, 7])] {
        let all = sound(&scenario);
        let mut whole = listener(&scenario);
        whole.push(&all);
        let expected = whole.reading();
        assert!(!expected.balances.is_empty());
        for block in blocks {
            let mut listener = listener(&scenario);
            for b in all.chunks(block) {
                listener.push(b);
            }
            assert_eq!(listener.reading(), expected, "blocks of {block}");
        }
    }
}

/// Asking does not change the answer.
#[test]
fn asking_changes_nothing() {
    let scenario = clear_single(3);
    let all = sound(&scenario);
    let mut asked = listener(&scenario);
    for b in all.chunks(480_000) {
        asked.push(b);
        assert!(is_sane(&asked.reading()));
        assert_eq!(asked.reading(), asked.reading());
    }
    assert_eq!(asked.reading(), listen(&scenario));
}

/// A recording at another level says the same, as long as it is not clipped: to less than the
/// deviation claimed. Not exactly, since a floor of noise far below a step of 16 bits is added.
#[test]
fn gain_does_not_matter() {
    let scenario: Scenario = clear_single(5);
    let all = sound(&scenario);
    let read = |gain: f32| {
        let scaled: Vec<f32> = all.iter().map(|x| x * gain).collect();
        let mut listener = listener(&scenario);
        listener.push(&scaled);
        listener.reading()
    };
    let plain = read(1.0);
    for gain in [1.5, 0.5, 0.1] {
        let other = read(gain);
        assert_eq!(other.balances.len(), 1, "{gain}");
        let (a, b) = (&plain.balances[0], &other.balances[0]);
        let rate = |r: &beats::BalanceReading| r.rate_s_per_d.expect("a rate");
        assert!((rate(a).value - rate(b).value).abs() < rate(a).sd, "{gain}");
        let amplitude = |r: &beats::BalanceReading| r.amplitude_deg.expect("an amplitude");
        assert!((amplitude(a).value - amplitude(b).value).abs() < amplitude(a).sd, "{gain}");
        assert_eq!(a.beats_expected, b.beats_expected, "{gain}");
    }
}
