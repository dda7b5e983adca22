//! Periodograms against astropy.timeseries.LombScargle (`reference/periodograms.txt`), the fast
//! sums against the plain ones, and laws.
#![allow(clippy::unwrap_used, reason = "a test says what went wrong by failing")]

mod noise;
mod table;

use noise::Noise;
use proptest::prelude::*;
use signal::periodogram::{
    FrequencyGrid, Periodogram, PeriodogramError, Series, Sinusoid, find_sinusoids,
};
use table::{Table, assert_close};

fn series_of(table: &Table, name: &str) -> Series {
    let weighted = name == "strong" || name == "noise";
    let weights = weighted.then(|| table.row(&format!("{name}.w")));
    Series::new(table.row(&format!("{name}.t")), table.row(&format!("{name}.y")), weights).unwrap()
}

fn grid_of(table: &Table, name: &str) -> FrequencyGrid {
    let f = table.row(&format!("{name}.f"));
    FrequencyGrid::new(f[0], f[1] - f[0], f.len()).unwrap()
}

/// 1e-9: astropy's times start at 1,000 s, so its phases carry some 1e-12, ten times that at the
/// low frequencies where sine and mean are hard to tell apart.
#[test]
fn power_agrees_with_astropy() {
    let table = Table::read("periodograms");
    for name in ["strong", "noise", "even", "few"] {
        let series = series_of(&table, name);
        let grid = grid_of(&table, name);
        for periodogram in [Periodogram::plain(&series, grid), Periodogram::fast(&series, grid)] {
            for (got, &expected) in
                periodogram.power().iter().zip(table.row(&format!("{name}.power")))
            {
                assert_close(name, *got, expected, 0.0, 1e-9);
            }
        }
    }
}

/// Relative 1e-9 for the probability. The level is found to 1e-9 by astropy's root finder.
#[test]
fn false_alarms_agree_with_astropy() {
    let table = Table::read("periodograms");
    for name in ["strong", "noise", "even", "few"] {
        let series = series_of(&table, name);
        let periodogram = Periodogram::plain(&series, grid_of(&table, name));
        for (&z, &fap) in
            table.row(&format!("{name}.z")).iter().zip(table.row(&format!("{name}.fap")))
        {
            assert_close(name, periodogram.false_alarm_probability(z), fap, 1e-9, 1e-15);
        }
        if name != "few" {
            let levels = table.row(&format!("{name}.level"));
            for (&p, &level) in table.row(&format!("{name}.probability")).iter().zip(levels) {
                assert_close(name, periodogram.level(p), level, 1e-7, 0.0);
            }
        }
    }
}

#[test]
fn a_peak_agrees_with_astropy() {
    let table = Table::read("periodograms");
    let series = series_of(&table, "strong");
    let sinusoid = Sinusoid::fit(&series, 0.2103).unwrap();
    let amplitude = table.number("strong.amplitude");
    assert_close("amplitude", sinusoid.semi_amplitude, amplitude, 1e-9, 0.0);
    let &[frequency_hz, power] = table.row("strong.highest") else { panic!() };
    let peaks = Periodogram::plain(&series, grid_of(&table, "strong")).peaks(&series, 1, 0.5);
    // Theirs is the best of a grid of 1e-7 Hz, ours within a thousandth of a step of 2e-3 Hz.
    assert_close("frequency", peaks[0].sinusoid.frequency_hz, frequency_hz, 0.0, 2.5e-6);
    assert_close("power", peaks[0].sinusoid.power, power, 1e-6, 0.0);
}

