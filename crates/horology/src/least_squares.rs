//! Weighted linear least squares for a handful of unknowns: what poise, isochronism and the
//! regulator fit their lines with.

/// One observation: the factors of the unknowns, what was seen, and its standard deviation.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Row {
    pub(crate) factors: Vec<f64>,
    pub(crate) seen: f64,
    /// Positive.
    pub(crate) sd: f64,
}

/// The unknowns with their covariance, and how well they explain what was seen.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Fit {
    pub(crate) unknowns: Vec<f64>,
    pub(crate) covariance: Vec<Vec<f64>>,
    /// Sum of squared residuals over their variances.
    pub(crate) chi_squared: f64,
}

/// Least share of a column that must be its own, not a mixture of those before it.
///
/// Readings whose differences are a millionth of what they have in common say nothing of what
/// tells them apart; rounding alone, 1e-16, is far below.
const LEAST_OWN_SHARE: f64 = 1e-6;

/// Best unknowns for these rows: normal equations, by the Cholesky factor of their matrix with its
/// columns brought to one length (any text on numerical analysis). `None` where the rows leave an
/// unknown open, or a number is not finite.
pub(crate) fn fit(rows: &[Row]) -> Option<Fit> {
    let inverse = covariance(rows)?;
    let n = inverse.len();
    let mut right = vec![0.0; n];
    for row in rows {
        let weight = row.sd.powi(-2);
        for (sum, factor) in right.iter_mut().zip(&row.factors) {
            *sum += weight * factor * row.seen;
        }
    }
    let unknowns: Vec<f64> = inverse.iter().map(|line| dot(line, &right)).collect();
    let residual = |row: &Row| (row.seen - dot(&row.factors, &unknowns)) / row.sd;
    let chi_squared: f64 = rows.iter().map(|row| residual(row).powi(2)).sum();
    chi_squared.is_finite().then_some(Fit { unknowns, covariance: inverse, chi_squared })
}

/// Covariance that the unknowns will have from rows like these, whatever is seen; `None` as for
/// [`fit`].
pub(crate) fn covariance(rows: &[Row]) -> Option<Vec<Vec<f64>>> {
    let n = rows.first()?.factors.len();
    let mut normal = vec![vec![0.0; n]; n];
    for row in rows {
        let weight = row.sd.powi(-2);
        for (line, one) in normal.iter_mut().zip(&row.factors) {
            for (sum, other) in line.iter_mut().zip(&row.factors) {
                *sum += weight * one * other;
            }
        }
    }
    let scale: Vec<f64> = (0..n).map(|i| normal[i][i].sqrt()).collect();
    if !scale.iter().all(|s| *s > 0.0 && s.is_finite()) {
        return None;
    }
    let mut lower = vec![vec![0.0; n]; n];
    for i in 0..n {
        for j in 0..=i {
            let known: f64 = (0..j).map(|k| lower[i][k] * lower[j][k]).sum();
            let left = normal[i][j] / (scale[i] * scale[j]) - known;
            if i == j {
                if left.is_nan() || left < LEAST_OWN_SHARE * LEAST_OWN_SHARE {
                    return None;
                }
                lower[i][i] = left.sqrt();
            } else {
                lower[i][j] = left / lower[j][j];
            }
        }
    }
    // Column by column: lower * lower^T * x = unit vector.
    let mut inverse = vec![vec![0.0; n]; n];
    for column in 0..n {
        let mut x = vec![0.0; n];
        for i in 0..n {
            let known: f64 = (0..i).map(|k| lower[i][k] * x[k]).sum();
            x[i] = (f64::from(u8::from(i == column)) - known) / lower[i][i];
        }
        for i in (0..n).rev() {
            let known: f64 = (i + 1..n).map(|k| lower[k][i] * x[k]).sum();
            x[i] = (x[i] - known) / lower[i][i];
        }
        for i in 0..n {
            inverse[i][column] = x[i] / (scale[i] * scale[column]);
        }
    }
    Some(inverse)
}

/// Whether residuals are larger than what was claimed of the readings, beyond what chance does once
/// in twenty: the quantile of chi-squared after Wilson and Hilferty (from memory; within 3 per cent
/// of the table from one degree of freedom on).
pub(crate) fn scatter_is_beyond_chance(chi_squared: f64, freedoms: usize) -> bool {
    if freedoms == 0 {
        return false;
    }
    let ninth = 2.0 / (9.0 * freedoms as f64);
    chi_squared > freedoms as f64 * (1.0 - ninth + 1.644_9 * ninth.sqrt()).powi(3)
}

