//! The balance's swing, and the instants at which it makes the escapement sound.
//!
//! The balance turns as `theta = eps + A sin(psi)` about a rest position that is `eps` off the
//! line of centres; `psi` grows by a full turn in two beats. In a beat numbered evenly (a tick)
//! it swings up, in an odd one (a tock) down. Against the swing's direction, unlocking is at
//! `-lift/2`, the line of centres at 0, drop at `+lift/2`. Solving for the instants gives
//! `A = lift / (2 sin(pi dt/T))` and a half-difference of intervals of `(T/pi) asin(eps/A)`.

use crate::balance::Balance;
use crate::draws::{Draws, Purpose};
use crate::voice::Angles;
use crate::watch_time::{WatchTime, Wave};
use std::f64::consts::PI;

/// Which of the two kinds of beat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Side {
    /// Beats numbered evenly.
    Tick,
    /// The others.
    Tock,
}

/// One beat as it was laid down. Times are true seconds from the first sample, at the source
/// (the delay of a path comes on top).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LaidBeat {
    /// Its number; the tick near the balance's `offset_s` is 0, earlier ones are negative.
    pub index: i64,
    /// Tick or tock.
    pub side: Side,
    /// Time of the beat: the balance passes the line of centres.
    pub time_s: f64,
    /// The same without jitter.
    pub steady_time_s: f64,
    /// The same with neither jitter nor beat error: evenly spaced but for rate and ripple.
    pub even_time_s: f64,
    /// Amplitude of this swing, degrees.
    pub amplitude_deg: f64,
    /// Beat error that this beat's slow-course amplitude gives the rest position, ms, signed.
    pub beat_error_ms: f64,
    /// Unlocking sets in.
    pub unlocking_s: f64,
    /// The tooth meets the impulse face after its recoil.
    pub recoil_s: f64,
    /// The impulse to the balance sets in.
    pub impulse_s: f64,
    /// The next tooth drops on the locking face.
    pub drop_s: f64,
    /// The fork reaches its banking.
    pub banking_s: f64,
    /// Factor on the loudness, 1 on average.
    pub loudness: f64,
}

impl LaidBeat {
    /// The five shocks in order: unlocking, recoil, impulse, drop, banking.
    #[must_use]
    pub fn shocks_s(&self) -> [f64; 5] {
        [self.unlocking_s, self.recoil_s, self.impulse_s, self.drop_s, self.banking_s]
    }
}

/// Works out any beat of a balance from its number alone.
#[derive(Debug, Clone)]
pub(crate) struct Swing {
    watch: WatchTime,
    beat_s: f64,
    shown_at_zero: f64,
    amplitude_deg: f64,
    amplitude_change_deg_per_s: f64,
    amplitude_waves: Vec<Wave>,
    amplitude_sd_deg: f64,
    lowest_amplitude_deg: f64,
    rest_off_deg: f64,
    half_lift_deg: f64,
    angles: [Angles; 2],
    jitter_s: f64,
    loudness_sd: f64,
    seed: u64,
    place: u64,
}

impl Swing {
    pub(crate) fn new(balance: &Balance, seed: u64, place: usize) -> Self {
        let watch = WatchTime::of(balance);
        let half_lift_deg = balance.lift_deg / 2.0;
        let rest_off_deg = rest_off_deg(balance);
        let angles = balance.voice.angles();
        Self {
            shown_at_zero: balance.offset_s + watch.ahead_s(balance.offset_s),
            watch,
            beat_s: 3_600.0 / balance.beats_per_hour,
            amplitude_deg: balance.amplitude_deg,
            amplitude_change_deg_per_s: balance.amplitude_change_deg_per_h / 3_600.0,
            amplitude_waves: balance
                .amplitude_ripple_deg
                .iter()
                .map(|r| Wave::of(r, 1.0))
                .collect(),
            amplitude_sd_deg: balance.amplitude_sd_deg,
            lowest_amplitude_deg: least_amplitude_deg(balance),
            rest_off_deg,
            half_lift_deg,
            angles,
            jitter_s: balance.jitter_us * 1e-6,
            loudness_sd: balance.loudness_sd,
            seed,
            place: place as u64,
        }
    }

    /// Amplitude without its spread from beat to beat, degrees.
    fn slow_amplitude_deg(&self, t: f64) -> f64 {
        (self.amplitude_deg
            + self.amplitude_change_deg_per_s * t
            + self.amplitude_waves.iter().map(|w| w.at(t)).sum::<f64>())
        .max(self.lowest_amplitude_deg)
    }

