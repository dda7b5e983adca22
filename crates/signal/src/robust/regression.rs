use super::order::{MAD_TO_SD, median_in_place};
use crate::line_fit::{Fit, FitError, LineDesign, LineFit, SlopeNoise, check, refit};
use crate::special::normal_cdf;

/// Huber's bend, in standard deviations, that keeps 95 % of the efficiency for normal noise.
pub const HUBER_95: f64 = 1.345;
/// The bisquare's end, in standard deviations, that keeps 95 % of the efficiency for normal noise.
pub const BISQUARE_95: f64 = 4.685;

/// How the say of a point falls with its distance from the fit, in standard deviations.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Weighting {
    /// Full within `k`, then as `k` over the distance: far points pull no harder than near ones.
    /// Source: Huber (1964); Huber and Ronchetti, *Robust Statistics*, chapter 7.
    Huber {
        /// Where the bend is.
        k: f64,
    },
    /// Smoothly to nothing at `c`: far points are out. Source: Beaton and Tukey (1974).
    Bisquare {
        /// Where the weight ends.
        c: f64,
    },
}

impl Weighting {
    fn bound(self) -> f64 {
        match self {
            Self::Huber { k: bound } | Self::Bisquare { c: bound } => bound,
        }
    }

    /// Weight of a point at `u` standard deviations.
    fn weight(self, u: f64) -> f64 {
        match self {
            Self::Huber { k } => {
                if u.abs() <= k {
                    1.0
                } else {
                    k / u.abs()
                }
            }
            Self::Bisquare { c } => {
                if u.abs() < c {
                    (1.0 - (u / c).powi(2)).powi(2)
                } else {
                    0.0
                }
            }
        }
    }

    /// Derivative of weight times distance.
    fn influence_slope(self, u: f64) -> f64 {
        match self {
            Self::Huber { k } => f64::from(u8::from(u.abs() <= k)),
            Self::Bisquare { c } => {
                let s = (u / c).powi(2);
                if s < 1.0 { (1.0 - s) * (1.0 - 5.0 * s) } else { 0.0 }
            }
        }
    }
}

/// How the standard deviation of the points is estimated while fitting.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Scale {
    /// Median absolute residual times [`MAD_TO_SD`]: stands up to nearly half of bad points.
    Mad,
    /// Huber's proposal 2 with its bend at `d` standard deviations (2.5 is usual): less noisy for
    /// good points, but follows bad ones further. Source: Huber and Ronchetti, section 7.8.
    Proposal2 {
        /// Where squares turn into constants.
        d: f64,
    },
}

/// Settings of a robust fit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RobustOptions {
    /// How far points lose their say.
    pub weighting: Weighting,
    /// How spread is estimated.
    pub scale: Scale,
    /// Steps after which the fit is given as it is, marked as not converged.
    pub max_steps: usize,
    /// The fit stands still when no fitted value moves by more than this many standard deviations.
    pub tolerance: f64,
}

impl Default for RobustOptions {
    /// Bisquare at [`BISQUARE_95`], median absolute residual, 200 steps, 1e-9 standard deviations.
    fn default() -> Self {
        Self {
            weighting: Weighting::Bisquare { c: BISQUARE_95 },
            scale: Scale::Mad,
            max_steps: 200,
            tolerance: 1e-9,
        }
    }
}

/// A robust fit of a linear model.
#[derive(Debug, Clone, PartialEq)]
pub struct RobustFit {
    /// Coefficients and covariance. With [`crate::line_fit::Spread::Residuals`] the deviations are
    /// those of a robust fit (Huber 1981, *Robust Statistics*, chapter 7, equation 6.5); none come from the
    /// weights.
    pub fit: Fit,
    /// Standard deviation of a point of unit weight, without its outliers.
    pub scale: f64,
    /// The say of each point, 0 to 1, apart from the weight it came with.
    pub say: Vec<f64>,
    /// Whether the fit came to rest.
    pub converged: bool,
}

/// A robust fit of a line.
#[derive(Debug, Clone, PartialEq)]
pub struct RobustLine {
    /// The line; deviations as for [`RobustFit::fit`].
    pub line: LineFit,
    /// Standard deviation of a point of unit weight, without its outliers.
    pub scale: f64,
    /// The say of each point, 0 to 1, apart from the weight it came with.
    pub say: Vec<f64>,
    /// Whether the fit came to rest.
    pub converged: bool,
}

