//! Every time from unlocking to drop that a balance can have, and how likely each is.

use super::Span;
use super::blows::{Blows, SHAPES};
use super::evidence::Products;
use super::picture::Picture;
use crate::anatomy::unlocking_to_drop;

/// Amplitudes that are tried, each as likely as the others, degrees.
const TRIED_DEG: (f64, f64) = (120.0, 350.0);
/// So long before the earliest unlocking there is known to be no sound of the beat, seconds.
const QUIET_S: f64 = 6e-3;
/// The drop's own sound begins no earlier before its steepest rise than this, seconds.
const BEFORE_DROP_S: f64 = 0.6e-3;
/// The drop is placed by what is heard so long before and after its steepest rise, seconds.
const AROUND_DROP_S: f64 = 1.5e-3;
/// Spans are tried in steps of this, steps of the envelope.
const SPAN_STEP: f64 = 0.5;
/// Of the shortest span, where the last blow before the drop may lie: half way.
const LAST_BLOW: f64 = 0.5;
/// The lesser shocks strike the same modes as the drop, but not all in the same way: so likely are
/// they of its shape, and else of any.
const LIKE_THE_DROP: f64 = 0.5;

/// How likely each time from unlocking to drop is.
pub(super) struct Likely {
    tried: Vec<Chance>,
    /// Probability that no unlocking is heard, and so nothing known of the span.
    unheard: f64,
}

/// One time from unlocking to drop.
struct Chance {
    /// Steps.
    span: f64,
    /// Probability before anything is heard.
    before: f64,
    /// Probability where an unlocking is heard.
    heard: f64,
}

impl Likely {
    /// Mean and standard deviation, steps.
    pub(super) fn span(&self) -> Span {
        let p = |c: &Chance| self.unheard * c.before + (1.0 - self.unheard) * c.heard;
        let length: f64 = self.tried.iter().map(|c| c.span * p(c)).sum();
        let variance: f64 = self.tried.iter().map(|c| p(c) * (c.span - length).powi(2)).sum();
        Span { length, sd: variance.sqrt() }
    }

    /// Probability that the span lies within so many steps of this one, if an unlocking is heard.
    pub(super) fn near(&self, span: f64, within: f64) -> f64 {
        let near = self.tried.iter().filter(|c| (c.span - span).abs() <= within);
        near.map(|c| c.heard).sum()
    }
}

/// What is tried, in steps of the envelope.
pub(super) struct Tried {
    period: f64,
    longest: f64,
    shortest: f64,
    /// Around the drop: see [`AROUND_DROP_S`].
    around: usize,
    /// Steps at the start of the frame in which there is no sound of the beat.
    pub(super) quiet: usize,
    /// See [`BEFORE_DROP_S`].
    before_drop: usize,
}

impl Tried {
    pub(super) fn of(period: f64, lift_deg: f64, rate_hz: f64) -> Self {
        let steps = |s: f64| (s * rate_hz).ceil() as usize;
        Self {
            period,
            longest: unlocking_to_drop(period, lift_deg, TRIED_DEG.0),
            shortest: unlocking_to_drop(period, lift_deg, TRIED_DEG.1),
            around: steps(AROUND_DROP_S),
            quiet: steps(QUIET_S),
            before_drop: steps(BEFORE_DROP_S),
        }
    }

    /// What is looked at before and after the steepest rise of the drop.
    pub(super) fn frame(&self) -> (usize, usize) {
        let before = self.longest.ceil() as usize + self.before_drop + 2 * self.around + self.quiet;
        (before, 3 * self.around)
    }

