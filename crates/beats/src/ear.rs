//! Where in the spectrum the beats stand out, and the envelope heard through that.

use signal::{MinimumPhase, ShortTime, Spectrogram, Symmetric, lay_on_noise, second_difference};

/// Frames of the first look last this long at least; the number of samples is a power of two.
const FRAME_S: f64 = 1.3e-3;
/// Rate of the fine envelope, values per second (nearest whole step of the sample rate).
const ENVELOPE_HZ: f64 = 12_000.0;
/// Length of the shaping filter: short enough that an onset is not smeared by a third of a
/// millisecond, long enough to keep bands 2 kHz apart apart.
const FILTER_S: f64 = 0.65e-3;
/// Peak of the noise that every sound is laid on: a tenth of a 16-bit step.
const FLOOR_NOISE: f32 = 3e-6;
/// Length of the filter that evens out; it may ring, but only after what it heard.
const EVEN_FILTER_S: f64 = 0.9e-3;
/// Below this the tilt of differencing is not taken out any further.
const EVEN_FROM_HZ: f64 = 1_500.0;
/// A band is taken to hold noise of at least this share of the watch's power where it is loudest.
/// Coding at a low bit rate, a converter or a change of the sample rate leave the highest bands
/// empty: what the skirt of their filter lets through stands far above the nothing between the
/// beats, but what it lets through is coarse and smeared. (The excess is not measured beyond 1e4, so
/// that in white noise this never acts.)
const LEAST_NOISE: f64 = 3e-5;
/// Below this nothing is listened to: hum, handling and speech live there.
const LOWEST_HZ: f64 = 500.0;

/// Short-time spectra of a stretch of sound with the noise floor of every band.
pub(crate) struct FirstLook {
    spectra: Spectrogram,
    floor: Vec<f32>,
    sample_rate_hz: f64,
}

impl FirstLook {
    /// Looks at samples that [`second_difference`] has been through.
    pub(crate) fn at(differenced: &[f32], sample_rate_hz: f64) -> Self {
        let frame_len = ((FRAME_S * sample_rate_hz).ceil() as usize).next_power_of_two();
        let spectra = ShortTime::new(frame_len).powers(differenced);
        let floor = (0..spectra.bins).map(|b| quantile_of_band(&spectra, b, 0.5)).collect();
        Self { spectra, floor, sample_rate_hz }
    }

    /// Frames per second.
    pub(crate) fn rate_hz(&self) -> f64 {
        self.sample_rate_hz / self.spectra.hop as f64
    }

    /// First weights, without knowing when the beats fall: bands whose loudest moments stand
    /// out more than those of steady noise would.
    pub(crate) fn first_weights(&self) -> Vec<f32> {
        // For exponentially distributed power the 98 % point lies at ln 50 / ln 2 medians.
        let of_noise = 50f32.ln() / std::f32::consts::LN_2;
        (0..self.spectra.bins)
            .map(|b| {
                if self.band_hz(b) < LOWEST_HZ || self.floor[b] <= 0.0 {
                    return 0.0;
                }
                let high = quantile_of_band(&self.spectra, b, 0.98) / self.floor[b];
                (high / of_noise - 1.0).clamp(0.0, 20.0).sqrt() + 0.05
            })
            .collect()
    }

    fn band_hz(&self, band: usize) -> f64 {
        band as f64 * self.sample_rate_hz / self.spectra.frame_len as f64
    }

    /// By how much differencing raises a band's amplitude.
    fn tilt(&self, band: usize) -> f64 {
        let hz = self.band_hz(band).max(EVEN_FROM_HZ);
        2.0 - 2.0 * (std::f64::consts::TAU * hz / self.sample_rate_hz).cos()
    }

