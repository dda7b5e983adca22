//! Line fits against scipy.stats.linregress, numpy.polyfit and statsmodels WLS
//! (`reference/lines.txt`), and against laws.
//!
//! Tolerance 1e-11 relative unless said: the problems are conditioned to about 1e3, and numpy's
//! polyfit does not centre its abscissas.
#![allow(clippy::unwrap_used, reason = "a test says what went wrong by failing")]

mod noise;
mod table;

use noise::Noise;
use proptest::prelude::*;
use signal::line_fit::{
    FitError, LineFit, LineSums, Spread, Sums, fit_columns, fit_line, student_widening,
};
use table::{Table, assert_close};

fn parity(count: usize) -> Vec<f64> {
    (0..count).map(|i| if i % 2 == 0 { 1.0 } else { -1.0 }).collect()
}

#[test]
fn plain_line_agrees_with_linregress() {
    let table = Table::read("lines");
    let (x, y) = (table.row("plain.x"), table.row("plain.y"));
    let &[slope, intercept, slope_sd, intercept_sd] = table.row("plain.linregress") else {
        panic!()
    };
    let line = fit_line(x, y, None, &[]).unwrap();
    assert_close("slope", line.slope(), slope, 1e-11, 0.0);
    assert_close("intercept", line.value_at(0.0), intercept, 1e-11, 0.0);
    assert_close("sd", line.slope_sd(Spread::Residuals).unwrap(), slope_sd, 1e-11, 0.0);
    assert_close("sd", line.value_at_sd(0.0, Spread::Residuals).unwrap(), intercept_sd, 1e-11, 0.0);
}

#[test]
fn weighted_line_agrees_with_polyfit() {
    let table = Table::read("lines");
    let (x, y, w) = (table.row("plain.x"), table.row("plain.y"), table.row("weights"));
    let line = fit_line(x, y, Some(w), &[]).unwrap();
    let &[slope, intercept, s00, _, _, s11, u00, _, _, u11] = table.row("weighted.polyfit") else {
        panic!()
    };
    assert_close("slope", line.slope(), slope, 1e-11, 0.0);
    assert_close("intercept", line.value_at(0.0), intercept, 1e-11, 0.0);
    for (spread, slope_variance, intercept_variance) in
        [(Spread::Residuals, s00, s11), (Spread::Weights, u00, u11)]
    {
        let sd = line.slope_sd(spread).unwrap();
        assert_close("slope variance", sd * sd, slope_variance, 1e-11, 0.0);
        let sd = line.value_at_sd(0.0, spread).unwrap();
        assert_close("intercept variance", sd * sd, intercept_variance, 1e-11, 0.0);
    }
}

#[test]
fn line_with_a_parity_column_agrees_with_statsmodels() {
    let table = Table::read("lines");
    let (x, y, w) = (table.row("plain.x"), table.row("parity.y"), table.row("weights"));
    let parity = parity(x.len());
    let ones = vec![1.0; x.len()];
    let expected = table.row("parity.wls");
    let line = fit_line(x, y, Some(w), &[&parity]).unwrap();
    let fit = fit_columns(&[&ones, x, &parity], y, Some(w)).unwrap();
    let mut sums = Sums::new(3);
    for i in 0..x.len() {
        sums.push(&[1.0, x[i], parity[i]], y[i], w[i]).unwrap();
    }
    for fit in [&fit, &sums.fit().unwrap()] {
        for k in 0..3 {
            assert_close("coefficient", fit.coefficients()[k], expected[k], 1e-11, 0.0);
            assert_close("sd", fit.sd(k, Spread::Residuals).unwrap(), expected[3 + k], 1e-11, 0.0);
            for j in 0..3 {
                let covariance = fit.covariance(k, j, Spread::Residuals).unwrap();
                assert_close("covariance", covariance, expected[6 + 3 * k + j], 1e-10, 1e-16);
            }
        }
        assert_close("variance", fit.residual_variance().unwrap(), expected[15], 1e-11, 0.0);
    }
    assert_close("intercept", line.value_at(0.0), expected[0], 1e-11, 0.0);
    assert_close("slope", line.slope(), expected[1], 1e-11, 0.0);
    assert_close("parity", line.extra()[0], expected[2], 1e-11, 0.0);
    assert_close("slope sd", line.slope_sd(Spread::Residuals).unwrap(), expected[4], 1e-11, 0.0);
    assert_close(
        "parity sd",
        line.extra_sd(0, Spread::Residuals).unwrap(),
        expected[5],
        1e-11,
        0.0,
    );
}

