//! The recorder's clock from simulated references: what must not matter, what must be noticed, and
//! whether the claimed uncertainty is true.

#![allow(clippy::unwrap_used, reason = "a test says what went wrong by failing")]

use audio::clock::{
    ClockFailure, ClockReading, ClockWarning, Reference, ReferencePeriod, SteppingListener,
};
use proptest::prelude::*;
use quantities::{Measured, SampleRate};
use truth::score::Coverage;
use truth::{Knocks, Noise, Path, Scenario, Sound, SteppingReference};

fn second() -> Reference {
    Reference::exact(ReferencePeriod::one_second())
}

fn hear(rate_hz: f64, channels: usize, reference: Reference) -> SteppingListener {
    SteppingListener::new(SampleRate::from_hz(rate_hz).unwrap(), channels, reference)
}

fn read(samples: &[f32], rate_hz: f64, reference: Reference) -> Result<ClockReading, ClockFailure> {
    let mut listener = hear(rate_hz, 1, reference);
    listener.push(samples);
    listener.finish()
}

/// A reference in a quiet room.
fn quiet(seed: u64, duration_s: f64, clock_error_ppm: f64) -> Scenario {
    Scenario::new(seed)
        .with_duration_s(duration_s)
        .with_clock_error_ppm(clock_error_ppm)
        .with_reference(SteppingReference {
            voice_seed: seed,
            offset_s: seed as f64 * 0.377 % 1.0,
            jitter_us: 15.0 + (seed % 4) as f64 * 15.0,
            alternate_loudness: 0.5 + (seed % 6) as f64 * 0.1,
            ..SteppingReference::default()
        })
        .with_noise(Noise::Pink { rms_db: -52.0 })
}

fn sound(scenario: &Scenario) -> Vec<f32> {
    Sound::new(scenario).unwrap().rest()
}

/// 68 % of errors within one claimed deviation, 95 % within two: the project promises 5 points.
/// 96 recordings place the first share to 4.8 points and the second to 2.1 (binomial), so the
/// bounds here are 5 points and two and a half of these; the study with more of them is the
/// example `clock_study`.
#[test]
fn claimed_uncertainties_are_true() {
    let mut coverage = Coverage::default();
    for seed in 1..=96 {
        let ppm = seed as f64 * 37.7 % 200.0 - 100.0;
        let duration_s = [40.0, 60.0, 90.0][(seed % 3) as usize];
        let mut scenario = quiet(seed, duration_s, ppm);
        if seed % 4 == 0 {
            scenario =
                scenario.with_noise(Noise::Knocks(Knocks { per_minute: 15.0, peak_db: -6.0 }));
        }
        if seed % 5 == 0 {
            scenario = scenario.with_sample_rate_hz(44_100);
        }
        let rate_hz = f64::from(scenario.sample_rate_hz);
        let reading = read(&sound(&scenario), rate_hz, second()).unwrap();
        coverage.add(reading.error_ppm.value - ppm, reading.error_ppm.sd);
        assert!(reading.steps_used as f64 > 0.9 * duration_s, "{seed}: {reading:?}");
    }
    let (one, two) = (coverage.share_within_one(), coverage.share_within_two());
    println!("{one:.3} within one, {two:.3} within two, rms {:.2}", coverage.rms_ratio());
    let far = |share: f64| 0.05 + 2.5 * coverage.sd_of_share(share);
    assert!((one - Coverage::NORMAL.0).abs() < far(Coverage::NORMAL.0), "{one}");
    assert!((two - Coverage::NORMAL.1).abs() < far(Coverage::NORMAL.1), "{two}");
}