/// By how much the residuals widen a covariance, for statements that may be wrong as often as
/// `level`.
///
/// Up to what chance explains, by the factor of Birge: `chi^2` over its degrees of freedom `n`,
/// never less than one. Beyond it the scatter is known from the residuals alone, and from one or
/// two of them badly: two unknowns over their scatter then go as F(2, n), not as chi-squared. So
/// the factor grows by the ratio of the two, `n (level^(-2/n) - 1)` over `-2 ln level`, both of
/// which are elementary. For one unknown (Student's t) that is a little more than is due: 8.2 times
/// the deviation for 6.5 with one degree of freedom and 5 in 100, 1.39 for 1.31 with five.
pub(crate) fn widening(chi_squared: f64, freedoms: usize, level: f64) -> f64 {
    if freedoms == 0 {
        return 1.0;
    }
    let n = freedoms as f64;
    let birge = (chi_squared / n).max(1.0);
    if scatter_is_beyond_chance(chi_squared, freedoms) {
        birge * n * (level.powf(-2.0 / n) - 1.0) / (-2.0 * level.ln())
    } else {
        birge
    }
}

fn dot(one: &[f64], other: &[f64]) -> f64 {
    one.iter().zip(other).map(|(a, b)| a * b).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(factors: &[f64], seen: f64, sd: f64) -> Row {
        Row { factors: factors.to_vec(), seen, sd }
    }

    /// numpy 2.4.6 (linalg.lstsq of the weighted rows, linalg.inv of their normal matrix), outside
    /// this project.
    #[test]
    fn agrees_with_numpy() {
        let rows = [
            row(&[1.0, 0.0], 1.0, 0.5),
            row(&[1.0, 1.0], 2.9, 0.5),
            row(&[1.0, 2.0], 5.2, 1.0),
            row(&[1.0, 3.0], 7.0, 2.0),
        ];
        let got = fit(&rows).unwrap();
        for (got, expected) in got.unknowns.iter().zip(NUMPY_UNKNOWNS) {
            assert!((got - expected).abs() < 1e-9, "{got} {expected}");
        }
        for (got, expected) in got.covariance.concat().iter().zip(NUMPY_COVARIANCE) {
            assert!((got - expected).abs() < 1e-9, "{got} {expected}");
        }
        assert!((got.chi_squared - NUMPY_CHI_SQUARED).abs() < 1e-9);
    }

    const NUMPY_UNKNOWNS: [f64; 2] = [0.958375634518, 2.027411167513];
    const NUMPY_COVARIANCE: [f64; 4] =
        [0.208121827411, -0.137055837563, -0.137055837563, 0.187817258883];
    const NUMPY_CHI_SQUARED: f64 = 0.071675126904;

    #[test]
    fn an_unknown_left_open_is_no_fit() {
        assert_eq!(fit(&[]), None);
        assert_eq!(fit(&[row(&[1.0, 2.0], 1.0, 1.0)]), None);
        assert_eq!(fit(&[row(&[1.0, 2.0], 1.0, 1.0), row(&[2.0, 4.0], 1.0, 1.0)]), None);
        assert_eq!(fit(&[row(&[f64::NAN], 1.0, 1.0)]), None);
    }

    /// 95 in 100 of chi-squared for 1, 2, 5 and 10 degrees of freedom: 3.841, 5.991, 11.070, 18.307
    /// (scipy 1.17.1, `chi2.ppf`).
    #[test]
    fn chance_explains_once_in_twenty() {
        for (freedoms, quantile) in [(1, 3.841), (2, 5.991), (5, 11.070), (10, 18.307)] {
            assert!(scatter_is_beyond_chance(1.03 * quantile, freedoms));
            assert!(!scatter_is_beyond_chance(0.97 * quantile, freedoms));
        }
        assert!(!scatter_is_beyond_chance(1e9, 0));
    }

    /// 99 in 100 of F(2, n) for n = 1, 2, 5, 20: 4999.5, 99.000, 13.274, 5.849 (scipy 1.17.1,
    /// `f.ppf`); twice that over 9.2103 is the factor beyond Birge's.
    #[test]
    fn badly_known_scatter_widens_more() {
        for (freedoms, quantile) in [(1, 4_999.5), (2, 99.0), (5, 13.274), (20, 5.849)] {
            let chi_squared = 100.0 * freedoms as f64;
            let expected = 100.0 * 2.0 * quantile / 9.210_34;
            // Printed to 0.0005.
            assert!(
                (widening(chi_squared, freedoms, 0.01) / expected - 1.0).abs() < 1e-4,
                "{freedoms}"
            );
        }
        assert_eq!(widening(0.5, 3, 0.01), 1.0);
        assert_eq!(widening(4.5, 3, 0.01), 1.5);
        assert_eq!(widening(1e9, 0, 0.01), 1.0);
    }
}
