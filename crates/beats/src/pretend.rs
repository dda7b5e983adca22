//! Beats as stretches of sound would give them, made up for tests.

use crate::account::{Listened, account_for};
use crate::faint_unlocking::Span;
use crate::listener::Detail;
use crate::quiet::Quiet;
use crate::reading::Reading;
use crate::settings::Settings;
use crate::stretch::{Heard, HeardBeat, Picture};
use crate::tracks::Tracks;

/// A balance that runs from `from_s` to `to_s`.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Pretend {
    pub(crate) period_s: f64,
    /// Relative growth of the period a second.
    pub(crate) slowing_per_s: f64,
    /// When beat 0 falls, seconds.
    pub(crate) offset_s: f64,
    /// How much later tocks come than the middle between ticks, seconds.
    pub(crate) tock_late_s: f64,
    pub(crate) jitter_s: f64,
    /// Semi-amplitude of a wave in the timing, seconds, and its period.
    pub(crate) ripple_s: (f64, f64),
    /// Unlocking to drop, seconds.
    pub(crate) span_s: f64,
    /// Where only the averaged beat shows that: how far it may be off, seconds.
    pub(crate) faint_sd_s: Option<f64>,
    pub(crate) from_s: f64,
    pub(crate) to_s: f64,
    pub(crate) strength: f64,
}

impl Default for Pretend {
    /// 28,800 beats per hour for an hour.
    fn default() -> Self {
        Self {
            period_s: 0.25,
            slowing_per_s: 0.0,
            offset_s: 0.05,
            tock_late_s: 0.4e-3,
            jitter_s: 30e-6,
            ripple_s: (0.0, 60.0),
            span_s: 7.6e-3,
            faint_sd_s: None,
            from_s: 0.0,
            to_s: 3_600.0,
            strength: 1.0,
        }
    }
}

/// Chances for tests: SplitMix64 (Steele, Lea and Flood 2014).
#[derive(Debug, Clone)]
pub(crate) struct Chances(pub(crate) u64);

/// Scrambles a number into one that shares nothing with its neighbours'.
fn scrambled(number: u64) -> u64 {
    let z = (number ^ (number >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

impl Chances {
    /// Evenly from 0 to 1.
    pub(crate) fn even(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        (scrambled(self.0) >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Normal, by the sum of twelve (Irwin and Hall): near enough within three deviations.
    pub(crate) fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.even()).sum::<f64>() - 6.0
    }
}

impl Pretend {
    /// Steady time of a beat, ticks even.
    pub(crate) fn steady_s(&self, beat: i64) -> f64 {
        let n = 0.5 * beat as f64;
        let even = self.offset_s + n * self.period_s;
        let slow = 0.5 * self.slowing_per_s * (n * self.period_s) * (n * self.period_s);
        let side = if beat.rem_euclid(2) == 0 { -0.5 } else { 0.5 };
        let wave = (std::f64::consts::TAU * even / self.ripple_s.1).sin();
        even + slow + side * self.tock_late_s + self.ripple_s.0 * wave
    }

    /// Numbers of the beats that fall within a time.
    pub(crate) fn beats_within(&self, from_s: f64, to_s: f64) -> std::ops::Range<i64> {
        let (from_s, to_s) = (from_s.max(self.from_s), to_s.min(self.to_s));
        let near = |t: f64| {
            let mut n = (2.0 * (t - self.offset_s) / self.period_s) as i64;
            while self.steady_s(n) >= t {
                n -= 1;
            }
            while self.steady_s(n) < t {
                n += 1;
            }
            n
        };
        if to_s <= from_s { 0..0 } else { near(from_s)..near(to_s) }
    }

    /// Time with jitter, the same however often it is asked for.
    pub(crate) fn time_s(&self, beat: i64) -> f64 {
        let own = self.offset_s.to_bits() ^ self.period_s.to_bits().rotate_left(20);
        let mut chances = Chances(scrambled(own ^ scrambled(beat as u64)));
        self.steady_s(beat) + self.jitter_s * chances.normal()
    }

    /// What a stretch hears of it: a share `missed` of the beats not at all, beats counted from
    /// `count_from`, all times later by `later_s`. `None` for fewer than four beats.
    pub(crate) fn heard(
        &self,
        stretch_s: (f64, f64),
        count_from: i64,
        missed: f64,
        later_s: f64,
        chances: &mut Chances,
    ) -> Option<Heard> {
        let start_s = stretch_s.0;
        let beats: Vec<HeardBeat> = self
            .beats_within(start_s + 0.03, stretch_s.1 - 0.03)
            .filter(|_| chances.even() >= missed)
            .map(|n| HeardBeat {
                turn: (n - count_from).div_euclid(2),
                is_tock: (n - count_from).rem_euclid(2) == 1,
                time_s: self.time_s(n) - start_s + later_s,
                unlocking_to_drop_s: self.faint_sd_s.is_none().then_some(self.span_s),
                residual_s: 0.0,
                used: true,
                loudness: 1.0,
            })
            .collect();
        let (first, last) = (beats.first()?, beats.last()?);
        if beats.len() < 4 {
            return None;
        }
        let picture = Picture {
            step_s: 1e-4,
            origin: 50.0,
            mean: vec![0.5; 101],
            spread: vec![0.1; 101],
            marks_s: [Some(-0.5 * self.span_s), None, Some(0.5 * self.span_s)],
            beats: beats.len() / 2,
        };
        Some(Heard {
            period_s: self.period_s * (1.0 + self.slowing_per_s * start_s),
            running_s: (first.time_s, last.time_s),
            signal_to_noise_db: 30.0,
            onset_sd_s: 0.0,
            span_sd_s: 0.0,
            faint_span: self.faint_sd_s.map(|sd| Span { length: self.span_s, sd }),
            pictures: [picture.clone(), picture],
            strength: self.strength,
            shocks: 3,
            scatter_s: self.jitter_s,
            width_s: 2e-3,
            blended: false,
            changing: false,
            parted: false,
            may_be_two: false,
            period_doubt_relative: 0.0,
            beats,
        })
    }
}

/// Length and overlap of stretches, as the listener has them.
pub(crate) const STRETCH_S: f64 = 60.0;
pub(crate) const STEP_S: f64 = 59.0;

/// Hears all balances stretch by stretch up to `duration_s`, counting anew in every one.
pub(crate) fn listen(all: &[Pretend], duration_s: f64, missed: f64, seed: u64) -> Tracks {
    let mut chances = Chances(seed);
    let mut tracks = Tracks::default();
    let mut start_s = 0.0;
    while start_s + 1.0 < duration_s {
        let stretch = (start_s, (start_s + STRETCH_S).min(duration_s));
        let heard = all
            .iter()
            .filter_map(|one| {
                let count_from =
                    (chances.even() * 600.0) as i64 - 300 + (2.0 * start_s / one.period_s) as i64;
                one.heard(stretch, count_from, missed, 0.0, &mut chances)
            })
            .collect();
        tracks.add(heard, start_s);
        start_s += STEP_S;
    }
    tracks
}

/// The reading of balances heard so.
pub(crate) fn read(
    all: &[Pretend],
    duration_s: f64,
    missed: f64,
    seed: u64,
    settings: &Settings,
) -> Reading {
    let tracks = listen(all, duration_s, missed, seed);
    let heard = Listened {
        tracks: tracks.believed(),
        duration_s,
        by_pickups: false,
        clipped: 0,
        quiet: &Quiet::default(),
        breaks: &[],
    };
    account_for(&heard, settings, Detail::Whole)
}
