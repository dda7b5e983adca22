//! What repeats in the beat times and in the amplitude.

use crate::amplitudes::Swing;
use crate::neighbours::{Seen, near_neighbours};
use crate::rate_fit::{Fitted, Residual};
use crate::reading::{Periodogram, PeriodogramPeak};
use refined::{Points, Wave};
use signal::periodogram::{FrequencyGrid, Periodogram as Power, Series, Sinusoid};

/// Frequencies to each width of a peak (one over the length): five keep 95 % of its height.
const OVERSAMPLING: f64 = 5.0;
/// Long recordings make do with this, ...
const LEAST_OVERSAMPLING: f64 = 2.0;
/// ... and with the slower part of what they could show: a day reaches down to 5 s.
const MOST_FREQUENCIES: f64 = 32_768.0;
/// Up to this share of the Nyquist frequency of the beats: above it lies, mirrored, whatever slowly
/// sets tick and tock against each other.
const HIGHEST_SHARE: f64 = 0.75;
/// Peaks that chance makes more often than this are not named.
const CHANCE: f64 = 0.01;
/// Most peaks named, and most looked for.
const MOST_PEAKS: usize = 5;
const MOST_LOOKS: usize = 9;
/// What does not come round this often within the recording does not repeat.
const LEAST_TURNS: f64 = 1.8;
/// A peak stands out from the power within so many widths around it, ...
const SURROUNDINGS: f64 = 6.0;
/// ... or within this share of its frequency, whichever is more, ...
const SURROUNDINGS_SHARE: f64 = 0.5;
/// ... without what is nearer than this many widths.
const OWN_WIDTHS: f64 = 1.5;
/// Surroundings of fewer widths say nothing.
const LEAST_SURROUNDINGS: f64 = 3.0;
/// Values farther from their neighbours than this are mistimed beats.
const FARTHEST_SD: f64 = 5.0;
/// Fewer values than this hold no period.
const LEAST_VALUES: usize = 16;

/// One value of a series.
struct Value {
    time_s: f64,
    value: f64,
    side: usize,
    beats: f64,
}

/// Periodogram of what the line leaves of the beat times, ms.
pub(crate) fn of_timing(f: &Fitted<'_>, residuals: &[Residual]) -> Option<Periodogram> {
    let values: Vec<Value> = residuals
        .iter()
        .filter(|r| r.used)
        .map(|r| Value {
            time_s: r.even_s,
            value: -1e3 * r.late_s,
            side: r.side,
            beats: r.beats.into(),
        })
        .collect();
    periodogram(f, values)
}

/// Periodogram of the amplitude, degrees.
pub(crate) fn of_amplitude(f: &Fitted<'_>, swings: &[Swing]) -> Option<Periodogram> {
    let values: Vec<Value> = swings
        .iter()
        .map(|s| Value { time_s: s.time_s, value: s.deg, side: s.side, beats: s.beats })
        .collect();
    periodogram(f, values)
}

