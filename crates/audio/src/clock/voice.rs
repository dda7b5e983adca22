//! How the two kinds of step sound, and when a step that sounds so comes.

use super::waveform::{dot, largest, parabola_at, top_near, value_at};
use signal::{Symmetric, power_envelope};

/// From one value of an envelope to the next, seconds: small beside the jitter of the steps, or
/// places would cling to whole values and look steadier than they are.
const CELL_S: f64 = 1.0 / 24_000.0;
/// Values that an envelope is smoothed over, in boxes twice: half a millisecond, so that what is
/// left follows the loudness and not the waves.
const SMOOTH: usize = 7;
/// Cells of this length are judged together when a template is freed from noise.
const GRAIN_S: f64 = 0.0005;

/// When and how like the template a step came.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Arrival {
    /// By its waveform, working samples from the start of the stretch that was searched.
    pub(super) by_waveform: f64,
    /// By its envelope, the same.
    pub(super) by_envelope: f64,
    /// Correlation of its waveform with the template, 0 to 1.
    pub(super) likeness: f64,
}

/// One kind of step.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Template {
    /// Mean of the aligned steps, each of unit energy.
    mean: Vec<f32>,
    /// How much of the mean is step rather than noise, 0 to 1, sample by sample.
    trust: Vec<f32>,
    /// The mean with its trust, unit energy.
    ready: Vec<f32>,
    /// Envelope of the mean step, its own mean taken off.
    envelope: Vec<f32>,
    /// Steps that it was made of: index and aligned waveform.
    made_of: Vec<(i64, Vec<f32>)>,
}

impl Template {
    /// From aligned waveforms of equal length, each with its step's index.
    pub(super) fn of(made_of: Vec<(i64, Vec<f32>)>, rate_hz: f64) -> Self {
        let length = made_of.first().map_or(0, |(_, x)| x.len());
        let count = made_of.len().max(1) as f32;
        let mut mean = vec![0.0f32; length];
        let mut squares = vec![0.0f32; length];
        for (_, x) in &made_of {
            for ((m, s), x) in mean.iter_mut().zip(&mut squares).zip(x) {
                *m += x / count;
                *s += x * x / count;
            }
        }
        let grain = ((GRAIN_S * rate_hz) as usize).max(1);
        let mut trust = vec![1.0f32; length];
        if made_of.len() > 2 {
            let parts = mean.chunks(grain).zip(squares.chunks(grain));
            for (into, (m, s)) in trust.chunks_mut(grain).zip(parts) {
                let of_mean: f32 = m.iter().map(|m| m * m).sum();
                let about: f32 = s.iter().sum::<f32>() - of_mean;
                let noise = about.max(0.0) / (count - 1.0);
                into.fill(if of_mean > noise { 1.0 - noise / of_mean } else { 0.0 });
            }
        }
        let ready = of_unit_energy(mean.iter().zip(&trust).map(|(m, t)| m * t).collect());
        let mut power = Vec::new();
        let mut envelope = vec![0.0f32; length / cell(rate_hz)];
        for (_, x) in &made_of {
            amplitude_envelope(x, cell(rate_hz), &mut power);
            for (e, p) in envelope.iter_mut().zip(&power) {
                *e += p / count;
            }
        }
        Self { mean, trust, ready, envelope: without_mean(envelope), made_of }
    }

    /// Samples.
    pub(super) fn len(&self) -> usize {
        self.ready.len()
    }

    /// Number of steps that it was made of.
    pub(super) fn count(&self) -> usize {
        self.made_of.len()
    }