/// What the reference's own error and its uncertainty do to the result.
#[test]
fn the_references_own_error_enters() {
    let samples = sound(&quiet(7, 60.0, 20.0));
    let exact = read(&samples, 48_000.0, second()).unwrap();
    let known = Reference::known(ReferencePeriod::one_second(), Measured::new(4.0, 0.7));
    let got = read(&samples, 48_000.0, known).unwrap();
    assert_eq!(got.apparent_ppm, exact.apparent_ppm);
    // 20 ppm of 4 ppm is 1e-4 ppm.
    assert!((got.error_ppm.value - exact.error_ppm.value - 4.0).abs() < 2e-4);
    assert!((got.error_ppm.sd - exact.error_ppm.sd.hypot(0.7)).abs() < 1e-4);
    assert!(got.warnings.iter().all(|w| w.code() != "reference_uncertain"));
    let unchecked = Reference::unchecked(ReferencePeriod::one_second());
    let got = read(&samples, 48_000.0, unchecked).unwrap();
    assert!((got.error_ppm.sd - 6.0).abs() < 0.1, "{:?}", got.error_ppm);
    assert!(got.warnings.iter().any(|w| w.code() == "reference_uncertain"));
}

/// Movements with several pulses a second, half a second, and once a minute.
#[test]
fn other_periods_are_read() {
    for (period_s, duration_s) in
        [(0.0625, 40.0), (0.125, 40.0), (0.25, 40.0), (0.5, 60.0), (5.0, 200.0), (60.0, 1_500.0)]
    {
        let mut scenario = quiet(11, duration_s, -35.0);
        scenario.references[0].period_s = period_s;
        let reference = Reference::exact(ReferencePeriod::from_s(period_s).unwrap());
        let mut listener = hear(48_000.0, 1, reference);
        let mut sound = Sound::new(&scenario).unwrap();
        let mut block = vec![0.0; 1 << 16];
        loop {
            let filled = sound.fill(&mut block);
            if filled == 0 {
                break;
            }
            listener.push(&block[..filled]);
        }
        let reading = listener.finish().unwrap();
        let error = reading.error_ppm.value + 35.0;
        println!("{period_s} s: {error:+.3} {:?}", reading.error_ppm);
        assert!(error.abs() < 4.0 * reading.error_ppm.sd, "{period_s} s: {reading:?}");
        let expected = (duration_s / period_s) as u64;
        assert!(reading.steps_used + expected / 20 + 2 >= expected, "{period_s} s");
        let watch_like = reading.warnings.iter().any(|w| w.code() == "reference_could_be_watch");
        assert_eq!(watch_like, [0.125, 0.25].contains(&period_s), "{period_s} s");
    }
}

/// 64 samples lost in the middle, as an overrun loses them, would look like 11 ppm; 20 s of
/// talking to the microphone, and a stop of the recorder, make no error either.
#[test]
fn lost_samples_are_noticed_and_do_no_harm() {
    let scenario = quiet(5, 120.0, 12.0);
    let whole = sound(&scenario);
    for lost in [64usize, 4_800, 48_000 + 777] {
        let mut cut = whole.clone();
        cut.drain(2_900_000..2_900_000 + lost);
        let reading = read(&cut, 48_000.0, second()).unwrap();
        let error = reading.error_ppm.value - 12.0;
        println!("{lost}: {error:+.3} {:?} {:?}", reading.error_ppm, reading.warnings);
        assert!(error.abs() < 4.0 * reading.error_ppm.sd, "{lost}: {error}");
        assert!(reading.error_ppm.sd < 1.0, "{lost}");
        let told = reading
            .warnings
            .iter()
            .any(|w| matches!(w, ClockWarning::Jump { .. } | ClockWarning::Interrupted { .. }));
        assert!(told, "{lost}: {:?}", reading.warnings);
    }
}

