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
}

/// How a packet stands to the one before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Step {
    /// It follows on.
    Follows,
    /// So many frames are missing between them.
    Gap(u64),
    /// Its time stamp lies before the end of the last one, or frames are missing and nobody knows
    /// how many: times on either side cannot be compared.
    Broken,
}

/// Follows the packets of one track.
#[derive(Debug)]
pub(crate) struct Timeline {
    stamps: Stamps,
    base: TimeBase,
    rate_hz: u32,
    expected: Option<Timestamp>,
    last_frames: u64,
    /// A packet of unknown length could not be decoded.
    lost: bool,
    /// The stamp of the packet at hand went back: where it should have been. One such stamp is taken
    /// for damage and not believed; two in a row are.
    instead: Option<Timestamp>,
}

impl Timeline {
    pub(crate) fn new(stamps: Stamps, base: TimeBase, rate_hz: u32) -> Self {
        let rate_hz = rate_hz.max(1);
        Self { stamps, base, rate_hz, expected: None, last_frames: 0, lost: false, instead: None }
    }

    /// Takes the first packet to start at this time stamp.
    pub(crate) fn start_at(&mut self, stamp: Timestamp) {
        self.expected = Some(stamp);
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

    /// How `packet` stands to the last one. The answer is given once: the packet counts as following
    /// on when it is asked for again.
    pub(crate) fn step_to(&mut self, packet: &Packet) -> Step {
        let lost = std::mem::take(&mut self.lost);
        let went_back = self.instead.take().is_some();
        let Some(expected) = self.expected.take() else {
            return if lost { Step::Broken } else { Step::Follows };
        };
        let distance = self.frames(packet.pts.abs_delta(expected));
        if packet.pts < expected {
            let back = distance > self.scatter();
            if back && !went_back {
                self.instead = Some(expected);
            }
            return if lost || back { Step::Broken } else { Step::Follows };
        }
        if distance > self.scatter() {
            return Step::Gap(self.whole_packets(distance));
        }
        match (lost, distance) {
            (false, _) => Step::Follows,
            (true, 0) => Step::Broken,
            (true, frames) => Step::Gap(self.whole_packets(frames)),
        }
    }

    /// Frames by which a stamp may be off without anything missing.
    fn scatter(&self) -> u64 {
        match self.stamps {
            Stamps::Samples => 0,
            Stamps::Clock => {
                let unit = self.last_frames;
                (unit - unit / 4).max(u64::from(self.rate_hz) * LEAST_CLOCK_GAP_MS / 1000)
            }
        }
    }

    /// A gap by a clock that rounds is taken as a whole number of packets where that agrees with it.
    fn whole_packets(&self, frames: u64) -> u64 {
        let unit = self.last_frames.max(1);
        let whole = (frames.saturating_add(unit / 2) / unit).saturating_mul(unit);
        let rounding = self.frames(Duration::new(2));
        if self.stamps == Stamps::Clock && whole > 0 && whole.abs_diff(frames) <= rounding {
            whole
        } else {
            frames
        }
    }

    /// Passes a packet of which `frames` were decoded. The next one should start at its end.
    pub(crate) fn pass(&mut self, packet: &Packet, frames: u64) {
        self.last_frames = frames;
        let start = self.instead.unwrap_or(packet.pts);
        // What is trimmed in front is counted in different ways by the different readers.
        if packet.trim_start.get() > 0 {
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
        self.expected = ticks.and_then(|ticks| start.checked_add(ticks));
    }

    /// Passes a packet that could not be decoded. Gives the frames that it should have held, or
    /// `None` where only the next packet's stamp can tell.
    pub(crate) fn pass_lost(&mut self, packet: &Packet) -> Option<u64> {
        let start = self.instead.unwrap_or(packet.pts);
        if packet.dur.get() == 0 {
            self.lost = true;
            self.expected = Some(start);
            return None;
        }
        self.expected = start.checked_add(packet.dur);
        let frames = self.frames(packet.dur);
        // A clock's lengths scatter; packets as a rule are as long as the one before.
        let usual = self.stamps == Stamps::Clock
            && frames.abs_diff(self.last_frames) <= self.last_frames / 4;
        Some(if usual { self.last_frames } else { frames })
    }

    /// Whether a lost packet's length is still unknown.
    pub(crate) fn is_broken(&self) -> bool {
        self.lost
    }

    /// Takes the next packet as it comes.
    pub(crate) fn forget(&mut self) {
        self.expected = None;
        self.lost = false;
        self.instead = None;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn packet(pts: i64, dur: u64) -> Packet {
        Packet::new(0, Timestamp::new(pts), Duration::new(dur), Vec::new())
    }

    /// How a packet at `next` stands to one of `frames` frames at `pts`.
    fn step(stamps: Stamps, ticks_per_s: u32, (pts, frames): (i64, u64), next: i64) -> Step {
        let mut line =
            Timeline::new(stamps, TimeBase::try_from_recip(ticks_per_s).unwrap(), 48_000);
        line.pass(&packet(pts, if stamps == Stamps::Samples { frames } else { 0 }), frames);
        line.step_to(&packet(next, 0))
    }

    #[test]
    fn sample_counts_show_the_smallest_gap() {
        let after = |next| step(Stamps::Samples, 48_000, (500, 4096), next);
        assert_eq!(after(4596), Step::Follows);
        assert_eq!(after(4597), Step::Gap(1));
        assert_eq!(after(4595), Step::Broken);
    }

    /// 20 ms packets stamped in milliseconds by a clock that wanders.
    #[test]
    fn a_clock_shows_missing_packets_only() {
        let after = |next| step(Stamps::Clock, 1000, (100, 960), next);
        for scatter in [106, 115, 119, 120, 121, 130, 134] {
            assert_eq!(after(scatter), Step::Follows, "{scatter}");
        }
        // One packet missing, its stamp a millisecond off either way: 960 frames, not 912 or 1008.
        for late in [139, 140, 141] {
            assert_eq!(after(late), Step::Gap(960), "{late}");
        }
        // Half a second and 10 ms, not a whole number of packets: what the clock says.
        assert_eq!(after(630), Step::Gap(24_480));
        assert_eq!(after(80), Step::Broken);
    }

    /// One stamp that goes back is not believed; when the next one does too, they are.
    #[test]
    fn one_stamp_that_goes_back() {
        let mut line =
            Timeline::new(Stamps::Clock, TimeBase::try_from_recip(1000).unwrap(), 48_000);
        let mut steps = Vec::new();
        for stamp in [0, 20, 3, 60, 80, 10, 30, 50] {
            steps.push(line.step_to(&packet(stamp, 0)));
            line.pass(&packet(stamp, 0), 960);
        }
        use Step::{Broken, Follows};
        let expected = [Follows, Follows, Broken, Follows, Follows, Broken, Broken, Follows];
        assert_eq!(steps, expected);
    }

    /// A packet of unknown length that could not be decoded: the next one's stamp tells.
    #[test]
    fn the_stamp_behind_a_lost_packet_tells_its_length() {
        let mut line =
            Timeline::new(Stamps::Clock, TimeBase::try_from_recip(1000).unwrap(), 48_000);
        line.pass(&packet(0, 0), 480);
        assert_eq!(line.pass_lost(&packet(10, 0)), None);
        assert!(line.is_broken());
        assert_eq!(line.step_to(&packet(21, 0)), Step::Gap(480));
        assert!(!line.is_broken());
        assert_eq!(line.pass_lost(&packet(21, 10)), Some(480));
    }
}