    /// The waveform to look for in the place of step `index`: where that very step helped to make
    /// the template it is left out, or its noise would be found again and hold the step in place.
    fn for_step(&self, index: i64) -> std::borrow::Cow<'_, [f32]> {
        let own = self.made_of.iter().find(|(i, _)| *i == index);
        match own {
            Some((_, own)) if self.made_of.len() > 1 => {
                let n = self.made_of.len() as f32;
                let others = self.mean.iter().zip(own).map(|(m, x)| (m * n - x) / (n - 1.0));
                of_unit_energy(others.zip(&self.trust).map(|(m, t)| m * t).collect()).into()
            }
            _ => self.ready.as_slice().into(),
        }
    }

    /// Finds step `index` in `stretch`, which holds every place in question: arrivals are counted
    /// from its start to where the template would start. `None` where it is too short or silent.
    pub(super) fn find(&self, index: i64, stretch: &[f32], rate_hz: f64) -> Option<Arrival> {
        let waveform = self.for_step(index);
        let lags = stretch.len().checked_sub(waveform.len())? + 1;
        let mut products = Vec::with_capacity(lags);
        let mut likeness = Vec::with_capacity(lags);
        let mut energy: f64 =
            stretch[..waveform.len()].iter().map(|&x| f64::from(x) * f64::from(x)).sum();
        for lag in 0..lags {
            let product = dot(&waveform, &stretch[lag..]);
            products.push(product);
            likeness.push(if energy > 0.0 { product / (energy as f32).sqrt() } else { 0.0 });
            if let Some(&next) = stretch.get(lag + waveform.len()) {
                let (next, gone) = (f64::from(next), f64::from(stretch[lag]));
                energy = (energy + next * next - gone * gone).max(0.0);
            }
        }
        let best = largest(&likeness);
        let like = f64::from(likeness[best]);
        if !(like.is_finite() && like > 0.0) {
            return None;
        }
        // Between samples the waveforms meet fully.
        let top = top_near(&products, best);
        let like = like * (top.height / f64::from(products[best]).max(f64::MIN_POSITIVE)).max(1.0);
        Some(Arrival {
            by_waveform: top.at.clamp(0.0, (lags - 1) as f64),
            by_envelope: self.find_by_envelope(stretch, rate_hz),
            likeness: like.min(1.0),
        })
    }

    fn find_by_envelope(&self, stretch: &[f32], rate_hz: f64) -> f64 {
        let cell = cell(rate_hz);
        let mut envelope = Vec::new();
        amplitude_envelope(stretch, cell, &mut envelope);
        place_of(&self.envelope, &envelope).unwrap_or(0.0) * cell as f64
    }
}

/// Where `template` (without its mean) fits best into `envelope`, in cells; `None` where there is
/// no room for it.
pub(super) fn place_of(template: &[f32], envelope: &[f32]) -> Option<f64> {
    let lags = envelope.len().checked_sub(template.len())? + 1;
    let products: Vec<f32> = (0..lags).map(|lag| dot(template, &envelope[lag..])).collect();
    Some(parabola_at(&products, largest(&products)))
}

/// Samples in a cell of an envelope.
pub(super) fn cell(rate_hz: f64) -> usize {
    ((CELL_S * rate_hz).round() as usize).max(1)
}

/// Root of the smoothed power, one value a cell.
pub(super) fn amplitude_envelope(samples: &[f32], cell: usize, into: &mut Vec<f32>) {
    power_envelope(samples, cell, into);
    let mut smooth = Vec::with_capacity(into.len());
    for _ in 0..2 {
        let half = SMOOTH / 2;
        smooth.clear();
        smooth.extend((0..into.len()).map(|i| {
            let part = &into[i.saturating_sub(half)..(i + half + 1).min(into.len())];
            part.iter().sum::<f32>() / SMOOTH as f32
        }));
        std::mem::swap(into, &mut smooth);
    }
    for x in into {
        *x = x.sqrt();
    }
}

pub(super) fn without_mean(mut values: Vec<f32>) -> Vec<f32> {
    let mean = values.iter().sum::<f32>() / values.len().max(1) as f32;
    for x in &mut values {
        *x -= mean;
    }
    values
}