/// As [`Periodogram::fast`] promises: 1e-8; several blocks of frequencies, clumped times, gaps.
#[test]
fn fast_equals_plain() {
    let mut noise = Noise::seeded(31);
    let mut times = vec![];
    for clump in 0..5 {
        for _ in 0..40 {
            times.push(1.0e6 + 700.0 * f64::from(clump) + 90.0 * noise.uniform());
        }
    }
    let values: Vec<f64> = times.iter().map(|t| (0.7 * t).sin() + noise.normal()).collect();
    let weights: Vec<f64> = times.iter().map(|_| noise.uniform()).collect();
    let series = Series::new(&times, &values, Some(&weights)).unwrap();
    for (first_hz, step_hz, count) in
        [(1e-4, 1e-4, 70_000), (3.7, 0.01, 501), (0.2, 1e-5, 1), (0.2, 1e-5, 2), (0.5, 0.25, 33)]
    {
        let grid = FrequencyGrid::new(first_hz, step_hz, count).unwrap();
        let (fast, plain) = (Periodogram::fast(&series, grid), Periodogram::plain(&series, grid));
        assert_eq!(fast.power().len(), count);
        for (index, (f, p)) in fast.power().iter().zip(plain.power()).enumerate() {
            assert_close(&format!("{count} {index}"), *f, *p, 0.0, 1e-8);
        }
    }
}

/// A pure sinusoid at uneven times: all of its variance, its frequency, semi-amplitude and phase.
#[test]
fn a_pure_sinusoid_is_found_whole() {
    let mut noise = Noise::seeded(8);
    let times: Vec<f64> = (0..200).map(|_| 60.0 * noise.uniform()).collect();
    let crest_s = 31.0;
    let wave = |t: f64| 7.0 + 2.5 * (std::f64::consts::TAU * 0.437 * (t - crest_s)).cos();
    let values: Vec<f64> = times.iter().map(|&t| wave(t)).collect();
    let series = Series::new(&times, &values, None).unwrap();
    let grid = FrequencyGrid::for_series(&series, 5.0, Some(2.0)).unwrap();
    let found = find_sinusoids(&series, grid, 9, 0.001);
    let first = found[0].sinusoid;
    // A thousandth of the grid's step: 1/60/5/1000 Hz; over 30 s it is 6e-4 of a turn.
    assert_close("frequency", first.frequency_hz, 0.437, 0.0, 4e-6);
    assert_close("semi-amplitude", first.semi_amplitude, 2.5, 1e-5, 0.0);
    assert_close("mean", first.mean, 7.0, 1e-5, 0.0);
    assert_close("power", first.power, 1.0, 0.0, 1e-6);
    let turns =
        first.frequency_hz * (crest_s - first.epoch_s) - first.crest_rad() / std::f64::consts::TAU;
    assert_close("crest", turns - turns.round(), 0.0, 0.0, 1e-3);
}

/// Two sinusoids in noise: both are found, nothing else is, and their errors are of the size of
/// the stated deviations (four of them at most, in 40 draws).
#[test]
fn sinusoids_in_noise_are_found_with_honest_deviations() {
    let mut noise = Noise::seeded(12);
    let mut others = 0;
    let (mut within_amplitude, mut within_frequency) = (0, 0);
    for _ in 0..40 {
        let times: Vec<f64> = (0..300).map(|_| 100.0 * noise.uniform()).collect();
        let (p, q) = (10.0 * noise.uniform(), 10.0 * noise.uniform());
        let values: Vec<f64> = times
            .iter()
            .map(|t| 1.2 * (2.0 * t + p).sin() + 0.7 * (5.0 * t + q).sin() + noise.normal())
            .collect();
        let series = Series::new(&times, &values, None).unwrap();
        let grid = FrequencyGrid::for_series(&series, 5.0, None).unwrap();
        let found = find_sinusoids(&series, grid, 5, 0.01);
        for (peak, (frequency, amplitude)) in found.iter().zip([(2.0, 1.2), (5.0, 0.7)]) {
            let s = peak.sinusoid;
            let off = (s.semi_amplitude - amplitude).abs() / s.semi_amplitude_sd;
            let drift =
                (s.frequency_hz - frequency / std::f64::consts::TAU).abs() / s.frequency_sd_hz;
            assert!(off < 4.0 && drift < 4.0, "{off} {drift}");
            within_amplitude += usize::from(off < 1.0);
            within_frequency += usize::from(drift < 1.0);
        }
        assert!(found.len() >= 2);
        others += found.len() - 2;
    }
    // One in a hundred by chance; three of 40 has a probability of 1 %.
    assert!(others <= 2, "{others} too many");
    // 68 % of 80 with three binomial deviations of 5.2 %.
    for within in [within_amplitude, within_frequency] {
        assert_close("share", within as f64 / 80.0, 0.6827, 0.0, 0.156);
    }
}