    /// A number that no beat at or after this time falls short of.
    pub(crate) fn first_index_from(&self, t: f64) -> i64 {
        ((t + self.watch.ahead_s(t) - self.shown_at_zero) / self.beat_s).floor() as i64 - 2
    }

    /// The stream of a beat's own chances; its first draws belong to [`Swing::beat`].
    fn draws(&self, index: i64) -> Draws {
        Draws::keyed(self.seed, Purpose::Beat, self.place, index as u64)
    }

    /// The beat with this number, and what is left of its stream of chances.
    pub(crate) fn beat(&self, index: i64) -> (LaidBeat, Draws) {
        let mut draws = self.draws(index);
        let even_s = self.watch.when(self.shown_at_zero + index as f64 * self.beat_s);
        let radians_per_s = PI / self.beat_s * self.watch.speed(even_s);
        let (side, direction) =
            if index.rem_euclid(2) == 0 { (Side::Tick, 1.0) } else { (Side::Tock, -1.0) };

        // The rest position shifts the passage through the centre; the spread of the amplitude
        // from beat to beat is left out of it, so that the jitter is what the scenario says.
        let slow_deg = self.slow_amplitude_deg(even_s);
        let off = direction * self.rest_off_deg;
        let shift_s = -libm::asin(off / slow_deg) / radians_per_s;
        let steady_time_s = even_s + shift_s;
        let time_s = steady_time_s + self.jitter_s * draws.normal();

        let amplitude_deg =
            (slow_deg + self.amplitude_sd_deg * draws.normal()).max(self.lowest_amplitude_deg);
        let psi_at = |angle_deg: f64| libm::asin((angle_deg - off) / amplitude_deg);
        let centre = psi_at(0.0);
        let at = |angle_deg: f64| time_s + (psi_at(angle_deg) - centre) / radians_per_s;
        let a = self.angles[side as usize];
        let beat = LaidBeat {
            index,
            side,
            time_s,
            steady_time_s,
            even_time_s: even_s,
            amplitude_deg,
            beat_error_ms: 2e3 * libm::asin(self.rest_off_deg / slow_deg) / radians_per_s,
            unlocking_s: at(-self.half_lift_deg),
            recoil_s: at(-self.half_lift_deg + a.recoil * 2.0 * self.half_lift_deg),
            impulse_s: at(-self.half_lift_deg + a.impulse * 2.0 * self.half_lift_deg),
            drop_s: at(self.half_lift_deg),
            banking_s: at(self.half_lift_deg + a.banking_deg),
            loudness: libm::exp(self.loudness_sd * (draws.normal() - 0.5 * self.loudness_sd)),
        };
        (beat, draws)
    }
}

/// How far the rest position is off the line of centres, degrees, for the balance's beat error
/// at its starting amplitude: `half difference = (T/pi) asin(eps/A)`, T the time of two beats.
pub(crate) fn rest_off_deg(balance: &Balance) -> f64 {
    let oscillation_s = 7_200.0 / balance.beats_per_hour;
    balance.amplitude_deg * libm::sin(PI * balance.beat_error_ms * 1e-3 / oscillation_s)
}

/// The lowest amplitude at which the balance passes all the angles at which it sounds, with a
/// fiftieth to spare.
pub(crate) fn least_amplitude_deg(balance: &Balance) -> f64 {
    let banking = balance.voice.angles().map(|a| a.banking_deg);
    1.02 * (balance.lift_deg / 2.0 + banking[0].max(banking[1]) + rest_off_deg(balance).abs())
}

/// The beats of one balance within the recording, in order.
#[derive(Debug, Clone)]
pub struct LaidBeats {
    swing: Swing,
    next: i64,
    from_s: f64,
    until_s: f64,
}

impl LaidBeats {
    /// Those whose steady time lies within the recording and while the balance runs.
    pub(crate) fn new(swing: Swing, balance: &Balance, true_duration_s: f64) -> Self {
        let from_s = balance.starts_at_s.unwrap_or(0.0).max(0.0);
        let until_s = balance.stops_at_s.unwrap_or(f64::INFINITY).min(true_duration_s);
        Self { next: swing.first_index_from(from_s), swing, from_s, until_s }
    }
}

impl Iterator for LaidBeats {
    type Item = LaidBeat;

    fn next(&mut self) -> Option<LaidBeat> {
        loop {
            let (beat, _) = self.swing.beat(self.next);
            if beat.steady_time_s >= self.until_s {
                return None;
            }
            self.next += 1;
            if beat.steady_time_s >= self.from_s {
                return Some(beat);
            }
        }
    }
}