    /// How far each frame stands above the floor, weighted over the bands, compressed so that a
    /// knock counts little more than a beat.
    pub(crate) fn loudness(&self, weights: &[f32]) -> Vec<f32> {
        let total: f32 = weights.iter().sum();
        if total <= 0.0 {
            return vec![0.0; self.spectra.frames()];
        }
        // Bands that are not heard have no weight; so all have a place and eight go abreast.
        let (weights, scales): (Vec<f32>, Vec<f32>) = weights
            .iter()
            .zip(&self.floor)
            .map(|(w, floor)| {
                let used = *w > 0.0 && *floor > 0.0;
                if used { (w / total, std::f32::consts::LN_2 / floor) } else { (0.0, 0.0) }
            })
            .unzip();
        (0..self.spectra.frames())
            .map(|f| {
                let frame = self.spectra.frame(f);
                let mut sums = [0.0f32; 8];
                let (frames, last) = frame.as_chunks::<8>();
                let (many, few) = weights.as_chunks::<8>();
                let (scales, last_scales) = scales.as_chunks::<8>();
                for ((power, w), scale) in frames.iter().zip(many).zip(scales) {
                    for i in 0..8 {
                        sums[i] += w[i] * ln_1p_fast(power[i] * scale[i]);
                    }
                }
                for ((power, w), scale) in last.iter().zip(few).zip(last_scales) {
                    sums[0] += w * ln_1p_fast(power * scale);
                }
                sums.iter().sum()
            })
            .collect()
    }

    /// Mean excess over the floor in every band during the marked frames, floors as unit.
    pub(crate) fn excess(&self, marked: &[bool]) -> Vec<f32> {
        let mut sum = vec![0.0f64; self.spectra.bins];
        let mut count = 0.0f64;
        for (f, _) in marked.iter().enumerate().filter(|(_, m)| **m) {
            count += 1.0;
            for (s, (p, n)) in sum.iter_mut().zip(self.spectra.frame(f).iter().zip(&self.floor)) {
                // One knock in a thousand frames must not decide the band.
                *s += f64::from((p / n.max(f32::MIN_POSITIVE)).min(1e4));
            }
        }
        sum.iter()
            .enumerate()
            .map(|(b, s)| {
                if count == 0.0 || self.band_hz(b) < LOWEST_HZ {
                    0.0
                } else {
                    (s / count * std::f64::consts::LN_2 - 1.0).max(0.0) as f32
                }
            })
            .collect()
    }

    /// The filter that lets through what stands above the floor and makes the rest even: gain
    /// `sqrt(S / (S + N) / N)` with signal `S` and noise `N` per band, both evened out over
    /// neighbouring bands, and `N` no lower than [`LEAST_NOISE`] wants it.
    pub(crate) fn shaping(&self, excess: &[f32]) -> Symmetric {
        let even = |v: &[f32], b: usize| {
            let low = b.saturating_sub(1);
            let high = (b + 1).min(v.len() - 1);
            v[low..=high].iter().sum::<f32>() / (high - low + 1) as f32
        };
        let loudest = self.floor.iter().copied().fold(0.0f32, f32::max).max(f32::MIN_POSITIVE);
        let relative = |b: usize| f64::from(even(&self.floor, b) / loudest).max(1e-9);
        let heard = |b: usize| self.band_hz(b) >= LOWEST_HZ;
        // Power of the watch with the tilt of differencing taken out.
        let watch = (0..self.spectra.bins)
            .filter(|b| heard(*b))
            .map(|b| f64::from(excess[b] * self.floor[b] / loudest) / self.tilt(b).powi(2))
            .fold(0.0, f64::max);
        let magnitude: Vec<f64> = (0..self.spectra.bins)
            .map(|b| {
                if !heard(b) {
                    return 0.0;
                }
                let measured = relative(b);
                let noise = measured.max(LEAST_NOISE * watch * self.tilt(b).powi(2));
                let over = f64::from(even(excess, b)) * measured / noise;
                (over / (over + 1.0) / noise).sqrt()
            })
            .collect();
        let top = magnitude.iter().copied().fold(0.0, f64::max);
        let scaled: Vec<f64> = if top > 0.0 {
            magnitude.iter().map(|m| m / top).collect()
        } else {
            vec![1.0; magnitude.len()]
        };
        Symmetric::with_magnitude(&scaled, (FILTER_S * self.sample_rate_hz) as usize)
    }
}