/// Noise alone passes the level for 10 % in at most 10 % of the draws (an upper limit, Baluev
/// 2008) and in not much less: 600 draws, three binomial deviations are 3.7 %.
#[test]
fn noise_passes_the_level_as_often_as_said() {
    let mut noise = Noise::seeded(77);
    let mut passed = 0;
    for _ in 0..600 {
        let times: Vec<f64> = (0..60).map(|_| 30.0 * noise.uniform()).collect();
        let values: Vec<f64> = times.iter().map(|_| noise.normal()).collect();
        let series = Series::new(&times, &values, None).unwrap();
        let grid = FrequencyGrid::for_series(&series, 8.0, None).unwrap();
        let periodogram = Periodogram::new(&series, grid);
        let highest = periodogram.power().iter().fold(0.0f64, |a, &b| a.max(b));
        passed += usize::from(highest > periodogram.level(0.1));
    }
    let share = passed as f64 / 600.0;
    assert!(share < 0.1 + 0.037 && share > 0.1 - 0.06, "{share}");
}

#[test]
fn peaks_are_apart_and_in_order() {
    let table = Table::read("periodograms");
    let series = series_of(&table, "strong");
    let peaks = Periodogram::plain(&series, grid_of(&table, "strong")).peaks(&series, 6, 0.05);
    assert!(peaks.len() > 1);
    for (a, b) in peaks.iter().zip(&peaks[1..]) {
        assert!(a.sinusoid.power >= b.sinusoid.power - 0.01);
        assert!(a.false_alarm_probability <= b.false_alarm_probability + 0.01);
        assert!((a.sinusoid.frequency_hz - b.sinusoid.frequency_hz).abs() > 0.9 / series.span_s());
    }
    assert!(
        Periodogram::plain(&series, grid_of(&table, "strong")).peaks(&series, 6, 1.1).is_empty()
    );
}

/// At a frequency at which every time has one phase nothing can be seen: power is not NaN, and
/// there is no sinusoid to fit.
#[test]
fn unseen_frequencies_have_no_power() {
    let times: Vec<f64> = (0..20).map(f64::from).collect();
    let values: Vec<f64> = times.iter().map(|t| (0.7 * t).sin()).collect();
    let series = Series::new(&times, &values, None).unwrap();
    let grid = FrequencyGrid::new(1.0, 1.0, 3).unwrap();
    for periodogram in [Periodogram::plain(&series, grid), Periodogram::fast(&series, grid)] {
        assert_eq!(periodogram.power(), [0.0; 3]);
    }
    assert!(Sinusoid::fit(&series, 1.0).is_none());
    assert!(Sinusoid::fit(&series, f64::NAN).is_none());
    assert!(Sinusoid::fit(&series, 0.0).is_none());
}

