//! Takes interleaved samples in, channel by channel, and keeps what has not been gone through.

use crate::warning::{Warning, WarningCode};

/// Beyond this the recorder's scale is not full scale ±1, or something is broken.
const MOST: f32 = 8.0;
/// From here on a sample may be cut off.
const TOP: f32 = 0.999;
/// So many samples in a row at the top are clipping.
const RUN_AT_TOP: u32 = 3;
/// Samples that are looked at together: nearly always none of them is at the top.
const TOGETHER: usize = 64;

/// One channel's waiting samples.
#[derive(Debug, Clone, Default)]
pub(crate) struct Channel {
    samples: Vec<f32>,
    run_at_top: u32,
    /// Whether that run is at the top, not at the bottom.
    run_is_above: bool,
    clipped: u64,
    beyond: u64,
}

impl Channel {
    /// Makes room for so many more samples; grows by doubling, but not beyond `most`.
    pub(crate) fn reserve(&mut self, more: usize, most: usize) {
        let (len, room) = (self.samples.len(), self.samples.capacity());
        if room - len < more {
            let wanted = (2 * room).min(most).max(len + more);
            self.samples.reserve_exact(wanted - len);
        }
    }

    /// Samples that wait.
    pub(crate) fn samples(&self) -> &[f32] {
        &self.samples
    }

    /// How often the sound was cut off so far.
    pub(crate) fn clipped(&self) -> u64 {
        self.clipped
    }

    /// How many samples were made smaller because nothing so large is sound of full scale ±1.
    pub(crate) fn beyond(&self) -> u64 {
        self.beyond
    }

    /// Takes every `channels`-th of interleaved samples, from the first on.
    pub(crate) fn take(&mut self, interleaved: &[f32], channels: usize) {
        let from = self.samples.len();
        if channels == 1 {
            self.samples.extend(interleaved.iter().map(|x| number(*x)));
        } else {
            // The last frame is whole for the first channel only: the others' slices start later.
            self.samples.extend(interleaved.iter().step_by(channels).map(|x| number(*x)));
        }
        for some in self.samples[from..].chunks_mut(TOGETHER) {
            if some.iter().fold(false, |any, x| any | (x.abs() >= TOP)) {
                for x in some {
                    // A wave that is cut off above and below is cut off twice.
                    let goes_on = self.run_at_top == 0 || self.run_is_above == (*x > 0.0);
                    self.run_at_top = match (x.abs() >= TOP, goes_on) {
                        (false, _) => 0,
                        (true, true) => self.run_at_top.saturating_add(1),
                        (true, false) => 1,
                    };
                    self.run_is_above = *x > 0.0;
                    self.clipped += u64::from(self.run_at_top == RUN_AT_TOP);
                    self.beyond += u64::from(x.abs() > MOST);
                    *x = x.clamp(-MOST, MOST);
                }
            } else {
                self.run_at_top = 0;
            }
        }
    }

    /// Forgets the first samples.
    pub(crate) fn forget(&mut self, samples: usize) {
        self.samples.drain(..samples.min(self.samples.len()));
    }
}

/// What is no number counts as silence.
fn number(x: f32) -> f32 {
    if x.is_finite() { x } else { 0.0 }
}

/// What is to be said of samples that were made smaller.
pub(crate) fn remark(channels: &[Channel]) -> Option<Warning> {
    let beyond: u64 = channels.iter().map(Channel::beyond).sum();
    (beyond > 0).then(|| Warning {
        code: WarningCode::BeyondScale,
        message: format!(
            "The recording has {beyond} samples beyond {MOST} times full scale, which were taken as \
             {MOST} times full scale: its numbers have another scale, or it is damaged. Write it \
             anew with full scale ±1."
        ),
    })
}

/// What is said where only the first `heard` of `channels` channels were listened to.
pub(crate) fn left_out(channels: usize, heard: usize) -> Option<Warning> {
    (channels > heard).then(|| Warning {
        code: WarningCode::ChannelsLeftOut,
        message: format!(
            "Only the first {heard} of the {channels} channels were heard; choose another channel to hear that."
        ),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_numbers_come_in() {
        let mut c = Channel::default();
        c.take(&[f32::NAN, f32::INFINITY, f32::NEG_INFINITY, 1e30, -1e30, 0.25], 1);
        assert_eq!(c.samples(), [0.0, 0.0, 0.0, MOST, -MOST, 0.25]);
    }

    /// Counted, said, and not for what merely exceeds full scale, as floats may.
    #[test]
    fn what_is_made_smaller_is_told() {
        let mut c = Channel::default();
        c.take(&[1e30, -9.0, f32::NAN, 8.0, 1.5, -2.0], 1);
        assert_eq!(c.beyond(), 2);
        let told = remark(&[Channel::default(), c]).unwrap();
        assert_eq!(told.code.name(), "beyond_scale");
        assert!(told.message.contains("2 samples"), "{}", told.message);
        let mut loud = Channel::default();
        loud.take(&[7.9, -1.5], 1);
        assert_eq!(remark(&[loud]), None);
    }

    /// A square wave at full scale is cut off in every half wave.
    #[test]
    fn a_square_wave_is_clipped_in_every_half_wave() {
        let square: Vec<f32> =
            (0..1_000).map(|n| if n / 5 % 2 == 0 { 1.0 } else { -1.0 }).collect();
        for block in [1, 7, 64, 1_000] {
            let mut c = Channel::default();
            for b in square.chunks(block) {
                c.take(b, 1);
            }
            assert_eq!(c.clipped(), 200, "blocks of {block}");
        }
    }

    #[test]
    fn channels_come_apart() {
        let mut right = Channel::default();
        let frames = [1.0f32, 0.1, 2.0, 0.2, 3.0, 0.3];
        right.take(&frames[1..5], 2);
        assert_eq!(right.samples(), [0.1, 0.2]);
    }

    /// Every channel gets every frame, the last one too.
    #[test]
    fn no_channel_loses_the_last_frame() {
        let frames = [1.0f32, 0.1, 2.0, 0.2, 3.0, 0.3];
        for c in 0..2 {
            let mut channel = Channel::default();
            channel.take(&frames[c..], 2);
            assert_eq!(channel.samples().len(), 3, "channel {c}");
        }
    }

    /// Three in a row are one place that is cut off, however long it goes on and however the
    /// blocks fall.
    #[test]
    fn clipping_is_counted_across_blocks() {
        let mut sound = vec![0.0f32; 1_000];
        sound[100..102].fill(1.0);
        sound[300..306].fill(-1.0);
        sound[640..700].fill(1.0);
        for block in [1, 2, 63, 64, 65, 304, 1_000] {
            let mut c = Channel::default();
            for b in sound.chunks(block) {
                c.take(b, 1);
            }
            assert_eq!(c.clipped(), 2, "blocks of {block}");
        }
    }

    #[test]
    fn channels_that_are_not_heard_are_told() {
        assert_eq!(left_out(4, 4), None);
        let told = left_out(6, 4).expect("a warning");
        assert_eq!(told.code.name(), "channels_left_out");
        assert!(told.message.contains("first 4 of the 6 channels"), "{}", told.message);
    }
}
