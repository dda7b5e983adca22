//! How loud it is between the beats, second by second: tells a watch that stopped from one that
//! can no longer be heard for other sounds.

/// Of this much sound the energy is taken together ...
const PIECE_S: f64 = 2e-3;
/// ... and of so many pieces one is looked at.
const ONE_OF: usize = 4;
/// Sounds louder than this many times the usual power cover a watch.
const COVERS: f32 = 2.5;

/// Median power between the beats, a value a second and channel.
#[derive(Debug, Clone, Default)]
pub(crate) struct Quiet {
    channels: usize,
    /// Second after second, in each the channels.
    powers: Vec<f32>,
}

impl Quiet {
    /// Goes on with the seconds that begin within this sound and are not known yet. `start_frame`
    /// is the number of its first frame.
    pub(crate) fn go_on(&mut self, channels: &[&[f32]], start_frame: u64, rate_hz: f64) {
        self.channels = channels.len();
        let frames = channels.first().map_or(0, |c| c.len());
        loop {
            let second = self.powers.len() / self.channels.max(1);
            let at = |second: usize| (second as f64 * rate_hz).round() - start_frame as f64;
            if self.channels == 0 || at(second + 1) > frames as f64 {
                return;
            }
            let (from, to) = (at(second).max(0.0) as usize, at(second + 1).max(0.0) as usize);
            self.powers.extend(channels.iter().map(|c| usual_power(&c[from..to], rate_hz)));
        }
    }

    /// Whether it is much louder in one time than in another, in every channel. Times in seconds
    /// from the start of the recording; false where either holds no whole second.
    pub(crate) fn is_louder(&self, now_s: (f64, f64), than_s: (f64, f64)) -> bool {
        self.channels > 0
            && (0..self.channels).all(|c| match (self.middle(c, now_s), self.middle(c, than_s)) {
                (Some(now), Some(usual)) => now > COVERS * usual,
                _ => false,
            })
    }

    /// Median of the seconds that lie within a time.
    fn middle(&self, channel: usize, within_s: (f64, f64)) -> Option<f32> {
        let (from, to) = (within_s.0.max(0.0).ceil() as usize, within_s.1.max(0.0) as usize);
        let mut powers: Vec<f32> = self
            .powers
            .chunks_exact(self.channels)
            .map(|p| p[channel])
            .take(to)
            .skip(from)
            .collect();
        if powers.is_empty() {
            return None;
        }
        let middle = powers.len() / 2;
        Some(*powers.select_nth_unstable_by(middle, f32::total_cmp).1)
    }
}

/// Median power of short pieces, hum and handling taken down by differencing. Beats take up a
/// fifth of the time at most, so the median is that of what lies between them.
fn usual_power(samples: &[f32], rate_hz: f64) -> f32 {
    let piece = ((PIECE_S * rate_hz) as usize).max(4);
    let mut powers: Vec<f32> = samples
        .chunks_exact(piece)
        .step_by(ONE_OF)
        .map(|p| {
            p.windows(3)
                .map(|w| {
                    let d = w[1] + w[1] - w[0] - w[2];
                    d * d
                })
                .sum::<f32>()
        })
        .collect();
    if powers.is_empty() {
        return 0.0;
    }
    let middle = powers.len() / 2;
    *powers.select_nth_unstable_by(middle, f32::total_cmp).1
}

#[cfg(test)]
mod tests {
    use super::*;

    fn noise(seconds: usize, level: f32, seed: &mut u64) -> Vec<f32> {
        // Knuth's linear congruential generator (TAOCP vol. 2, 3.3.4): any noise will do.
        (0..seconds * 8_000)
            .map(|_| {
                *seed = seed
                    .wrapping_mul(6_364_136_223_846_793_005)
                    .wrapping_add(1_442_695_040_888_963_407);
                level * ((*seed >> 40) as f32 / (1u32 << 24) as f32 - 0.5)
            })
            .collect()
    }

    #[test]
    fn louder_seconds_are_told_apart_however_the_sound_comes() {
        let mut seed = 5;
        let mut sound = noise(20, 0.01, &mut seed);
        sound.extend(noise(10, 0.03, &mut seed));
        for piece in [8_000, 12_345, 100_000, 240_000] {
            let mut quiet = Quiet::default();
            let mut from = 0;
            while from < sound.len() {
                let to = (from + piece).min(sound.len());
                // Stretches overlap.
                let early = from.saturating_sub(8_000);
                quiet.go_on(&[&sound[early..to]], early as u64, 8_000.0);
                from = to;
            }
            assert_eq!(quiet.powers.len(), 30);
            assert!(quiet.is_louder((20.0, 30.0), (0.0, 20.0)));
            assert!(!quiet.is_louder((0.0, 10.0), (10.0, 20.0)));
            assert!(!quiet.is_louder((29.5, 29.9), (0.0, 20.0)), "no whole second");
            assert!(!quiet.is_louder((31.0, 40.0), (0.0, 20.0)));
        }
    }

    #[test]
    fn digital_silence_covers_nothing() {
        let mut quiet = Quiet::default();
        quiet.go_on(&[&[0.0; 40_000]], 0, 8_000.0);
        assert!(!quiet.is_louder((2.0, 4.0), (0.0, 2.0)));
    }
}