/// The reference drowned for a while is taken up again where it is still in step.
#[test]
fn a_drowned_stretch_is_bridged() {
    let scenario = quiet(9, 120.0, 12.0);
    let mut samples = sound(&scenario);
    let loud = Scenario::new(1).with_duration_s(20.0).with_noise(Noise::White { rms_db: -3.0 });
    for (x, n) in samples[2_400_000..].iter_mut().zip(sound(&loud)) {
        *x += n;
    }
    let reading = read(&samples, 48_000.0, second()).unwrap();
    let error = reading.error_ppm.value - 12.0;
    assert!(error.abs() < 4.0 * reading.error_ppm.sd, "{reading:?}");
    assert!(reading.error_ppm.sd < 0.3, "{reading:?}");
    assert!((98..=102).contains(&reading.steps_used), "{}", reading.steps_used);
}

/// The second channel alone has the reference; the first has noise.
#[test]
fn the_channel_that_has_the_reference_is_used() {
    let mut scenario = quiet(4, 60.0, 55.0).with_channels(2);
    let path = |gain: f64| Path { gain, delay_ms: 0.0 };
    scenario.references[0].paths = vec![path(0.0), path(1.0)];
    let mut listener = hear(48_000.0, 2, second());
    // Blocks that cut frames in two.
    for block in sound(&scenario).chunks(1_001) {
        listener.push(block);
    }
    let reading = listener.finish().unwrap();
    let error = reading.error_ppm.value - 55.0;
    assert!(error.abs() < 4.0 * reading.error_ppm.sd, "{reading:?}");
}

/// A recorder that warms up: 8 ppm over the recording, made by stretching time.
#[test]
fn a_clock_that_drifts_is_told() {
    // Steps laid at t + 4e-6 t²/T... ms by ms: u(t) = t (1 + a) + b t², slope from a to a + 2bT.
    let (duration_s, a, b) = (240.0f64, 10e-6f64, 8e-6 / 2.0 / 240.0f64);
    let rate = 48_000.0;
    let click: Vec<f32> =
        (0..400).map(|n| ((n as f32 * 0.5).sin()) * (-(n as f32) / 60.0).exp()).collect();
    let mut state = 5u64;
    let mut noise = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        (state >> 40) as f32 / 16_777_216.0 - 0.5
    };
    let mut samples: Vec<f32> = (0..(duration_s * rate) as usize).map(|_| 1e-3 * noise()).collect();
    for k in 1..(duration_s as usize - 1) {
        let t = k as f64 + f64::from(noise()) * 60e-6;
        let at = ((t * (1.0 + a) + b * t * t) * rate).round() as usize;
        for (x, c) in samples[at..].iter_mut().zip(&click) {
            *x += c;
        }
    }
    let reading = read(&samples, rate, second()).unwrap();
    let change = reading.warnings.iter().find_map(|w| match w {
        ClockWarning::ClockDrifted { change_ppm } => Some(*change_ppm),
        _ => None,
    });
    // Least squares on a parabola through 238 points with 17 + 6 µs (rounding) of jitter: the
    // change is good to some 0.3 ppm (sd of a bend, 6 sqrt(5) s / sqrt(N), and 4 of it over 119 s).
    assert!((change.unwrap() - 8.0).abs() < 1.0, "{reading:?}");
    assert!((reading.error_ppm.value - 14.0).abs() < 2.0 * reading.error_ppm.sd, "{reading:?}");
    // 8 ppm evenly spread: 8/sqrt(12).
    assert!((reading.error_ppm.sd - 2.31).abs() < 0.3, "{reading:?}");
}

