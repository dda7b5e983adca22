//! A burst of sound: damped sinusoids under one common rise, evaluated at exact instants.

use crate::draws::Draws;
use std::f64::consts::TAU;

/// One damped sinusoid.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Partial {
    pub(crate) frequency_hz: f64,
    /// Time in which it falls to 1/e.
    pub(crate) decay_s: f64,
    pub(crate) amplitude: f64,
    pub(crate) phase: f64,
}

/// `(1 - exp(-t/rise))² Σ amplitude exp(-t/decay) sin(2π f t + phase)` from its onset on.
///
/// The rise makes value and slope begin at zero, so that the spectrum falls off fast enough for
/// the sampled values to be band-limited in practice.
#[derive(Debug, Clone)]
pub(crate) struct Burst {
    pub(crate) rise_s: f64,
    pub(crate) partials: Vec<Partial>,
}

/// A partial is followed until it has fallen by this factor (−100 dB, below the step of 16 bit).
const FOLLOWED_DOWN_TO: f64 = 1e-5;

impl Burst {
    pub(crate) fn scale(&mut self, factor: f64) {
        self.partials.iter_mut().for_each(|p| p.amplitude *= factor);
    }

    /// Value at `t` seconds after the onset, straight from the formula.
    #[cfg(test)]
    pub(crate) fn at(&self, t: f64) -> f64 {
        if t <= 0.0 {
            return 0.0;
        }
        let rise = 1.0 - libm::exp(-t / self.rise_s);
        rise * rise
            * self
                .partials
                .iter()
                .map(|p| {
                    p.amplitude
                        * libm::exp(-t / p.decay_s)
                        * libm::sin(TAU * p.frequency_hz * t + p.phase)
                })
                .sum::<f64>()
    }

    /// Its largest absolute value, seen at 16 points of its shortest period.
    pub(crate) fn peak(&self) -> f64 {
        let fastest = self.partials.iter().map(|p| p.frequency_hz).fold(1.0, f64::max);
        let fine_hz = 16.0 * fastest;
        let mut values = Vec::new();
        ReadyBurst::new(self, fine_hz).render(0.0, fine_hz, None, &mut values);
        values.iter().map(|v| v.abs()).fold(1e-12, f64::max)
    }
}

/// Partials that are worked through side by side, so that the processor can overlap them.
const LANES: usize = 4;

/// A burst made ready for one sample rate.
#[derive(Debug, Clone)]
pub(crate) struct ReadyBurst {
    rise_s: f64,
    rise_per_sample: f64,
    groups: Vec<Group>,
}

/// Four partials and what multiplies them from sample to sample.
#[derive(Debug, Clone, Copy)]
struct Group {
    partials: [Partial; LANES],
    turn_re: [f64; LANES],
    turn_im: [f64; LANES],
    followed_s: f64,
}

impl ReadyBurst {
    /// As a recorder with this sample rate hears the burst: its filter fades partials from 0.40
    /// of the sample rate on and lets none above 0.46 through, and blunts a rise that is quicker
    /// than three quarters of a sample.
    pub(crate) fn new(burst: &Burst, sample_rate_hz: f64) -> Self {
        let mut heard: Vec<Partial> = burst
            .partials
            .iter()
            .map(|p| {
                let passed = (0.46 - p.frequency_hz / sample_rate_hz) / 0.06;
                Partial { amplitude: p.amplitude * passed.clamp(0.0, 1.0), ..*p }
            })
            .filter(|p| p.amplitude > 0.0)
            .collect();
        let rise_s = burst.rise_s.max(0.75 / sample_rate_hz);
        heard.sort_by(|a, b| b.decay_s.total_cmp(&a.decay_s));
        let silent = Partial { frequency_hz: 0.0, decay_s: 1e-6, amplitude: 0.0, phase: 0.0 };
        let groups = heard
            .chunks(LANES)
            .map(|chunk| {
                let mut partials = [silent; LANES];
                partials[..chunk.len()].copy_from_slice(chunk);
                let damping = partials.map(|p| libm::exp(-1.0 / (p.decay_s * sample_rate_hz)));
                let angle = partials.map(|p| TAU * p.frequency_hz / sample_rate_hz);
                let mut group = Group {
                    partials,
                    turn_re: damping,
                    turn_im: damping,
                    followed_s: -libm::log(FOLLOWED_DOWN_TO) * chunk[0].decay_s,
                };
                for (lane, a) in angle.iter().enumerate() {
                    group.turn_re[lane] *= libm::cos(*a);
                    group.turn_im[lane] *= libm::sin(*a);
                }
                group
            })
            .collect();
        Self { rise_s, rise_per_sample: libm::exp(-1.0 / (rise_s * sample_rate_hz)), groups }
    }