/// The share of every band that is watch and not room, with the tilt of differencing taken out:
/// through this filter a shock sounds as it would in a silent room.
impl FirstLook {
    pub(crate) fn even_hearing(&self, excess: &[f32]) -> MinimumPhase {
        let magnitude: Vec<f64> = (0..self.spectra.bins)
            .map(|b| {
                let low = b.saturating_sub(1);
                let high = (b + 1).min(excess.len() - 1);
                let over = f64::from(excess[low..=high].iter().copied().fold(0.0f32, f32::max));
                if self.band_hz(b) < LOWEST_HZ {
                    0.0
                } else {
                    over / (over + 1.0) / self.tilt(b).max(1e-3)
                }
            })
            .collect();
        MinimumPhase::with_magnitude(&magnitude, (EVEN_FILTER_S * self.sample_rate_hz) as usize)
    }
}

/// `ln(1 + x)` to a few parts in a thousand through the exponent of the float: the loudness
/// needs its shape, not its digits, and takes it for every band of every frame.
fn ln_1p_fast(x: f32) -> f32 {
    let bits = (1.0 + x).to_bits();
    let exponent = (bits >> 23) as f32 - 127.0;
    let mantissa = f32::from_bits((bits & 0x007f_ffff) | 0x3f80_0000);
    // Quadratic through ln 1, ln 1.5 and ln 2 (error below 0.005).
    let m = mantissa - 1.0;
    exponent * std::f32::consts::LN_2 + m * (0.928_7 - 0.235_6 * m)
}

fn quantile_of_band(spectra: &Spectrogram, band: usize, share: f64) -> f32 {
    let frames = spectra.frames();
    // A few thousand frames spread over the stretch are enough for a quantile of a band.
    let stride = (frames / 4_000).max(1);
    let mut values: Vec<f32> =
        (0..frames).step_by(stride).map(|f| spectra.frame(f)[band]).collect();
    if values.is_empty() {
        return 0.0;
    }
    let at = ((values.len() - 1) as f64 * share).round() as usize;
    *values.select_nth_unstable_by(at, f32::total_cmp).1
}

/// Power of the shaped sound against time.
pub(crate) struct Envelope {
    /// Mean power around every step.
    pub(crate) power: Vec<f32>,
    /// Values per second of the recorder's nominal clock.
    pub(crate) rate_hz: f64,
    /// Power of the noise between the beats (median).
    pub(crate) floor: f32,
}

impl Envelope {
    /// Shapes the samples (as recorded) and takes their power.
    pub(crate) fn of(differenced: &[f32], sample_rate_hz: f64, shaping: &Symmetric) -> Self {
        let step = ((sample_rate_hz / ENVELOPE_HZ).round() as usize).max(1);
        let mut power = Vec::new();
        shaping.power_envelope(differenced, step, &mut power);
        let mut some: Vec<f32> =
            power.iter().copied().step_by((power.len() / 20_000).max(1)).collect();
        let middle = some.len() / 2;
        let floor = if some.is_empty() {
            0.0
        } else {
            *some.select_nth_unstable_by(middle, f32::total_cmp).1
        };
        Self { power, rate_hz: sample_rate_hz / step as f64, floor }
    }

    /// Sudden rises of the amplitude, at about a third of the envelope's rate: pulses become
    /// short, tails and steady sounds vanish. The second value is the rate.
    pub(crate) fn onsets(&self) -> (Vec<f32>, f64) {
        let group = ((self.rate_hz / 4_000.0).round() as usize).max(1);
        let amplitude: Vec<f32> = self
            .power
            .chunks_exact(group)
            .map(|c| (c.iter().sum::<f32>() / group as f32).sqrt())
            .collect();
        let mut rises = vec![0.0f32; amplitude.len()];
        for k in 2..amplitude.len() {
            rises[k] = (amplitude[k] - amplitude[k - 2]).max(0.0);
        }
        let mut some: Vec<f32> =
            rises.iter().copied().step_by((rises.len() / 20_000).max(1)).collect();
        if !some.is_empty() {
            let at = (some.len() - 1) * 199 / 200;
            let high = *some.select_nth_unstable_by(at, f32::total_cmp).1;
            for r in &mut rises {
                *r = r.min(3.0 * high);
            }
        }
        (rises, self.rate_hz / group as f64)
    }
}

