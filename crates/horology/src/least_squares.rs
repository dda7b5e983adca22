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
}
