//! Order statistics against numpy, scipy and pandas, robust fits against statsmodels RLM
//! (`reference/robust.txt`), and laws.
#![allow(clippy::unwrap_used, reason = "a test says what went wrong by failing")]

mod noise;
mod table;

use noise::Noise;
use proptest::prelude::*;
use signal::line_fit::Spread;
use signal::robust::{
    BISQUARE_95, HUBER_95, MAD_TO_SD, RobustOptions, RunningQuantile, Scale, Weighting, median,
    median_absolute_deviation, quantile, robust_columns, robust_line, robust_sd, running_median,
    weighted_median,
};
use table::{Table, assert_close};

/// 1e-13: a handful of roundings.
#[test]
fn quantiles_agree_with_numpy() {
    let table = Table::read("robust");
    let values = table.row("values");
    for (k, &p) in table.row("quantile.p").iter().enumerate() {
        for (count, name) in [(45, "quantile.of_45"), (44, "quantile.of_44")] {
            let got = quantile(&values[..count], p).unwrap();
            assert_close(name, got, table.row(name)[k], 1e-13, 1e-14);
        }
    }
    assert_close(
        "mad",
        median_absolute_deviation(values).unwrap(),
        table.number("mad"),
        1e-13,
        0.0,
    );
    assert_close("sd", robust_sd(values).unwrap(), table.number("mad_sd"), 1e-13, 0.0);
    let weighted = weighted_median(values, table.row("weights")).unwrap();
    assert_eq!(weighted, table.number("weighted_median"));
}

#[test]
fn running_windows_agree_with_pandas_and_scipy() {
    let table = Table::read("robust");
    let values = table.row("values");
    let mut running = RunningQuantile::new(7, 0.3).unwrap();
    for (&value, &expected) in values.iter().zip(table.row("running.q30")) {
        assert_close("q30", running.push(value).unwrap(), expected, 1e-13, 1e-14);
    }
    let centred = running_median(values, 2);
    assert_eq!(&centred[2..values.len() - 2], table.row("running.median5"));
}

/// Both sides iterate until nothing moves by 1e-9 standard deviations (ours) or 1e-13 (theirs);
/// convergence is linear with a ratio near 1/3, so what is left is about half of the last step.
#[test]
fn robust_fits_agree_with_statsmodels() {
    let table = Table::read("robust");
    let (x, y) = (table.row("fit.x"), table.row("fit.y"));
    let ones = vec![1.0; x.len()];
    let parity: Vec<f64> = (0..x.len()).map(|i| if i % 2 == 0 { 1.0 } else { -1.0 }).collect();
    let kinds = [
        ("huber", Weighting::Huber { k: HUBER_95 }, Scale::Mad),
        ("bisquare", Weighting::Bisquare { c: BISQUARE_95 }, Scale::Mad),
        ("huber2", Weighting::Huber { k: HUBER_95 }, Scale::Proposal2 { d: 2.5 }),
    ];
    for (name, weighting, scale) in kinds {
        let options = RobustOptions { weighting, scale, ..RobustOptions::default() };
        let robust = robust_columns(&[&ones, x, &parity], y, None, &options).unwrap();
        let line = robust_line(x, y, None, &[&parity], &options).unwrap();
        let expected = table.row(&format!("fit.{name}"));
        assert!(robust.converged && line.converged);
        for k in 0..3 {
            assert_close(name, robust.fit.coefficients()[k], expected[k], 0.0, 1e-8);
            assert_close(
                name,
                robust.fit.sd(k, Spread::Residuals).unwrap(),
                expected[3 + k],
                1e-7,
                0.0,
            );
        }
        assert_close(name, robust.scale, expected[6], 1e-7, 0.0);
        for (&got, &expected) in robust.say.iter().zip(table.row(&format!("fit.{name}.weights"))) {
            assert_close(name, got, expected, 0.0, 1e-7);
        }
        assert_close(name, line.line.slope(), expected[1], 0.0, 1e-8);
        assert_close(name, line.line.slope_sd(Spread::Residuals).unwrap(), expected[4], 1e-7, 0.0);
        assert_close(name, line.line.value_at(0.0), expected[0], 0.0, 1e-7);
    }
}

/// A third of the points far off on one side: the bisquare fit has the line of the good ones. Its
/// slope is within four of its own deviations in all of 50 draws.
#[test]
fn a_third_of_bad_points_does_not_bend_the_line() {
    let mut noise = Noise::seeded(5);
    for _ in 0..50 {
        let x: Vec<f64> = (0..90).map(f64::from).collect();
        let y: Vec<f64> = x
            .iter()
            .map(|x| {
                let bad = if noise.uniform() < 0.33 { 30.0 + 20.0 * noise.uniform() } else { 0.0 };
                5.0 + 0.1 * x + noise.normal() + bad
            })
            .collect();
        let robust = robust_line(&x, &y, None, &[], &RobustOptions::default()).unwrap();
        assert!(robust.converged);
        let off = robust.line.slope() - 0.1;
        assert!(off.abs() < 4.0 * robust.line.slope_sd(Spread::Residuals).unwrap(), "{off}");
    }
}