/// Points with less say than this count as outliers when the others' memory is judged: 3.5
/// standard deviations for the usual bisquare, which cuts next to nothing off normal noise.
const OUTLIER_SAY: f64 = 0.2;

impl RobustLine {
    /// How sure the slope is where neighbouring residuals may hang together: the inflation that
    /// [`crate::line_fit::slope_noise`] finds in the points that are no outliers, on the robust
    /// deviation of the slope. The slices are those of the fit.
    ///
    /// # Errors
    ///
    /// As [`crate::line_fit::slope_noise`].
    pub fn slope_noise(
        &self,
        x: &[f64],
        y: &[f64],
        weights: Option<&[f64]>,
        extra: &[&[f64]],
    ) -> Result<SlopeNoise, FitError> {
        let kept: Vec<f64> = (0..self.say.len())
            .map(|i| {
                let weight = weights.and_then(|weights| weights.get(i)).copied().unwrap_or(1.0);
                if self.say[i] >= OUTLIER_SAY { weight } else { 0.0 }
            })
            .collect();
        let noise = self.line.slope_noise(x, y, Some(&kept), extra)?;
        Ok(match self.line.fit().sd_widened(1) {
            Some(white) => noise.with_white(white),
            None => noise,
        })
    }
}

/// [`crate::line_fit::fit_columns`] with points that lie far off given less say, by iteratively
/// reweighted least squares.
///
/// A bisquare fit starts from a Huber fit, so that it finds the right one of its several minima
/// where outliers are many. Abscissas are trusted: a point far out in `x` keeps its leverage.
///
/// # Errors
///
/// As [`crate::line_fit::fit_columns`].
pub fn robust_columns(
    columns: &[&[f64]],
    y: &[f64],
    weights: Option<&[f64]>,
    options: &RobustOptions,
) -> Result<RobustFit, FitError> {
    let points = check(columns, columns.len(), y, weights)?;
    reweight(columns, y, weights, points, options)
}

/// [`crate::line_fit::fit_line`] with points that lie far off given less say; see
/// [`robust_columns`].
///
/// # Errors
///
/// As [`crate::line_fit::fit_line`].
pub fn robust_line(
    x: &[f64],
    y: &[f64],
    weights: Option<&[f64]>,
    extra: &[&[f64]],
    options: &RobustOptions,
) -> Result<RobustLine, FitError> {
    let design = LineDesign::new(x, y, weights, extra)?;
    let columns = design.columns(extra);
    let robust = reweight(&columns, &design.centred_y, weights, design.points, options)?;
    Ok(RobustLine {
        line: design.finish(robust.fit),
        scale: robust.scale,
        say: robust.say,
        converged: robust.converged,
    })
}

/// Residuals this small beside the values are rounding: the points lie on the model.
const ROUNDING: f64 = 1e-13;

struct Work<'a> {
    columns: &'a [&'a [f64]],
    y: &'a [f64],
    /// Root of the weight of each point.
    roots: Vec<f64>,
    points: usize,
    /// Weighted residuals over the scale.
    standard: Vec<f64>,
    say: Vec<f64>,
    fit: Fit,
    scale: f64,
}

fn reweight(
    columns: &[&[f64]],
    y: &[f64],
    weights: Option<&[f64]>,
    points: usize,
    options: &RobustOptions,
) -> Result<RobustFit, FitError> {
    let plain = refit(columns, y, weights, points)?;
    let roots =
        weights.map_or_else(|| vec![1.0; y.len()], |w| w.iter().map(|w| w.sqrt()).collect());
    let mut work = Work {
        columns,
        y,
        roots,
        points,
        standard: vec![0.0; y.len()],
        say: vec![1.0; y.len()],
        fit: plain.clone(),
        scale: 0.0,
    };
    if let Weighting::Bisquare { .. } = options.weighting {
        // How near the start comes matters, its last digits do not.
        let start = RobustOptions {
            weighting: Weighting::Huber { k: HUBER_95 },
            scale: Scale::Mad,
            max_steps: options.max_steps.min(50),
            tolerance: 1e-3,
        };
        work.run(&start)?;
    }
    let converged = work.run(options)?;
    let variance = work.robust_variance(options.weighting);
    let fit = work.fit.with_variance_of(&plain, variance);
    Ok(RobustFit { fit, scale: work.scale, say: work.say, converged })
}

