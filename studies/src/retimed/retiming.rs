//! What is laid down in one recording of retimed ticks, drawn from its seed, and its sound.

use super::timepiece::{Piece, Timepiece};
use crate::draws::Draws;
use quantities::SECONDS_PER_DAY;
use truth::{Noise, Scenario, ScenarioError, Sound};

/// Beats per hour that ticks are laid down at.
const BEATS_PER_HOUR: [u32; 6] = [18_000, 19_800, 21_600, 25_200, 28_800, 36_000];
/// Balances whose beats are to stay apart keep this lag.
const LEAST_LAG_S: f64 = 20e-3;

/// The kinds of recording.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// One tick and one tock, over and over.
    Same,
    /// All ticks and tocks that were found, in any order.
    Every,
    /// One tick, which is the tock as well.
    TickOnly,
    /// Two balances, lag over 20 ms throughout.
    Apart,
    /// Two balances whose beats run through each other.
    Crossing,
    /// Two balances of different beat.
    Mixed,
}

impl Kind {
    pub(super) const ALL: [Self; 6] =
        [Self::Same, Self::Every, Self::TickOnly, Self::Apart, Self::Crossing, Self::Mixed];

    pub(super) fn name(self) -> &'static str {
        match self {
            Self::Same => "one tick and one tock",
            Self::Every => "every tick and tock",
            Self::TickOnly => "tock like tick",
            Self::Apart => "two, apart",
            Self::Crossing => "two, crossing",
            Self::Mixed => "two, different beat",
        }
    }

    fn is_of_two(self) -> bool {
        matches!(self, Self::Apart | Self::Crossing | Self::Mixed)
    }
}

/// Noise laid under the ticks, beside what came with them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Under {
    /// Nothing: silence between the ticks.
    Nothing,
    /// The first recording's own background, at its own level.
    Own,
    /// Pink noise of a room and white noise of a recorder, dB rms against full scale.
    Room { pink_db: f64, white_db: f64 },
}

/// One balance made of a recording's ticks.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Laid {
    /// Which timepiece.
    pub(super) of: usize,
    pub(super) beats_per_hour: f64,
    pub(super) rate_s_per_d: f64,
    /// Half the difference of the two intervals, ms, of the instants laid down.
    pub(super) beat_error_ms: f64,
    pub(super) jitter_us: f64,
    pub(super) loudness: f64,
    pub(super) loudness_sd: f64,
    pub(super) piece_s: f64,
    /// Whether all beats that were found are laid down, in any order; else one of each side.
    pub(super) every: bool,
    pub(super) first_s: f64,
}

/// One recording.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Retiming {
    pub(super) seed: u64,
    pub(super) kind: Kind,
    pub(super) sample_rate_hz: u32,
    pub(super) duration_s: f64,
    pub(super) under: Under,
    pub(super) balances: Vec<Laid>,
}

impl Laid {
    /// Seconds from beat to beat.
    pub(super) fn interval_s(&self) -> f64 {
        3_600.0 / self.beats_per_hour / (1.0 + self.rate_s_per_d / SECONDS_PER_DAY)
    }

    /// How many beats fall within so many seconds.
    pub(super) fn count(&self, duration_s: f64) -> u64 {
        ((duration_s - self.first_s) / self.interval_s()).max(0.0).ceil() as u64
    }
}

impl Retiming {
    /// The recording of a seed, made of so many timepieces. Kinds take turns, timepieces too.
    pub(super) fn draw(seed: u64, timepieces: usize) -> Self {
        let mut d = Draws::new("retimed", seed);
        let kind = Kind::ALL[(seed % Kind::ALL.len() as u64) as usize];
        let of = (seed / Kind::ALL.len() as u64) as usize % timepieces.max(1);
        let sample_rate_hz = d.pick(&[44_100, 48_000]);
        let under = match d.word() % 3 {
            0 => Under::Nothing,
            1 => Under::Own,
            _ => {
                Under::Room { pink_db: d.between(-75.0, -45.0), white_db: d.between(-80.0, -55.0) }
            }
        };
        let mut duration_s = d.between(20.0, 60.0).round();
        if kind == Kind::Crossing {
            duration_s = duration_s.max(40.0);
        }
        let every = kind == Kind::Every || (kind.is_of_two() && d.chance(0.5));
        let mut balances = vec![balance(&mut d, of, every)];
        if kind.is_of_two() {
            let other =
                (of + 1 + (d.word() % (timepieces.max(2) as u64 - 1)) as usize) % timepieces.max(1);
            let first = balances[0].clone();
            balances.push(beside(&mut d, kind, &first, other, duration_s));
        }
        Self { seed, kind, sample_rate_hz, duration_s, under, balances }
    }

