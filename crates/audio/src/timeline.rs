//! Keeps the time line of packets whole: finds what is missing between them.

use symphonia::core::packet::Packet;
use symphonia::core::units::{Duration, TimeBase, Timestamp};

/// Where time stamps come from a clock, shorter gaps are its scatter, not lost sound. Vorbis packets
/// change length and put their stamps up to 12 ms off; the usual Opus packet has 20 ms.
const LEAST_CLOCK_GAP_MS: u64 = 15;

/// What the time stamps of a container are worth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Stamps {
    /// They count samples: any gap is real.
    Samples,
    /// They come from a clock: rounded (Matroska, to a millisecond) or what a telephone's scheduler
    /// said. The decoded samples are the better clock, and only a missing packet is a gap.
    Clock,
    /// The reader makes them up by adding lengths.
    None,
}

/// Follows the packets of one track.
#[derive(Debug)]
pub(crate) struct Timeline {
    stamps: Stamps,
    base: TimeBase,
    rate_hz: u32,
    expected: Option<Timestamp>,
    last_frames: u64,
}

impl Timeline {
    pub(crate) fn new(stamps: Stamps, base: TimeBase, rate_hz: u32) -> Self {
        Self { stamps, base, rate_hz: rate_hz.max(1), expected: None, last_frames: 0 }
    }

    /// Takes the sample rate that the decoder really gives.
    pub(crate) fn set_rate(&mut self, rate_hz: u32) {
        self.rate_hz = rate_hz.max(1);
    }

    /// Ticks in frames, rounded to the nearest.
    pub(crate) fn frames(&self, ticks: Duration) -> u64 {
        let denominator = u128::from(self.base.denom.get());
        let product =
            u128::from(ticks.get()) * u128::from(self.base.numer.get()) * u128::from(self.rate_hz);
        u64::try_from((product + denominator / 2) / denominator).unwrap_or(u64::MAX)
    }

    /// Frames missing in front of `packet`; 0 where it follows on the last one.
    ///
    /// By a clock, the gap is taken as a whole number of packets where the stamps agree with that.
    pub(crate) fn gap_before(&self, packet: &Packet) -> u64 {
        let Some(expected) = self.expected.filter(|expected| packet.pts > *expected) else {
            return 0;
        };
        let frames = self.frames(packet.pts.abs_delta(expected));
        if self.stamps == Stamps::Samples {
            return frames;
        }
        let unit = self.last_frames.max(1);
        let least = u64::from(self.rate_hz) * LEAST_CLOCK_GAP_MS / 1000;
        if frames < (unit - unit / 4).max(least) {
            return 0;
        }
        let two_ticks = self.frames(Duration::new(2));
        let whole = (frames.saturating_add(unit / 2) / unit).saturating_mul(unit);
        if whole.abs_diff(frames) <= two_ticks { whole } else { frames }
    }

    /// Remembers where the packet after `packet` should start. `frames` is what was decoded of it,
    /// or what it should have held.
    pub(crate) fn pass(&mut self, packet: &Packet, frames: u64) {
        self.last_frames = frames;
        // What is trimmed in front is counted in different ways by the different readers.
        if self.stamps == Stamps::None || packet.trim_start.get() > 0 {
            self.expected = None;
            return;
        }
        let ticks = if self.stamps == Stamps::Samples || frames == 0 {
            Some(packet.dur)
        } else {
            let numerator = u128::from(frames) * u128::from(self.base.denom.get());
            let denominator = u128::from(self.base.numer.get()) * u128::from(self.rate_hz);
            u64::try_from(numerator / denominator).ok().map(Duration::new)
        };
        self.expected = ticks.and_then(|ticks| packet.pts.checked_add(ticks));
    }

    /// Takes the next packet as it comes, as after a gap that has been bridged.
    pub(crate) fn forget(&mut self) {
        self.expected = None;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn packet(pts: i64, dur: u64) -> Packet {
        Packet::new(0, Timestamp::new(pts), Duration::new(dur), Vec::new())
    }

    fn timeline(stamps: Stamps, ticks_per_s: u32) -> Timeline {
        let base = TimeBase::try_from_recip(ticks_per_s).unwrap();
        Timeline::new(stamps, base, 48_000)
    }

    #[test]
    fn sample_counts_show_the_smallest_gap() {
        let mut line = timeline(Stamps::Samples, 48_000);
        assert_eq!(line.gap_before(&packet(500, 4096)), 0);
        line.pass(&packet(500, 4096), 4096);
        assert_eq!(line.gap_before(&packet(4596, 4096)), 0);
        assert_eq!(line.gap_before(&packet(4597, 4096)), 1);
        assert_eq!(line.gap_before(&packet(4000, 4096)), 0);
    }

    /// 20 ms packets stamped in milliseconds by a clock that wanders.
    #[test]
    fn a_clock_shows_missing_packets_only() {
        let mut line = timeline(Stamps::Clock, 1000);
        line.pass(&packet(100, 0), 960);
        for scatter in [115, 119, 120, 121, 130, 134] {
            assert_eq!(line.gap_before(&packet(scatter, 0)), 0, "{scatter}");
        }
        // One packet missing, its stamp a millisecond off either way: 960 frames, not 912 or 1008.
        for late in [139, 140, 141] {
            assert_eq!(line.gap_before(&packet(late, 0)), 960, "{late}");
        }
        // Half a second, not a whole number of packets: what the clock says.
        assert_eq!(line.gap_before(&packet(610 + 20, 0)), 24_480);
    }

    #[test]
    fn no_stamps_no_gaps() {
        let mut line = timeline(Stamps::None, 48_000);
        line.pass(&packet(0, 1152), 1152);
        assert_eq!(line.gap_before(&packet(90_000, 1152)), 0);
    }
}
