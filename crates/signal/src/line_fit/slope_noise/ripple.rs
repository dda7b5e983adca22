use super::super::fit_line;
use super::groups::Groups;
use crate::periodogram::{FrequencyGrid, Periodogram, Series};
use crate::robust::median_in_place;

/// A sinusoid in the residuals of a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ripple {
    /// Turns per unit of `x`.
    pub frequency: f64,
    /// Half the height from trough to crest, fitted along with the line; where points were grouped,
    /// less by what the groups average away.
    pub semi_amplitude: f64,
    /// What it does to the slope if its phase is as good as random: root mean square.
    pub slope_sd: f64,
}

/// Frequencies to each width of a peak.
const OVERSAMPLING: usize = 5;
/// Fewest turns within the record. Less than that is left to the random walk.
const LEAST_TURNS: f64 = 1.8;
/// A peak is judged by the power within this many widths on either side, ...
const SURROUNDINGS: f64 = 6.0;
/// ... or this share of its frequency, whichever is more, ...
const SURROUNDINGS_SHARE: f64 = 0.5;
/// ... but not by what is nearer than this many widths.
const OWN_WIDTHS: f64 = 1.5;
/// Fewest widths of surroundings to judge by.
const LEAST_SURROUNDINGS: f64 = 3.0;
/// Probability that chance gives such a peak anywhere.
const CHANCE: f64 = 1e-3;

/// Finds the ripple that stands out most from the power around it, if one does beyond chance, and
/// takes it out of the residuals.
pub(super) fn take_out(groups: &mut Groups) -> Option<Ripple> {
    let line = fit_line(&groups.x, &groups.residual, Some(&groups.weight), &[]).ok()?;
    let left = line.residuals(&groups.x, &groups.residual, &[]);
    let frequency = standing_out(groups, &left)?;
    let angle = |x: &f64| std::f64::consts::TAU * frequency * x;
    let (sines, cosines): (Vec<f64>, Vec<f64>) =
        groups.x.iter().map(|x| angle(x).sin_cos()).unzip();
    let fit = fit_line(&groups.x, &left, Some(&groups.weight), &[&cosines, &sines]).ok()?;
    let &[cosine, sine] = fit.extra() else { return None };
    for (residual, (left, (c, s))) in
        groups.residual.iter_mut().zip(left.iter().zip(cosines.iter().zip(&sines)))
    {
        *residual = left - cosine * c - sine * s;
    }
    let response = |wave: &[f64]| groups.lever.iter().zip(wave).map(|(h, w)| h * w).sum::<f64>();
    let semi_amplitude = cosine.hypot(sine);
    let rms = semi_amplitude * std::f64::consts::FRAC_1_SQRT_2;
    Some(Ripple {
        frequency,
        semi_amplitude,
        slope_sd: rms * response(&cosines).hypot(response(&sines)),
    })
}

/// Frequency of the peak least likely to be chance.
fn standing_out(groups: &Groups, residuals: &[f64]) -> Option<f64> {
    let series = Series::new(&groups.x, residuals, Some(&groups.weight)).ok()?;
    let grid = FrequencyGrid::for_series(&series, OVERSAMPLING as f64, None).ok()?;
    let periodogram = Periodogram::new(&series, grid);
    let power = periodogram.power();
    let widths = power.len() as f64 / OVERSAMPLING as f64;
    let width = groups.span().recip();
    let places = |widths: f64| (widths * OVERSAMPLING as f64) as usize;
    let mut best: Option<(usize, f64)> = None;
    for i in 1..power.len().saturating_sub(1) {
        let frequency = grid.frequency_hz(i);
        let peak = power[i] >= power[i - 1] && power[i] >= power[i + 1];
        if !peak || frequency < LEAST_TURNS * width {
            continue;
        }
        let reach = places(SURROUNDINGS.max(SURROUNDINGS_SHARE * frequency / width));
        let around = i.saturating_sub(reach)..(i + reach + 1).min(power.len());
        let mut around: Vec<f64> =
            around.filter(|k| k.abs_diff(i) > places(OWN_WIDTHS)).map(|k| power[k]).collect();
        let bins = around.len() as f64 / OVERSAMPLING as f64;
        if bins < LEAST_SURROUNDINGS {
            continue;
        }
        // Power of noise is exponential about its mean, whose median is ln 2 of it; with a mean
        // from few bins the tail is that of an F distribution with 2 and twice as many degrees.
        let level = median_in_place(&mut around)? / std::f64::consts::LN_2;
        let chance = widths * (1.0 + power[i] / level / bins).powf(-bins);
        if chance < CHANCE && best.is_none_or(|(_, least)| chance < least) {
            best = Some((i, chance));
        }
    }
    let (i, _) = best?;
    // The top of the parabola through three places.
    let (before, here, after) = (power[i - 1], power[i], power[i + 1]);
    let bend = before - 2.0 * here + after;
    let shift = if bend < 0.0 { 0.5 * (before - after) / bend } else { 0.0 };
    Some(grid.frequency_hz(i) + shift * grid.step_hz())
}