    /// Its sound.
    pub(super) fn sound(&self, timepieces: &[Timepiece]) -> Result<Vec<f32>, ScenarioError> {
        let rate_hz = f64::from(self.sample_rate_hz);
        let mut sound = vec![0.0f32; (self.duration_s * rate_hz) as usize];
        let mut d = Draws::new("retimed sound", self.seed);
        match self.under {
            Under::Nothing => {}
            Under::Own => {
                let first = &self.balances[0];
                timepieces[first.of]
                    .lay_background(&mut sound, rate_hz, first.loudness, || d.unit());
            }
            Under::Room { pink_db, white_db } => {
                let scenario = Scenario::new(d.word())
                    .with_duration_s(self.duration_s)
                    .with_sample_rate_hz(self.sample_rate_hz)
                    .with_noise(Noise::Pink { rms_db: pink_db })
                    .with_noise(Noise::White { rms_db: white_db });
                Sound::new(&scenario)?.fill(&mut sound);
            }
        }
        for balance in &self.balances {
            let timepiece = &timepieces[balance.of];
            let counts = timepiece.counts();
            let pieces: [Vec<Piece>; 2] = [0, 1].map(|side| {
                let from = if self.kind == Kind::TickOnly { 0 } else { side };
                let count = if balance.every { counts[from] } else { 1 };
                (0..count).map(|n| timepiece.piece(from, n, balance.piece_s)).collect()
            });
            for n in 0..balance.count(self.duration_s) {
                let side = (n % 2) as usize;
                let late_s = if side == 1 { 1e-3 * balance.beat_error_ms } else { 0.0 };
                let jitter_s = 1e-6 * balance.jitter_us * d.normal();
                let at_s = balance.first_s + n as f64 * balance.interval_s() + late_s + jitter_s;
                let gain = balance.loudness * (1.0 + balance.loudness_sd * d.normal());
                let which = d.word() as usize % pieces[side].len();
                pieces[side][which].lay(&mut sound, rate_hz, at_s, gain);
            }
        }
        Ok(sound)
    }
}

fn balance(d: &mut Draws, of: usize, every: bool) -> Laid {
    let beats_per_hour = f64::from(d.pick(&BEATS_PER_HOUR));
    let interval_s = 3_600.0 / beats_per_hour;
    Laid {
        of,
        beats_per_hour,
        rate_s_per_d: d.between(-60.0, 60.0),
        beat_error_ms: d.between(-3.0, 3.0),
        jitter_us: d.between(0.0, 50.0),
        loudness: d.between(0.2, 0.6),
        loudness_sd: d.between(0.0, 0.08),
        // Real ticks ring for as long as their rooms do: cut, so that beats do not overlap.
        piece_s: d.between(40e-3, 60e-3f64.min(0.55 * interval_s)),
        every,
        first_s: d.between(0.0, interval_s),
    }
}

/// A second balance beside the first, as the kind asks.
fn beside(d: &mut Draws, kind: Kind, first: &Laid, of: usize, duration_s: f64) -> Laid {
    let mut other = balance(d, of, first.every);
    other.loudness = first.loudness * d.between(0.5, 1.5);
    if kind == Kind::Mixed {
        while other.beats_per_hour == first.beats_per_hour {
            other.beats_per_hour = f64::from(d.pick(&BEATS_PER_HOUR));
        }
        other.piece_s = other.piece_s.min(0.55 * 3_600.0 / other.beats_per_hour);
        return other;
    }
    other.beats_per_hour = first.beats_per_hour;
    let sign = if first.rate_s_per_d > 0.0 { -1.0 } else { 1.0 };
    let least = if kind == Kind::Crossing { 20.0 } else { 5.0 };
    let interval_s = first.interval_s();
    loop {
        let apart = d.between(least, 60.0);
        other.rate_s_per_d = first.rate_s_per_d + sign * apart;
        // How much later the other comes at the end than it did at the start.
        let slips_s = -sign * apart / SECONDS_PER_DAY * duration_s;
        let lag_s = if kind == Kind::Crossing {
            -slips_s * d.between(0.3, 0.7)
        } else {
            d.between(LEAST_LAG_S, interval_s - LEAST_LAG_S)
        };
        let late_s = 1e-3 * (first.beat_error_ms.abs() + other.beat_error_ms.abs());
        let inside =
            |lag: f64| lag > LEAST_LAG_S + late_s && lag < interval_s - LEAST_LAG_S - late_s;
        if kind == Kind::Crossing || (inside(lag_s) && inside(lag_s + slips_s)) {
            other.first_s = (first.first_s + lag_s).rem_euclid(2.0 * interval_s);
            return other;
        }
        if kind == Kind::Apart {
            other.beat_error_ms *= 0.8;
        }
    }
}