/// For good points: 95 % efficient, and two thirds of the errors within one deviation. 1,500 fits
/// of 40 points; three standard deviations of the shares and of the variance ratio.
#[test]
fn robust_deviations_cover_what_they_claim() {
    let mut noise = Noise::seeded(9);
    let x: Vec<f64> = (0..40).map(f64::from).collect();
    let plain_variance = 12.0 / (40.0 * (40.0f64.powi(2) - 1.0));
    for weighting in [Weighting::Huber { k: HUBER_95 }, Weighting::Bisquare { c: BISQUARE_95 }] {
        let options = RobustOptions { weighting, ..RobustOptions::default() };
        let (mut within, mut square) = (0, 0.0);
        for _ in 0..1500 {
            let y: Vec<f64> = x.iter().map(|_| noise.normal()).collect();
            let robust = robust_line(&x, &y, None, &[], &options).unwrap();
            let sd = robust.line.fit().sd_widened(1).unwrap();
            within += usize::from(robust.line.slope().abs() < sd);
            square += robust.line.slope().powi(2) / 1500.0;
        }
        // The binomial share has a deviation of 1.2 %; H1 is asymptotic, 40 points leave it 2 % off.
        assert_close("share", f64::from(within as u32) / 1500.0, 0.6827, 0.0, 0.036 + 0.02);
        // A variance from 1,500 draws has a relative deviation of 3.7 %.
        assert_close("efficiency", plain_variance / square, 0.95, 0.0, 0.11);
    }
}

#[test]
fn points_on_a_line_with_wild_ones_among_them_are_found_exactly() {
    let x: Vec<f64> = (0..20).map(f64::from).collect();
    let mut y: Vec<f64> = x.iter().map(|x| 3.0 + 0.5 * x).collect();
    y[3] += 100.0;
    y[11] -= 7.0;
    for weighting in [Weighting::Huber { k: HUBER_95 }, Weighting::Bisquare { c: BISQUARE_95 }] {
        let options = RobustOptions { weighting, ..RobustOptions::default() };
        let robust = robust_line(&x, &y, None, &[], &options).unwrap();
        assert!(robust.converged);
        assert_close("slope", robust.line.slope(), 0.5, 0.0, 1e-9);
        assert!(robust.say[3] < 1e-6 && robust.say[11] < 1e-6 && robust.say[0] > 0.99);
    }
}

#[test]
fn absurd_input_gives_none() {
    let nan = [1.0, f64::NAN];
    assert_eq!(median(&[]), None);
    assert_eq!(median(&nan), None);
    assert_eq!(median(&[4.0]), Some(4.0));
    assert_eq!(median(&[f64::INFINITY; 3]), Some(f64::INFINITY));
    assert_eq!(quantile(&[1.0, 2.0], 1.5), None);
    assert_eq!(quantile(&[1.0, 2.0], f64::NAN), None);
    assert_eq!(median_absolute_deviation(&[]), None);
    assert_eq!(median_absolute_deviation(&nan), None);
    assert_eq!(median_absolute_deviation(&[7.0; 5]), Some(0.0));
    assert_eq!(weighted_median(&[], &[]), None);
    assert_eq!(weighted_median(&[1.0, 2.0], &[1.0]), None);
    assert_eq!(weighted_median(&[1.0, 2.0], &[0.0, 0.0]), None);
    assert_eq!(weighted_median(&[1.0, 2.0], &[1.0, -1.0]), None);
    assert_eq!(weighted_median(&nan, &[1.0, 1.0]), None);
    assert_eq!(weighted_median(&[1.0, 9.0], &[1.0, 0.0]), Some(1.0));
    assert!(RunningQuantile::new(0, 0.5).is_none());
    assert!(RunningQuantile::new(3, -0.1).is_none());
    assert!(running_median(&[], 3).is_empty());
    assert!(running_median(&nan, 0)[1].is_nan());
    assert_eq!(running_median(&nan, 9), [1.0, 1.0]);
    assert_eq!(running_median(&[3.0, 1.0, 2.0], usize::MAX), [2.0; 3]);
    let options = RobustOptions::default();
    assert!(robust_line(&[], &[], None, &[], &options).is_err());
    assert!(robust_line(&[1.0; 4], &[1.0; 4], None, &[], &options).is_err());
    assert!(robust_line(&[1.0, 2.0], &nan, None, &[], &options).is_err());
    let weightless =
        robust_line(&[1.0, 2.0, 3.0], &[1.0, 2.0, 3.0], Some(&[0.0; 3]), &[], &options);
    assert!(weightless.is_err());
    let constant = robust_line(&[1.0, 2.0, 3.0], &[0.0; 3], None, &[], &options).unwrap();
    assert_eq!(constant.line.slope(), 0.0);
    assert_close("sd factor", MAD_TO_SD, 1.482_602_218_505_602, 1e-15, 0.0);
}

