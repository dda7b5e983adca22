//! How well a picture goes with an unlocking at every place before the drop.

use super::blows::{Blows, SHAPES};
use super::picture::Picture;
use signal::special::normal_cdf;

/// Loudness (amplitude) of the unlocking against the impulse, each as likely as the others.
/// Impulse is louder than unlocking as a rule.
const AGAINST_IMPULSE: [f64; 5] = [0.16, 0.27, 0.45, 0.75, 1.3];
/// The impulse sets in between these shares of the way from unlocking to drop.
const IMPULSE_SHARE: (f64, f64) = (0.10, 0.50);
/// The impulse is tried at every so many steps: a blow through the filter is longer.
const IMPULSE_STEPS: usize = 2;
/// What is less likely than the likeliest so far by more than this, natural logarithm, is nothing.
const NEGLIGIBLE: f64 = 20.0;
/// Impulse against drop, power: no more than this.
const MOST_POWER: f64 = 1.0;

/// Products of blows with a picture, and of blows with each other, weighted by the variance.
pub(super) struct Products<'a> {
    picture: &'a Picture,
    blows: &'a Blows,
    /// One over the variance; nothing where the picture is not looked at.
    weights: Vec<f64>,
    /// Blow begun at a place, with the picture.
    with_picture: Vec<[f64; SHAPES]>,
    /// The same blow with itself.
    own: Vec<[f64; SHAPES]>,
}

impl<'a> Products<'a> {
    /// Looks at the steps `from..to` of the picture.
    pub(super) fn of(picture: &'a Picture, blows: &'a Blows, (from, to): (usize, usize)) -> Self {
        let weights = (0..picture.above.len())
            .map(|k| if (from..to).contains(&k) { 1.0 / picture.variance[k] } else { 0.0 })
            .collect();
        let mut products =
            Self { picture, blows, weights, with_picture: Vec::new(), own: Vec::new() };
        products.with_picture = (0..picture.above.len())
            .map(|at| {
                std::array::from_fn(|j| {
                    products.sum(at, |k, i| products.picture.above[k] * products.blows.shapes[j][i])
                })
            })
            .collect();
        products.own = (0..picture.above.len())
            .map(|at| std::array::from_fn(|j| products.sum(at, |_, i| blows.shapes[j][i].powi(2))))
            .collect();
        products
    }

    /// Sum over a blow that begins at step `at` of a product at step of picture and of shape.
    fn sum(&self, at: usize, product: impl Fn(usize, usize) -> f64) -> f64 {
        let steps = self.blows.shapes[0].len();
        (0..steps)
            .filter_map(|i| Some(((at + i).checked_sub(self.blows.lead)?, i)))
            .filter(|(k, _)| *k < self.weights.len())
            .map(|(k, i)| self.weights[k] * product(k, i))
            .sum()
    }

    /// All shapes begun at `first` with all begun `later` steps after it.
    fn of_two(&self, first: usize, later: usize) -> [[f64; SHAPES]; SHAPES] {
        let shapes = &self.blows.shapes;
        let steps = shapes[0].len();
        let mut products = [[0.0; SHAPES]; SHAPES];
        for i in later..steps {
            let Some(k) = (first + i).checked_sub(self.blows.lead) else { continue };
            let Some(w) = self.weights.get(k).filter(|w| **w > 0.0) else { continue };
            for (row, a) in products.iter_mut().zip(shapes) {
                for (p, b) in row.iter_mut().zip(shapes) {
                    *p += w * a[i] * b[i - later];
                }
            }
        }
        products
    }

    /// Logarithm of how much better a blow of each shape begun at `at` goes with the picture than
    /// none; its power may be up to `most`.
    pub(super) fn of_one(&self, at: usize, most: f64) -> [f64; SHAPES] {
        std::array::from_fn(|j| ln_integral(self.with_picture[at][j], self.own[at][j], most))
    }

    /// The same of an unlocking at `at` and an impulse after it, all shapes and loudnesses together.
    /// The drop begins at `drop` and has power `of_drop`; `shapes` says how likely each shape is.
    pub(super) fn of_unlocking(
        &self,
        at: usize,
        drop: f64,
        of_drop: f64,
        shapes: &[f64; SHAPES],
    ) -> f64 {
        let span = drop - at as f64;
        let (from, to) = (IMPULSE_SHARE.0 * span, IMPULSE_SHARE.1 * span);
        let (from, to) = (from.ceil() as usize, to.floor() as usize);
        let most = MOST_POWER * of_drop;
        let first = self.own[at];
        let mut all = SumOfExponentials::default();
        let tried = (from..=to).step_by(IMPULSE_STEPS);
        for later in tried.filter(|l| at + l < self.with_picture.len()) {
            let both = self.of_two(at, later);
            let second = self.own[at + later];
            for j in 0..SHAPES {
                for k in 0..SHAPES {
                    let (u, i) = (self.with_picture[at][j], self.with_picture[at + later][k]);
                    for against in AGAINST_IMPULSE {
                        let r = against * against;
                        let with_picture = r * u + i;
                        let own = r * r * first[j] + 2.0 * r * both[j][k] + second[k];
                        // The mean over all loudnesses is less than the best of them.
                        let best = 0.5 * with_picture.max(0.0).powi(2) / own;
                        let ln = if all.is_negligible(best) {
                            f64::NEG_INFINITY
                        } else {
                            ln_integral(with_picture, own, most)
                        };
                        all.add(ln, shapes[j] * shapes[k]);
                    }
                }
            }
        }
        all.ln_mean()
    }
}

/// Mean of weighted exponentials that are told by their logarithms.
#[derive(Default)]
struct SumOfExponentials {
    highest: f64,
    sum: f64,
    weight: f64,
}

impl SumOfExponentials {
    fn is_negligible(&self, ln: f64) -> bool {
        self.weight > 0.0 && ln < self.highest - NEGLIGIBLE
    }

    fn add(&mut self, ln: f64, weight: f64) {
        if self.weight == 0.0 || ln > self.highest {
            self.sum *= (self.highest - ln).exp();
            self.highest = ln;
        }
        self.sum += weight * (ln - self.highest).exp();
        self.weight += weight;
    }

    fn ln_mean(&self) -> f64 {
        if self.weight > 0.0 { self.highest + (self.sum / self.weight).ln() } else { 0.0 }
    }
}

/// `ln ∫ exp(a b - a² q / 2) da / most`, a from nothing to `most`.
fn ln_integral(b: f64, q: f64, most: f64) -> f64 {
    if q <= 0.0 || q.is_nan() {
        return 0.0;
    }
    let (middle, sd) = (b / q, 1.0 / q.sqrt());
    let (low, high) = (-middle / sd, (most - middle) / sd);
    let ln_inside = if low > 5.0 {
        // Mostly below nothing: the exponential falls from its value there.
        -b.abs().ln()
    } else if high < -5.0 {
        most * b - 0.5 * most * most * q - (b - most * q).ln()
    } else if low < -6.0 && high > 6.0 {
        0.5 * b * b / q + (sd * (2.0 * std::f64::consts::PI).sqrt()).ln()
    } else {
        let share = (normal_cdf(high) - normal_cdf(low)).max(1e-12);
        0.5 * b * b / q + (sd * (2.0 * std::f64::consts::PI).sqrt() * share).ln()
    };
    ln_inside - most.ln()
}