fn periodogram(f: &Fitted<'_>, mut values: Vec<Value>) -> Option<Periodogram> {
    let seen: Vec<Seen> =
        values.iter().map(|v| Seen { value: v.value, side: v.side, beats: v.beats }).collect();
    let mut near = near_neighbours(&seen, FARTHEST_SD).0.into_iter();
    values.retain(|_| near.next().unwrap_or(false));
    if values.len() < LEAST_VALUES {
        return None;
    }
    // Tick and tock lie apart by what they are, not by what repeats.
    for side in 0..2 {
        let of_side = || values.iter().filter(|v| v.side == side);
        let beats: f64 = of_side().map(|v| v.beats).sum();
        let mean = of_side().map(|v| v.beats * v.value).sum::<f64>() / beats.max(1.0);
        values.iter_mut().filter(|v| v.side == side).for_each(|v| v.value -= mean);
    }
    let times_s: Vec<f64> = values.iter().map(|v| v.time_s).collect();
    let weights: Vec<f64> = values.iter().map(|v| v.beats).collect();
    let mut left: Vec<f64> = values.iter().map(|v| v.value).collect();
    let group = f64::from(f.track.groups.beats_a_group());
    // Single beats of both sides lie half an oscillation apart, groups of both sides together.
    let spacing_s = if group > 1.0 { group * f.period_s } else { 0.5 * f.period_s };
    let series = Series::new(&times_s, &left, Some(&weights)).ok()?;
    let grid = grid(series.span_s(), HIGHEST_SHARE * 0.5 / spacing_s)?;
    let whole = Power::new(&series, grid);
    let level = whole.level(CHANCE);
    let mut found: Vec<(Wave, f64)> = Vec::new();
    let mut series = series;
    let mut power = whole.clone();
    for _ in 0..MOST_LOOKS {
        let Some(peak) = power.peaks(&series, 1, level).into_iter().next() else { break };
        let rare = peak.false_alarm_probability <= CHANCE;
        if !rare || found.len() == MOST_PEAKS {
            break;
        }
        let wave: Sinusoid = peak.sinusoid;
        let chance = peak.false_alarm_probability.max(chance_beside_others(&power, &series, &wave));
        if chance <= CHANCE && wave.frequency_hz * series.span_s() >= LEAST_TURNS {
            found.push((Wave::of(&wave), chance));
        }
        for (value, t) in left.iter_mut().zip(&times_s) {
            *value -= wave.swing(*t);
        }
        let Ok(rest) = Series::new(&times_s, &left, Some(&weights)) else { break };
        series = rest;
        power = Power::new(&series, grid);
    }
    let (waves, chances): (Vec<Wave>, Vec<f64>) = found.into_iter().unzip();
    // What is left holds the noise, and what was taken out without being named.
    let points = Points { times_s: &times_s, values: &left, weights: &weights };
    let waves = refined::waves(&points, &waves);
    let mut peaks: Vec<PeriodogramPeak> = waves
        .iter()
        .zip(chances)
        .map(|(wave, chance)| {
            // Averaging over a group's length takes sin(x)/x off a wave.
            let x = std::f64::consts::PI * wave.frequency_hz * (group * f.period_s);
            let kept = if group > 1.0 && x > 0.0 { (x.sin() / x).max(0.3) } else { 1.0 };
            let period_s = wave.frequency_hz.recip();
            let sd_hz = wave.frequency_sd_hz * reddening(&power, &series, wave.frequency_hz);
            PeriodogramPeak {
                period_s,
                period_sd_s: sd_hz * period_s * period_s,
                semi_amplitude: wave.semi_amplitude() / kept,
                false_alarm_probability: chance,
            }
        })
        .collect();
    peaks.sort_by(|a, b| b.semi_amplitude.total_cmp(&a.semi_amplitude));
    Some(Periodogram {
        frequency_hz: grid.frequencies_hz().collect(),
        power: whole.power().to_vec(),
        one_percent_level: level,
        least_seen: series.semi_amplitude_of(level),
        peaks,
        beat_s: 0.5 * f.period_s,
        longest_period_s: series.span_s() / LEAST_TURNS,
        each_beat: group <= 1.0,
    })
}

/// From one turn in the recording to `highest_hz`, or as far as the number of frequencies allows.
fn grid(span_s: f64, highest_hz: f64) -> Option<FrequencyGrid> {
    let widths = (highest_hz * span_s - 1.0).max(1.0);
    let oversampling = (MOST_FREQUENCIES / widths).clamp(LEAST_OVERSAMPLING, OVERSAMPLING);
    let count = (widths * oversampling).min(MOST_FREQUENCIES).floor() as usize + 1;
    FrequencyGrid::new(span_s.recip(), (span_s * oversampling).recip(), count).ok()
}

/// Chance that noise of whatever colour makes a peak stand out so from the power around it,
/// anywhere: a random walk fills the low frequencies with power that no wheel makes.
fn chance_beside_others(power: &Power, series: &Series, wave: &Sinusoid) -> f64 {
    let Some((level, widths)) = surroundings(power, series, wave.frequency_hz) else { return 1.0 };
    // With a mean from few widths the tail is that of an F distribution with 2 and twice as many
    // degrees.
    let trials = power.grid().count() as f64 * power.grid().step_hz() * series.span_s();
    trials * (1.0 + wave.power / level / widths).powf(-widths)
}

/// By how much the noise around a frequency is above that of white noise, as an amplitude, 1 or more.
fn reddening(power: &Power, series: &Series, frequency_hz: f64) -> f64 {
    let white = 2.0 / (series.points() as f64 - 1.0);
    surroundings(power, series, frequency_hz)
        .map_or(1.0, |(level, _)| (level / white).sqrt().max(1.0))
}

/// Mean power of the noise around a frequency, and over how many widths it is a mean. None where
/// these are too few to say.
fn surroundings(power: &Power, series: &Series, frequency_hz: f64) -> Option<(f64, f64)> {
    let grid = power.grid();
    let width_hz = series.span_s().recip();
    let per_width = width_hz / grid.step_hz();
    let reach_hz = (SURROUNDINGS * width_hz).max(SURROUNDINGS_SHARE * frequency_hz);
    let mut around: Vec<f64> = grid
        .frequencies_hz()
        .zip(power.power())
        .filter(|(f, _)| {
            let apart = (f - frequency_hz).abs();
            apart <= reach_hz && apart > OWN_WIDTHS * width_hz
        })
        .map(|(_, p)| *p)
        .collect();
    let widths = around.len() as f64 / per_width;
    if widths < LEAST_SURROUNDINGS {
        return None;
    }
    let median = signal::robust::median_in_place(&mut around)?;
    // Power of noise is exponential about its mean, whose median is ln 2 of it.
    Some(((median / std::f64::consts::LN_2).max(f64::MIN_POSITIVE), widths))
}

mod refined;
#[cfg(test)]
mod tests;