    /// Writes the burst from `since_onset_s` (at least 0) on into `out`, which is cleared first.
    /// Where `unsteady` is given, each partial's phase is moved by a normal draw of so many
    /// radians.
    pub(crate) fn render(
        &self,
        since_onset_s: f64,
        sample_rate_hz: f64,
        mut unsteady: Option<(&mut Draws, f64)>,
        out: &mut Vec<f64>,
    ) {
        out.clear();
        for group in &self.groups {
            let length = ((group.followed_s - since_onset_s) * sample_rate_hz).ceil();
            let length = if length > 0.0 { length as usize } else { 0 };
            if out.len() < length {
                out.resize(length, 0.0);
            }
            let mut re = [0.0; LANES];
            let mut im = [0.0; LANES];
            for (lane, p) in group.partials.iter().enumerate() {
                if p.amplitude == 0.0 {
                    continue;
                }
                let moved = unsteady.as_mut().map_or(0.0, |(draws, sd)| *sd * draws.normal());
                let phase = p.phase + moved;
                let angle = TAU * p.frequency_hz * since_onset_s + phase;
                let size = p.amplitude * libm::exp(-since_onset_s / p.decay_s);
                re[lane] = size * libm::cos(angle);
                im[lane] = size * libm::sin(angle);
            }
            for value in &mut out[..length] {
                *value += (im[0] + im[1]) + (im[2] + im[3]);
                for lane in 0..LANES {
                    let next = re[lane] * group.turn_re[lane] - im[lane] * group.turn_im[lane];
                    im[lane] = re[lane] * group.turn_im[lane] + im[lane] * group.turn_re[lane];
                    re[lane] = next;
                }
            }
        }
        let mut fall = libm::exp(-since_onset_s / self.rise_s);
        for value in out.iter_mut() {
            // Below this the rise is over to the last digit that counts.
            if fall < 1e-9 {
                break;
            }
            *value *= (1.0 - fall) * (1.0 - fall);
            fall *= self.rise_per_sample;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn burst() -> Burst {
        let partial = |frequency_hz, decay_s, amplitude, phase| Partial {
            frequency_hz,
            decay_s,
            amplitude,
            phase,
        };
        Burst {
            rise_s: 20e-6,
            partials: vec![
                partial(3_000.0, 0.8e-3, 0.5, 0.3),
                partial(7_300.0, 0.4e-3, 0.8, 1.1),
                partial(12_000.0, 0.3e-3, 0.4, 4.0),
                partial(1_200.0, 1.0e-3, 0.2, 2.0),
                partial(30_000.0, 0.3e-3, 0.4, 5.0),
            ],
        }
    }

    /// The fast recurrence and the plain formula agree, at any fraction of a sample.
    #[test]
    fn fast_and_plain_agree() {
        let mut plain = burst();
        let ready = ReadyBurst::new(&plain, 48_000.0);
        // 30 kHz is beyond what 48 kHz can hold and must be gone.
        plain.partials.pop();
        let mut out = Vec::new();
        for start in [0.0, 1e-6, 13.7e-6, 2.5e-3] {
            ready.render(start, 48_000.0, None, &mut out);
            for (i, value) in out.iter().enumerate() {
                let expected = plain.at(start + i as f64 / 48_000.0);
                // Where a partial is cut off it is at 1e-5 of its start.
                assert!((value - expected).abs() < 2.5e-5, "{start} {i} {value} {expected}");
            }
        }
    }

    #[test]
    fn peak_is_the_largest_value() {
        let mut b = burst();
        let peak = b.peak();
        b.scale(1.0 / peak);
        let largest = (0..20_000).map(|i| b.at(i as f64 * 1e-7).abs()).fold(0.0, f64::max);
        // Sixteen points a period miss a crest by at most 1 - cos(pi/16) = 2 %.
        assert!((largest - 1.0).abs() < 0.02, "{largest}");
    }
}