impl Work<'_> {
    /// Reweights until nothing moves; whether it came to rest.
    fn run(&mut self, options: &RobustOptions) -> Result<bool, FitError> {
        let largest = self.y.iter().fold(0.0f64, |most, y| most.max(y.abs()));
        self.take_residuals();
        for _ in 0..options.max_steps {
            self.scale = self.estimate_scale(options.scale);
            if self.scale <= ROUNDING * largest {
                let limit = ROUNDING * largest * options.weighting.bound().max(10.0);
                for (say, residual) in self.say.iter_mut().zip(&self.standard) {
                    *say = if residual.abs() <= limit { 1.0 } else { 0.0 };
                }
                self.standard.fill(0.0);
                return Ok(true);
            }
            for (say, residual) in self.say.iter_mut().zip(&self.standard) {
                *say = options.weighting.weight(residual / self.scale);
            }
            let combined: Vec<f64> =
                self.roots.iter().zip(&self.say).map(|(root, say)| root * root * say).collect();
            self.fit = refit(self.columns, self.y, Some(&combined), self.points)?;
            let before = std::mem::take(&mut self.standard);
            self.take_residuals();
            let moved = before
                .iter()
                .zip(&self.standard)
                .fold(0.0f64, |most, (old, new)| most.max((old - new).abs()));
            if moved <= options.tolerance * self.scale {
                self.scale = self.estimate_scale(options.scale);
                return Ok(true);
            }
        }
        Ok(false)
    }

    /// Sets `standard` to the residuals, weighted but not yet over the scale.
    fn take_residuals(&mut self) {
        self.standard.clear();
        self.standard.extend_from_slice(self.y);
        for (column, coefficient) in self.columns.iter().zip(self.fit.coefficients()) {
            for (residual, x) in self.standard.iter_mut().zip(*column) {
                *residual -= coefficient * x;
            }
        }
        for (residual, root) in self.standard.iter_mut().zip(&self.roots) {
            *residual *= root;
        }
    }

    /// Residuals of the points that have a weight.
    fn counted(&self) -> impl Iterator<Item = f64> {
        self.standard.iter().zip(&self.roots).filter(|&(_, &root)| root > 0.0).map(|(&r, _)| r)
    }

    fn estimate_scale(&self, scale: Scale) -> f64 {
        let mut sizes: Vec<f64> = self.counted().map(f64::abs).collect();
        let mad = median_in_place(&mut sizes).unwrap_or(0.0) * MAD_TO_SD;
        let Scale::Proposal2 { d } = scale else { return mad };
        let density = (-0.5 * d * d).exp() / std::f64::consts::TAU.sqrt();
        let expected = d * d + (1.0 - d * d) * normal_cdf(d) - 0.5 - d * density;
        let dof = self.points.saturating_sub(self.columns.len()).max(1) as f64;
        let mut scale = mad;
        for _ in 0..100 {
            if scale <= 0.0 {
                break;
            }
            let sum: f64 = sizes.iter().map(|r| (r / scale).min(d).powi(2) / 2.0).sum();
            let next = scale * (sum / (dof * expected)).sqrt();
            let still = (next - scale).abs() <= 1e-12 * scale;
            scale = next;
            if still {
                break;
            }
        }
        scale
    }

    /// The factor in front of `(X' W X)^-1` in the covariance `H1`.
    fn robust_variance(&self, weighting: Weighting) -> f64 {
        let (n, p) = (self.points as f64, self.columns.len() as f64);
        if self.points <= self.columns.len() || self.scale == 0.0 {
            return 0.0;
        }
        let (mut squares, mut slope, mut slope_squares) = (0.0, 0.0, 0.0);
        for residual in self.counted() {
            let u = residual / self.scale;
            squares += (u * weighting.weight(u)).powi(2);
            let s = weighting.influence_slope(u);
            slope += s;
            slope_squares += s * s;
        }
        let slope = slope / n;
        if slope <= 0.0 {
            // More points in the falling part of the bisquare than in its core: nothing is known.
            return f64::INFINITY;
        }
        let spread = (slope_squares / n - slope * slope).max(0.0);
        let small_sample = 1.0 + p / n * spread / (slope * slope);
        (small_sample * self.scale / slope).powi(2) * squares / (n - p)
    }
}