/// JCGM 100:2008 table G.2 gives 1.84, 1.32, 1.20, 1.11 for 1, 2, 3, 5 degrees of freedom at
/// 68.27 %; scipy gives all digits.
#[test]
fn few_degrees_of_freedom_widen_as_the_gum_says() {
    for (dof, factor) in [(1.0, 1.84), (2.0, 1.32), (3.0, 1.20), (5.0, 1.11), (10.0, 1.05)] {
        assert_close("GUM", student_widening(dof), factor, 0.0, 0.005);
    }
    let table = Table::read("lines");
    for (&dof, &factor) in table.row("widening.dof").iter().zip(table.row("widening.factor")) {
        assert_close("scipy", student_widening(dof), factor, 1e-9, 0.0);
    }
    assert!(student_widening(0.0).is_nan());
}

/// A day of seconds with nanosecond detail: the slope of a part in 1e12 is found to 1e-15 (the
/// rounding of values near 1e5 is 1.5e-11, spread over 1e4 points and 1e5 seconds: below 1e-17).
#[test]
fn large_common_parts_cost_no_digits() {
    let (x, y): (Vec<f64>, Vec<f64>) = (0..10_000)
        .map(|i| {
            let x = 1.0e5 + 10.0 * f64::from(i);
            (x, 86_400.0 + 1e-12 * (x - 150_000.0))
        })
        .unzip();
    let line = fit_line(&x, &y, None, &[]).unwrap();
    assert_close("slope", line.slope(), 1e-12, 0.0, 1e-15);
    let mut sums = LineSums::new(1.5e5, 86_400.0, 0);
    for (&x, &y) in x.iter().zip(&y) {
        sums.push(x, y, &[], 1.0).unwrap();
    }
    assert_close("streamed", sums.fit().unwrap().slope(), 1e-12, 0.0, 1e-15);
}

/// Two thirds of the errors of every coefficient lie within one widened deviation, 1,000 fits of
/// 6 points: three standard deviations of a binomial share are 4.4 %.
#[test]
fn deviations_cover_what_they_claim() {
    let mut noise = Noise::seeded(3);
    let x = [0.0, 1.0, 2.0, 4.0, 7.0, 8.0];
    let (mut slope_within, mut value_within) = (0, 0);
    for _ in 0..1000 {
        let y: Vec<f64> = x.iter().map(|x| 2.0 - 0.5 * x + noise.normal()).collect();
        let line = fit_line(&x, &y, None, &[]).unwrap();
        let slope_sd = line.fit().sd_widened(1).unwrap();
        let value_sd = line.fit().sd_widened(0).unwrap();
        slope_within += usize::from((line.slope() + 0.5).abs() < slope_sd);
        value_within += usize::from((line.value_at(3.0) - 0.5).abs() < value_sd);
    }
    for within in [slope_within, value_within] {
        assert_close("share", within as f64 / 1000.0, 0.6827, 0.0, 0.044);
    }
}

#[test]
fn absurd_input_is_refused_with_a_reason() {
    let four = [1.0, 2.0, 3.0, 4.0];
    let refused = |x: &[f64], y: &[f64], w: Option<&[f64]>| fit_line(x, y, w, &[]).unwrap_err();
    assert_eq!(refused(&[], &[], None), FitError::TooFewPoints { points: 0, columns: 2 });
    assert_eq!(refused(&[1.0], &[1.0], None), FitError::TooFewPoints { points: 1, columns: 2 });
    assert_eq!(refused(&four, &four[..3], None), FitError::Lengths { values: 3, other: 4 });
    assert_eq!(refused(&[2.0; 4], &four, None), FitError::Dependent { column: 1 });
    assert_eq!(refused(&four, &[1.0, f64::NAN, 0.0, 0.0], None), FitError::NotFinite { at: 1 });
    assert_eq!(
        refused(&four, &four, Some(&[1.0, 1.0, -1.0, 1.0])),
        FitError::NegativeWeight { at: 2 }
    );
    assert_eq!(
        refused(&four, &four, Some(&[0.0, 0.0, 5.0, 0.0])),
        FitError::TooFewPoints { points: 1, columns: 2 }
    );
    let twice = fit_line(&four, &four, None, &[&four]).unwrap_err();
    assert_eq!(twice, FitError::Dependent { column: 2 });
    assert!(twice.to_string().contains("leave it out"));
    assert!(fit_columns(&[], &four, None).is_err());
    let mut sums = Sums::new(2);
    assert!(sums.push(&[1.0], 1.0, 1.0).is_err());
    assert!(sums.push(&[1.0, f64::INFINITY], 1.0, 1.0).is_err());
    assert!(sums.push(&[1.0, 1.0], 1.0, -1.0).is_err());
    assert!(sums.fit().is_err());
    assert!(Sums::new(0).fit().is_err());
    assert!(sums.merge(&Sums::new(3)).is_err());
    assert!(LineSums::new(0.0, 0.0, 1).fit().is_err());
    assert!(LineSums::new(0.0, 0.0, 1).push(0.0, 0.0, &[], 1.0).is_err());
}