    /// Weighs every span by the pictures of tick and of tock.
    pub(super) fn weigh(&self, pictures: &[Picture; 2], blows: &Blows) -> Likely {
        let sides = pictures.each_ref().map(|p| self.of_side(p, blows));
        let count = ((self.longest - self.shortest) / SPAN_STEP) as usize;
        let spans = || (0..=count).map(|k| self.shortest + k as f64 * SPAN_STEP);
        let before = weighted(spans().map(|span| {
            // Amplitudes are evenly likely, spans by how many amplitudes each stands for.
            let turn = std::f64::consts::PI * span / self.period;
            (span, (turn.cos() / turn.sin().powi(2)).ln())
        }));
        let heard = |span: f64| sides.iter().map(|side| between(&side.spans, span)).sum::<f64>();
        let all = before.iter().map(|(span, p)| (*span, p.ln() + heard(*span)));
        let ln_heard = ln_sum(all.clone().map(|(_, ln)| ln));
        let ln_unheard: f64 = sides.iter().map(|side| side.unheard).sum();
        let tried = weighted(all).into_iter().zip(&before);
        Likely {
            // Heard or not is as likely as not before anything is.
            unheard: 1.0 / (1.0 + (ln_heard - ln_unheard).exp()),
            tried: tried
                .map(|((span, heard), (_, before))| Chance { span, before: *before, heard })
                .collect(),
        }
    }

    /// What one side says.
    fn of_side(&self, picture: &Picture, blows: &Blows) -> SideSays {
        let (before, _) = self.frame();
        let top = picture.above.iter().copied().fold(f64::MIN_POSITIVE, f64::max);
        let seen = (before - self.around, before + self.around);
        let drop = Products::of(picture, blows, seen);
        let tried = (seen.0..before + self.around / 2).flat_map(|at| {
            let each = drop.of_one(at, 2.0 * top);
            each.into_iter().enumerate().map(move |(j, ln)| ((at as f64, j), ln))
        });
        let mut shapes = [0.0; SHAPES];
        let mut begins = 0.0;
        for ((at, j), p) in weighted(tried) {
            begins += at * p;
            shapes[j] += p;
        }
        let shapes = shapes.map(|p| LIKE_THE_DROP * p + (1.0 - LIKE_THE_DROP) / SHAPES as f64);
        let before_it = Products::of(picture, blows, (0, before - self.before_drop));
        let from = (begins - self.longest).floor() as usize - 1;
        let to = (begins - self.shortest).ceil() as usize + 1;
        let last = (begins - LAST_BLOW * self.shortest) as usize;
        let alone = (from..=last).map(|at| before_it.of_one(at, top));
        let alone = alone.flat_map(|each| {
            each.into_iter().zip(&shapes).map(|(ln, p)| ln + p.ln()).collect::<Vec<_>>()
        });
        SideSays {
            spans: (from..=to)
                .map(|at| (begins - at as f64, before_it.of_unlocking(at, begins, top, &shapes)))
                .collect(),
            unheard: ln_sum(alone) - ((last - from + 1) as f64).ln(),
        }
    }
}

/// Logarithms of how much better the picture of one side goes with what is said than with silence.
struct SideSays {
    /// With an unlocking so many steps before the drop, and its impulse; longest first.
    spans: Vec<(f64, f64)>,
    /// With no unlocking, and one blow at most before the drop.
    unheard: f64,
}

/// Logarithm of the sum of what these are logarithms of.
fn ln_sum(all: impl Iterator<Item = f64>) -> f64 {
    let all: Vec<f64> = all.collect();
    let highest = all.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    highest + all.iter().map(|ln| (ln - highest).exp()).sum::<f64>().ln()
}

/// Probabilities from logarithms of weights.
fn weighted<T>(all: impl Iterator<Item = (T, f64)>) -> Vec<(T, f64)> {
    let mut all: Vec<(T, f64)> = all.collect();
    let highest = all.iter().map(|(_, l)| *l).fold(f64::NEG_INFINITY, f64::max);
    all.iter_mut().for_each(|(_, l)| *l = (*l - highest).exp());
    let sum: f64 = all.iter().map(|(_, w)| w).sum();
    all.iter_mut().for_each(|(_, w)| *w /= sum);
    all
}

/// Value between two of a falling series of places.
fn between(series: &[(f64, f64)], at: f64) -> f64 {
    let k = series.partition_point(|(place, _)| *place > at).clamp(1, series.len() - 1);
    let ((a, x), (b, y)) = (series[k - 1], series[k]);
    x + ((at - a) / (b - a)).clamp(0.0, 1.0) * (y - x)
}