#[test]
fn absurd_input_is_refused_with_a_reason() {
    use PeriodogramError as E;
    let t = [0.0, 1.0, 2.0, 3.5, 5.0];
    let y = [1.0, -1.0, 2.0, 0.0, 1.0];
    assert_eq!(Series::new(&[], &[], None), Err(E::TooFewPoints { points: 0 }));
    assert_eq!(Series::new(&t, &y[..3], None), Err(E::Lengths));
    assert_eq!(Series::new(&t, &y, Some(&[1.0])), Err(E::Lengths));
    assert_eq!(Series::new(&t[..3], &y[..3], None), Err(E::TooFewPoints { points: 3 }));
    let weights = [0.0, 1.0, 1.0, 1.0, 0.0];
    assert_eq!(Series::new(&t, &y, Some(&weights)), Err(E::TooFewPoints { points: 3 }));
    assert_eq!(Series::new(&[2.0; 5], &y, None), Err(E::NoSpan));
    assert_eq!(Series::new(&t, &[0.1; 5], None), Err(E::Constant));
    for bad in [f64::NAN, f64::INFINITY] {
        let broken = [1.0, 2.0, bad, 0.0, 1.0];
        assert_eq!(Series::new(&t, &broken, None), Err(E::Unusable { at: 2 }));
        assert_eq!(Series::new(&broken, &y, None), Err(E::Unusable { at: 2 }));
        assert_eq!(Series::new(&t, &y, Some(&broken)), Err(E::Unusable { at: 2 }));
    }
    assert_eq!(Series::new(&t, &y, Some(&[1.0, 1.0, 1.0, 1.0, -1.0])), Err(E::Unusable { at: 4 }));
    let series = Series::new(&t, &y, None).unwrap();
    for grid in [
        FrequencyGrid::new(0.0, 1.0, 5),
        FrequencyGrid::new(1.0, 0.0, 5),
        FrequencyGrid::new(1.0, f64::NAN, 5),
        FrequencyGrid::new(1.0, 1.0, 0),
        FrequencyGrid::new(1.0, 1.0, usize::MAX),
        FrequencyGrid::for_series(&series, 0.0, None),
        FrequencyGrid::for_series(&series, f64::INFINITY, None),
        FrequencyGrid::for_series(&series, 5.0, Some(0.01)),
        FrequencyGrid::for_series(&series, 5.0, Some(1e12)),
        FrequencyGrid::for_series(&series, 5.0, Some(f64::NAN)),
    ] {
        assert!(grid.unwrap_err().to_string().contains("frequencies"));
    }
    let one = Periodogram::new(&series, FrequencyGrid::new(0.3, 0.1, 1).unwrap());
    assert!(one.level(0.0).is_nan() && one.level(1.5).is_nan());
    assert!(one.false_alarm_probability(f64::NAN).is_nan());
    assert_eq!(one.peaks(&series, 3, 0.0).len(), 1);
}

proptest! {
    #[test]
    fn power_is_a_share_and_ignores_level_and_scale(
        seed in any::<u64>(), count in 4usize..60, level in -1e3f64..1e3,
        factor in prop_oneof![0.01f64..1e3, -1e3f64..-0.01], shift_s in -1e4f64..1e4,
    ) {
        let mut noise = Noise::seeded(seed);
        let times: Vec<f64> = (0..count).map(|_| 10.0 * noise.uniform()).collect();
        let values: Vec<f64> = (0..count).map(|_| noise.normal()).collect();
        let weights: Vec<f64> = (0..count).map(|_| noise.uniform()).collect();
        let later: Vec<f64> = times.iter().map(|t| t + shift_s).collect();
        let moved: Vec<f64> = values.iter().map(|y| level + factor * y).collect();
        let grid = FrequencyGrid::new(0.11, 0.037, 100).unwrap();
        let first = Series::new(&times, &values, Some(&weights)).unwrap();
        let second = Series::new(&later, &moved, Some(&weights)).unwrap();
        let powers = [
            Periodogram::plain(&first, grid), Periodogram::fast(&first, grid),
            Periodogram::plain(&second, grid),
        ];
        for i in 0..100 {
            let [a, b, c] = [0, 1, 2].map(|k: usize| powers[k].power()[i]);
            for power in [a, b, c] {
                prop_assert!((0.0..=1.0).contains(&power));
            }
            // With few points some frequencies are nearly unseen, and rounding counts for more.
            prop_assert!((a - c).abs() < 1e-5 && (a - b).abs() < 1e-5, "{a} {b} {c}");
        }
    }

    #[test]
    fn false_alarms_fall_with_power(points in 4usize..500, low in 0.2f64..0.99, more in 0.0f64..0.01) {
        let times: Vec<f64> = (0..points).map(|i| i as f64).collect();
        let values: Vec<f64> = times.iter().map(|t| (t * t).sin()).collect();
        let series = Series::new(&times, &values, None).unwrap();
        let periodogram = Periodogram::new(&series, FrequencyGrid::new(0.01, 0.01, 50).unwrap());
        let (a, b) = (periodogram.false_alarm_probability(low), periodogram.false_alarm_probability(low + more));
        prop_assert!((0.0..=1.0).contains(&a) && (0.0..=1.0).contains(&b));
        prop_assert!(b <= a + 1e-12);
    }
}
