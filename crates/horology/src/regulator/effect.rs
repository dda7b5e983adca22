use super::error::{RegulatorError, finite, positive};
use super::moves::Move;
use crate::rate_sheet::REPEAT_SD_S_PER_D;
use quantities::Measured;

/// What was thought of a means before it was tried on this balance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prior {
    /// Effect of one unit, s/d: as likely too large as too small.
    pub per_unit_s_per_d: f64,
    /// Standard uncertainty as a factor, above 1: with 2, two in three lie between half and double.
    pub factor: f64,
    /// Where it comes from; it goes wherever the number goes.
    pub source: PriorSource,
}

/// Where a first guess comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PriorSource {
    /// Experience, no measurement on this watch.
    Experience,
    /// Moves on this very watch at an earlier visit.
    EarlierVisit,
    /// Computed from masses, radii and inertia ([`crate::balance`]).
    Computed,
}

impl Prior {
    /// An index of unknown make, per degree: 20 s/d within a factor of three (common practice, no
    /// published source). Wide on purpose: the first move finds out.
    pub const INDEX_DEGREE: Self =
        Self { per_unit_s_per_d: 20.0, factor: 3.0, source: PriorSource::Experience };
}

/// How well a hand makes the move that it means, as a part of it: one standard deviation (common
/// practice, no published source).
pub(super) const HAND_SHARE: f64 = 0.1;

/// What an effect rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RestsOn {
    /// The first guess alone.
    PriorAlone(PriorSource),
    /// So many moves on this balance, and the first guess where they leave room.
    Moves(usize),
}

/// Effect of a means on this balance, as known now.
#[derive(Debug, Clone, PartialEq)]
pub struct Effect {
    /// Of one unit, s/d, with its standard uncertainty.
    pub per_unit_s_per_d: Measured,
    /// What that rests on.
    pub rests_on: RestsOn,
    /// Moves whose outcome does not fit, by their place in the list: a slip, a reading in another
    /// position, a move the wrong way. They have been given little weight.
    pub odd_moves: Vec<usize>,
}

/// Points at which the effect is weighed, evenly in its logarithm. A step is a fortieth of the
/// prior's uncertainty; the summit of the sharpest likelihood, a tenth (the hand's share), is still
/// some points wide.
const POINTS: i32 = 400;

/// How many of the prior's uncertainties to either side are weighed.
const REACH: f64 = 5.0;

/// Degrees of freedom of the distribution by which an outcome is held against an effect: Student's
/// t, whose tails forgive a slip. Four are usual for that (common practice in robust statistics;
/// from memory).
const FREEDOMS: f64 = 4.0;

/// Standard deviations from which an outcome counts as odd: one honest outcome in 370 is.
const ODD: f64 = 3.0;

/// What moves have shown of the effect of one unit.
///
/// An effect `g` is a number above nought whose logarithm is normal beforehand, by the prior. A
/// move of `x` units should change the rate by `g x`, give or take both readings, what a position
/// repeats itself to ([`REPEAT_SD_S_PER_D`]) and a tenth of the move for the hand. Each effect on a
/// fine grid is weighed by the prior and by how likely it makes every outcome (Bayes' rule); no
/// straight line is fitted and no guess is discarded before it is outweighed.
///
/// # Errors
/// [`RegulatorError`] for a prior or a move that cannot be.
pub fn effect_of_moves(prior: &Prior, moves: &[Move]) -> Result<Effect, RegulatorError> {
    moves.iter().try_for_each(Move::check)?;
    let middle = positive("effect of a unit", prior.per_unit_s_per_d)?.ln();
    let width = positive("uncertainty of the effect, less one,", prior.factor - 1.0)?.ln_1p();
    let points: Vec<(f64, f64)> = (-POINTS / 2..=POINTS / 2)
        .map(|i| {
            let off = REACH * f64::from(i) / f64::from(POINTS / 2);
            let effect = (middle + off * width).exp();
            let ln = moves.iter().map(|m| ln_likelihood(effect, m)).sum::<f64>() - 0.5 * off * off;
            (effect, ln)
        })
        .collect();
    let best = points.iter().map(|(_, ln)| *ln).fold(f64::NEG_INFINITY, f64::max);
    let sum = |of: &dyn Fn(f64) -> f64| -> f64 {
        points.iter().map(|(effect, ln)| of(*effect) * (ln - best).exp()).sum()
    };
    let total = sum(&|_| 1.0);
    let mean = sum(&|effect| effect) / total;
    let variance = sum(&|effect| (effect - mean).powi(2)) / total;
    // Rates and amounts beyond all measure leave nothing to weigh.
    finite("outcome of the moves", mean + variance)?;
    let odd = |(place, m): (usize, &Move)| (off_by(mean, m).0.abs() > ODD).then_some(place);
    Ok(Effect {
        per_unit_s_per_d: Measured::new(mean, variance.sqrt()),
        rests_on: match moves.len() {
            0 => RestsOn::PriorAlone(prior.source),
            moves => RestsOn::Moves(moves),
        },
        odd_moves: moves.iter().enumerate().filter_map(odd).collect(),
    })
}

/// Standard deviations by which a move's outcome differs from what an effect makes of it, and what
/// one of them is, s/d.
fn off_by(effect: f64, done: &Move) -> (f64, f64) {
    let expected = effect * done.amount;
    let change = done.after_s_per_d.minus(done.before_s_per_d);
    // Both readings repeat themselves no better than a position does.
    let repeat = std::f64::consts::SQRT_2 * REPEAT_SD_S_PER_D;
    let sd = change.sd.hypot(repeat).hypot(HAND_SHARE * expected);
    ((change.value - expected) / sd, sd)
}

/// Logarithm of Student's density, without its constant.
fn ln_likelihood(effect: f64, done: &Move) -> f64 {
    let (off, sd) = off_by(effect, done);
    -sd.ln() - 0.5 * (FREEDOMS + 1.0) * (off * off / FREEDOMS).ln_1p()
}