/// Two points settle a line but say nothing of its uncertainty.
#[test]
fn no_degrees_of_freedom_give_no_deviation() {
    let line = fit_line(&[0.0, 2.0], &[1.0, 2.0], None, &[]).unwrap();
    assert_eq!(line.slope(), 0.5);
    assert_eq!(line.slope_sd(Spread::Residuals), None);
    assert_eq!(line.fit().sd_widened(1), None);
    assert!(line.slope_sd(Spread::Weights).is_some());
    assert_eq!(line.extra_sd(0, Spread::Weights), None);
    assert_eq!(line.extra_sd(usize::MAX, Spread::Weights), None);
}

fn streamed(x: &[f64], y: &[f64], w: &[f64], extra: &[f64], origin: f64) -> LineSums {
    let mut sums = LineSums::new(origin, -3.0 * origin, 1);
    for i in 0..x.len() {
        sums.push(x[i], y[i], &[extra[i]], w[i]).unwrap();
    }
    sums
}

fn assert_same(a: &LineFit, b: &LineFit, tolerance: f64) {
    assert_close("middle", a.middle(), b.middle(), tolerance, tolerance);
    for k in 0..3 {
        assert_close(
            "coefficient",
            a.fit().coefficients()[k],
            b.fit().coefficients()[k],
            tolerance,
            tolerance,
        );
        assert_close(
            "sd",
            a.fit().sd(k, Spread::Residuals).unwrap(),
            b.fit().sd(k, Spread::Residuals).unwrap(),
            tolerance,
            tolerance,
        );
    }
}

proptest! {
    #[test]
    fn a_line_without_noise_is_found_exactly(
        value in -1e3f64..1e3, slope in -10f64..10.0, step in -5f64..5.0,
        x in prop::collection::vec(-100f64..100.0, 5..40),
    ) {
        let parity = parity(x.len());
        prop_assume!(x.iter().fold(f64::MIN, |a, &b| a.max(b)) - x.iter().fold(f64::MAX, |a, &b| a.min(b)) > 1.0);
        let y: Vec<f64> = x.iter().zip(&parity).map(|(x, p)| value + slope * x + step * p).collect();
        match fit_line(&x, &y, None, &[&parity]) {
            Ok(line) => {
                prop_assert!((line.value_at(0.0) - value).abs() < 1e-8);
                prop_assert!((line.slope() - slope).abs() < 1e-9);
                prop_assert!((line.extra()[0] - step).abs() < 1e-9);
                let left = line.residuals(&x, &y, &[&parity]);
                prop_assert!(left.iter().all(|r| r.abs() < 1e-8));
            }
            Err(error) => prop_assert_eq!(error, FitError::Dependent { column: 2 }),
        }
    }

    /// A stream in two halves with different origins, merged, is the fit of the whole: 1e-7 for
    /// what the origins (up to 1e3 for values of order one) and the random design cost.
    #[test]
    fn merged_streams_equal_the_whole(
        seed in any::<u64>(), count in 12usize..60, first_origin in -1e3f64..1e3, second_origin in -1e3f64..1e3,
    ) {
        let mut noise = Noise::seeded(seed);
        let mut draw = |scale: f64| (0..count).map(|_| scale * noise.normal()).collect::<Vec<_>>();
        let (x, y, extra) = (draw(10.0), draw(1.0), draw(1.0));
        let w: Vec<f64> = draw(1.0).iter().map(|v| v.abs()).collect();
        let cut = count / 3;
        let mut sums = streamed(&x[..cut], &y[..cut], &w[..cut], &extra[..cut], first_origin);
        sums.merge(&streamed(&x[cut..], &y[cut..], &w[cut..], &extra[cut..], second_origin)).unwrap();
        prop_assert_eq!(sums.points(), count);
        let whole = fit_line(&x, &y, Some(&w), &[&extra]).unwrap();
        assert_same(&sums.fit().unwrap(), &whole, 1e-7);
    }
}