/// Scaled so that the squares sum to one; silence stays silence.
pub(super) fn of_unit_energy(mut values: Vec<f32>) -> Vec<f32> {
    let energy = values.iter().map(|&x| f64::from(x) * f64::from(x)).sum::<f64>();
    if energy > 0.0 && energy.is_finite() {
        let scale = 1.0 / energy.sqrt();
        for x in &mut values {
            *x = (f64::from(*x) * scale) as f32;
        }
    }
    values
}

/// `length` samples from `from`, which may lie between samples.
pub(super) fn shifted(samples: &[f32], from: f64, length: usize) -> Vec<f32> {
    (0..length).map(|i| value_at(samples, from + i as f64) as f32).collect()
}

/// Filters the part of `samples` from `from` (may reach beyond either end, which counts as
/// silence), `length` long, so that what lies just outside has its say.
pub(super) fn filtered(band: &Symmetric, samples: &[f32], from: i64, length: usize) -> Vec<f32> {
    let half = band.half();
    let padded: Vec<f32> = (0..length + 2 * half)
        .map(|i| {
            let at = from + i as i64 - half as i64;
            usize::try_from(at).ok().and_then(|at| samples.get(at)).copied().unwrap_or(0.0)
        })
        .collect();
    let mut out = Vec::new();
    band.apply(&padded, &mut out);
    out.truncate(half + length);
    out.drain(..half);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(at: f64, length: usize) -> Vec<f32> {
        (0..length)
            .map(|n| {
                let t = n as f64 - at;
                if t < 0.0 {
                    0.0
                } else {
                    ((0.6 * t).sin() * (-t / 40.0).exp() * (t / 8.0).min(1.0)) as f32
                }
            })
            .collect()
    }

    /// The same ring at other places is found there, whatever its loudness, to a fiftieth of a
    /// sample (the ring's onset is a corner, which no band-limited interpolation meets exactly).
    #[test]
    fn a_step_is_found_where_it_is() {
        let made_of = (0..4).map(|k| (k, of_unit_energy(ring(50.0, 400)))).collect();
        let template = Template::of(made_of, 48_000.0);
        for (place, gain) in [(120.0, 1.0), (77.25, 1e-3), (140.5, 30.0)] {
            let stretch: Vec<f32> = ring(place, 700).iter().map(|x| x * gain).collect();
            let arrival = template.find(99, &stretch, 48_000.0).unwrap();
            assert!((arrival.by_waveform - (place - 50.0)).abs() < 0.02, "{arrival:?} {place}");
            // A fifth of a cell of two samples; the boxes are not quite centred.
            assert!((arrival.by_envelope - (place - 50.0)).abs() < 0.5, "{arrival:?} {place}");
            assert!(arrival.likeness > 0.99);
        }
    }

    #[test]
    fn silence_and_stubs_hold_no_step() {
        let template = Template::of(vec![(0, ring(5.0, 100))], 48_000.0);
        assert!(template.find(1, &[0.0; 300], 48_000.0).is_none());
        assert!(template.find(1, &[1.0; 50], 48_000.0).is_none());
        let none = Template::of(Vec::new(), 48_000.0);
        assert!(none.find(0, &[1.0; 50], 48_000.0).is_none());
    }

    #[test]
    fn filtering_a_part_is_the_part_of_the_filtered() {
        let band = Symmetric::with_magnitude(&[0.0, 1.0, 1.0, 0.2, 0.1], 31);
        let x: Vec<f32> = (0..500).map(|n| ((n * 37) % 101) as f32).collect();
        let mut whole = Vec::new();
        band.apply(&x, &mut whole);
        for (from, length) in [(100, 200), (0, 50), (450, 50)] {
            let part = filtered(&band, &x, from as i64, length);
            for (a, b) in part.iter().zip(&whole[from..]) {
                assert!((a - b).abs() < 1e-3);
            }
            assert_eq!(part.len(), length);
        }
    }
}