/// Second difference of the samples on a floor of noise far below one step of 16 bits: where a
/// recorder writes plain zeros between the beats there would be no level to measure against.
pub(crate) fn prepared(samples: &[f32]) -> Vec<f32> {
    let mut differenced = Vec::new();
    second_difference(samples, &mut differenced);
    lay_on_noise(&mut differenced, FLOOR_NOISE);
    differenced
}

#[cfg(test)]
mod tests {
    use super::*;

    const SAMPLE_RATE_HZ: f64 = 48_000.0;
    const BINS: usize = 33;

    /// A look at sound with this power of noise and of watch in every band, before differencing;
    /// and the watch's excess.
    fn look(noise: impl Fn(f64) -> f64, watch: impl Fn(f64) -> f64) -> (FirstLook, Vec<f32>) {
        let mut look = FirstLook {
            spectra: Spectrogram {
                power: Vec::new(),
                bins: BINS,
                hop: BINS - 1,
                frame_len: 2 * (BINS - 1),
            },
            floor: Vec::new(),
            sample_rate_hz: SAMPLE_RATE_HZ,
        };
        let hz: Vec<f64> = (0..BINS).map(|b| look.band_hz(b)).collect();
        look.floor = (0..BINS).map(|b| (noise(hz[b]) * look.tilt(b).powi(2)) as f32).collect();
        let excess = hz.iter().map(|&hz| (watch(hz) / noise(hz)) as f32).collect();
        (look, excess)
    }

    /// Power that the filter (behind differencing) makes of a tone.
    fn heard(look: &FirstLook, excess: &[f32], hz: f64) -> f64 {
        let shaping = look.shaping(excess);
        let turn = std::f64::consts::TAU * hz / SAMPLE_RATE_HZ;
        let sum: f64 = (0..)
            .zip(shaping.taps())
            .map(|(k, t)| f64::from(*t) * (turn * (f64::from(k) - shaping.half() as f64)).cos())
            .sum();
        sum.powi(2) * (2.0 - 2.0 * turn.cos()).powi(2)
    }

    /// Levels of a watch coded as AAC at 64 kbit/s (ffmpeg 5.1.9), noise at −60 dB, taken from the
    /// short-time spectra of the decoded sound with other tools: at 4 kHz beats at −14 dB and
    /// between them −60, at 21 kHz −75 and −116.
    #[test]
    fn the_empty_bands_above_a_coders_cut_off_are_no_quiet_room() {
        let above = |hz: f64| hz > 19_000.0;
        let db = |level: f64| 10f64.powf(0.1 * level);
        let noise = |hz: f64| db(if above(hz) { -116.0 } else { -60.0 });
        let watch = |hz: f64| db(if above(hz) { -75.0 } else { -14.0 });
        let (look, excess) = look(noise, watch);
        let [below, empty] = [4_000.0, 21_000.0].map(|hz| heard(&look, &excess, hz) * watch(hz));
        // What the band holds is 61 dB down; it must stay far down when shaped.
        assert!(empty < 1e-3 * below, "{empty} of {below}");
    }

    /// Noise with power as 1/f² leaves the high bands quiet, but not empty: whitened, as a matched
    /// filter in coloured noise does, each counts in inverse proportion to its noise.
    #[test]
    fn a_quiet_band_of_a_room_is_listened_to_more() {
        let noise = |hz: f64| 1e-2 * (1e3 / hz.max(500.0)).powi(2);
        let (look, excess) = look(noise, |_| 1.0);
        let louder = heard(&look, &excess, 12_000.0) / heard(&look, &excess, 4_000.0);
        // (12 / 4)² in power; the filter is short.
        assert!((6.0..14.0).contains(&louder), "{louder}");
    }
}