/// A quarter of an hour in blocks: the same answer as in one go, and a deviation that has become
/// small.
#[test]
fn long_recordings_stream() {
    let scenario = quiet(2, 900.0, -61.0);
    let mut listener = hear(48_000.0, 1, second());
    let mut sound = Sound::new(&scenario).unwrap();
    let mut block = vec![0.0; 4_097];
    loop {
        let filled = sound.fill(&mut block);
        if filled == 0 {
            break;
        }
        listener.push(&block[..filled]);
    }
    let reading = listener.finish().unwrap();
    let error = reading.error_ppm.value + 61.0;
    assert!(error.abs() < 4.0 * reading.error_ppm.sd, "{reading:?}");
    assert!(reading.error_ppm.sd < 0.02, "{:?}", reading.error_ppm);
    assert_eq!(reading.warnings, vec![]);
    assert!(reading.course.len() as u64 >= reading.steps_used);
    assert!(reading.course.windows(2).all(|w| w[0].at_s < w[1].at_s));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    /// Loudness does not matter: the error moves by less than a twentieth of its deviation.
    #[test]
    fn gain_does_not_matter(gain_db in -80.0f32..60.0) {
        let samples = sound(&quiet(3, 40.0, 18.0));
        let gain = 10f32.powf(gain_db / 20.0);
        let scaled: Vec<f32> = samples.iter().map(|x| x * gain).collect();
        let one = read(&samples, 48_000.0, second()).unwrap();
        let other = read(&scaled, 48_000.0, second()).unwrap();
        let moved = one.error_ppm.value - other.error_ppm.value;
        prop_assert!(moved.abs() < 0.05 * one.error_ppm.sd, "{moved}");
        prop_assert_eq!(one.steps_used, other.steps_used);
    }

    /// Nor does when the recording begins: the steps are the same, less what was cut off.
    #[test]
    fn the_start_does_not_matter(cut in 0usize..48_000) {
        let samples = sound(&quiet(3, 45.0, 18.0));
        let one = read(&samples, 48_000.0, second()).unwrap();
        let other = read(&samples[cut..], 48_000.0, second()).unwrap();
        // A step may be lost with the start, which weighs most in a slope: 6/N of its residual.
        let moved = one.error_ppm.value - other.error_ppm.value;
        prop_assert!(moved.abs() < 1.5 * one.error_ppm.sd, "{moved} {}", one.error_ppm.sd);
        prop_assert!(one.steps_used <= other.steps_used + 2);
    }

    /// What the recorder is faster, the reading is greater.
    #[test]
    fn the_error_is_followed(ppm in -900.0f64..900.0) {
        let at = |ppm: f64| {
            let samples = sound(&quiet(8, 40.0, ppm));
            read(&samples, 48_000.0, second()).unwrap()
        };
        let (zero, there) = (at(0.0), at(ppm));
        // The same jitter in both, so they differ by less than its deviation.
        let error = there.error_ppm.value - zero.error_ppm.value - ppm;
        prop_assert!(error.abs() < zero.error_ppm.sd, "{ppm}: {error}");
        let told = there.warnings.iter().any(|w| w.code() == "clock_implausible");
        prop_assert_eq!(told, there.error_ppm.value.abs() > 300.0);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Any samples, any channels, any blocks: an answer, never a panic.
    #[test]
    fn arbitrary_samples_get_an_answer(
        seeds in prop::collection::vec(any::<u32>(), 1..2_000),
        kind in 0u8..5,
        channels in 0usize..4,
        period_s in 0.0625f64..2.0,
        repeats in 1usize..400,
        block in 1usize..5_000,
    ) {
        let one: Vec<f32> = seeds
            .iter()
            .map(|&bits| match kind {
                0 => f32::from_bits(bits),
                1 => (bits as f32 / 2f32.powi(31)) - 1.0,
                2 => if bits % 7 == 0 { f32::NAN } else { 1.0 },
                3 => if bits % 50 == 0 { f32::MAX } else { 0.0 },
                _ => if bits % 97 == 0 { f32::MIN_POSITIVE } else { -0.0 },
            })
            .collect();
        let reference = Reference::unchecked(ReferencePeriod::from_s(period_s).unwrap());
        let mut listener = hear(8_000.0, channels, reference);
        for _ in 0..repeats {
            for part in one.chunks(block) {
                listener.push(part);
            }
        }
        if let Ok(reading) = listener.finish() {
            prop_assert!(reading.error_ppm.value.is_finite(), "{:?}", reading);
            prop_assert!(reading.error_ppm.sd > 0.0, "{:?}", reading.error_ppm);
        }
    }
}