/// A weight of zero is as good as absence; a weight of two as good as a deviation less by root two.
#[test]
fn weightless_points_count_as_absent() {
    let mut noise = Noise::seeded(21);
    let x: Vec<f64> = (0..30).map(f64::from).collect();
    let mut y: Vec<f64> = x.iter().map(|_| noise.normal()).collect();
    let mut w = vec![1.0; 30];
    (w[7], y[7]) = (0.0, 1e6);
    let options = RobustOptions::default();
    let kept = |values: &[f64]| [&values[..7], &values[8..]].concat();
    let all = robust_line(&x, &y, Some(&w), &[], &options).unwrap();
    let without = robust_line(&kept(&x), &kept(&y), None, &[], &options).unwrap();
    assert_close("slope", all.line.slope(), without.line.slope(), 0.0, 1e-8);
    assert_close("scale", all.scale, without.scale, 1e-7, 0.0);
    let sds = [&all, &without].map(|r| r.line.slope_sd(Spread::Residuals).unwrap());
    assert_close("sd", sds[0], sds[1], 1e-7, 0.0);
}

proptest! {
    /// Selection agrees with sorting.
    #[test]
    fn quantile_agrees_with_sorting(mut values in prop::collection::vec(-1e3f64..1e3, 1..60), p in 0.0f64..=1.0) {
        let got = quantile(&values, p).unwrap();
        values.sort_by(f64::total_cmp);
        let place = p * (values.len() - 1) as f64;
        let (low, high) = (values[place.floor() as usize], values[place.ceil() as usize]);
        prop_assert!((got - (low + (high - low) * place.fract())).abs() < 1e-9);
    }

    /// The weighted median with whole weights is the median of the repeated values.
    #[test]
    fn whole_weights_repeat_values(pairs in prop::collection::vec((-20i32..20, 0u8..4), 1..40)) {
        let values: Vec<f64> = pairs.iter().map(|&(v, _)| f64::from(v)).collect();
        let weights: Vec<f64> = pairs.iter().map(|&(_, w)| f64::from(w)).collect();
        let repeated: Vec<f64> = pairs.iter().flat_map(|&(v, w)| vec![f64::from(v); w.into()]).collect();
        prop_assert_eq!(weighted_median(&values, &weights), median(&repeated));
    }

    #[test]
    fn running_quantile_agrees_with_the_window(
        values in prop::collection::vec(prop_oneof![9 => -9f64..9.0, 1 => Just(f64::NAN)], 1..50),
        window in 1usize..12, p in 0.0f64..=1.0,
    ) {
        let mut running = RunningQuantile::new(window, p).unwrap();
        for end in 1..=values.len() {
            let within: Vec<f64> = values[end.saturating_sub(window)..end].iter().copied().filter(|v| !v.is_nan()).collect();
            let (got, expected) = (running.push(values[end - 1]), quantile(&within, p));
            prop_assert_eq!(got.is_some(), expected.is_some());
            prop_assert!((got.unwrap_or(0.0) - expected.unwrap_or(0.0)).abs() < 1e-12);
        }
    }

    /// `y -> a y + b + c x` takes the fit along.
    #[test]
    fn robust_fits_move_with_the_points(
        seed in any::<u64>(), a in prop_oneof![0.01f64..100.0, -100.0f64..-0.01], b in -50f64..50.0, c in -5f64..5.0,
        bisquare in any::<bool>(),
    ) {
        let mut noise = Noise::seeded(seed);
        let x: Vec<f64> = (0..25).map(|i| f64::from(i) + noise.uniform()).collect();
        let y: Vec<f64> = x.iter().map(|_| noise.normal() / (0.3 + noise.uniform())).collect();
        let moved: Vec<f64> = x.iter().zip(&y).map(|(x, y)| a * y + b + c * x).collect();
        let weighting = if bisquare { Weighting::Bisquare { c: BISQUARE_95 } } else { Weighting::Huber { k: HUBER_95 } };
        let options = RobustOptions { weighting, tolerance: 1e-11, max_steps: 1000, ..RobustOptions::default() };
        let before = robust_line(&x, &y, None, &[], &options).unwrap();
        let after = robust_line(&x, &moved, None, &[], &options).unwrap();
        prop_assume!(before.converged && after.converged);
        let size = a.abs() + b.abs() + c.abs();
        prop_assert!((after.line.slope() - (a * before.line.slope() + c)).abs() < 1e-6 * size);
        prop_assert!((after.line.value() - (a * before.line.value() + b + c * before.line.middle())).abs() < 1e-6 * size);
        prop_assert!((after.scale - a.abs() * before.scale).abs() < 1e-6 * size);
    }
}
