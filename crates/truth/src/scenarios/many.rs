use super::{Family, draws, fair_balance, own_seed};
use crate::balance::{Balance, Path};
use crate::draws::Draws;
use crate::noise::Noise;
use crate::scenario::Scenario;
use crate::voice::Voice;

/// Two balances of one beat, as far as a study wants to choose; the seed draws the rest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TwoBalances {
    /// Nominal beats per hour of both. Default 28,800.
    pub beats_per_hour: f64,
    /// How long after a beat of the first a beat of the second falls, ms, in the middle of the
    /// recording and without beat error and jitter; whether like sides fall together is drawn.
    pub lag_ms: f64,
    /// Rate of the second minus rate of the first, s/d.
    pub rate_difference_s_per_d: f64,
    /// By how much the second is fainter, dB.
    pub fainter_db: f64,
    /// Length, seconds. Default 30.
    pub duration_s: f64,
    /// White noise, dB against full scale; the first balance peaks at −6 dB. Default −52.
    pub noise_rms_db: f64,
    /// Timing jitter of both, µs. Default 30.
    pub jitter_us: f64,
}

impl Default for TwoBalances {
    fn default() -> Self {
        Self {
            beats_per_hour: 28_800.0,
            lag_ms: 30.0,
            rate_difference_s_per_d: 5.0,
            fainter_db: 0.0,
            duration_s: 30.0,
            noise_rms_db: -52.0,
            jitter_us: 30.0,
        }
    }
}

/// Two balances of one movement, as chosen. The same seed draws the same two balances whatever
/// lag, rate difference and loudness are chosen, so that a map varies nothing else.
#[must_use]
pub fn two(choice: &TwoBalances, seed: u64) -> Scenario {
    let mut d = draws(Family::Many, 1, seed);
    let mut balances =
        [(); 2].map(|()| Balance { loudness: 0.5, ..fair_balance(&mut d, choice.beats_per_hour) });
    set_apart(&mut balances, choice, &mut d);
    finish(balances.into(), choice, &mut d)
}

/// Brings two balances to the chosen lag, rate difference and loudness.
fn set_apart(balances: &mut [Balance; 2], choice: &TwoBalances, d: &mut Draws) {
    let beat_s = 3_600.0 / choice.beats_per_hour;
    let middle_s = 0.5 * choice.duration_s + d.between(0.0, 2.0 * beat_s);
    let unlike_sides = if d.chance(0.5) { beat_s } else { 0.0 };
    let middle_rate = 0.3 * balances[0].rate_s_per_d;
    let [one, other] = balances;
    one.offset_s = middle_s;
    other.offset_s = middle_s + choice.lag_ms * 1e-3 + unlike_sides;
    one.rate_s_per_d = middle_rate - 0.5 * choice.rate_difference_s_per_d;
    other.rate_s_per_d = middle_rate + 0.5 * choice.rate_difference_s_per_d;
    other.loudness = one.loudness * libm::pow(10.0, -choice.fainter_db / 20.0);
    one.jitter_us = choice.jitter_us;
    other.jitter_us = choice.jitter_us;
}

fn finish(balances: Vec<Balance>, choice: &TwoBalances, d: &mut Draws) -> Scenario {
    Scenario {
        balances,
        duration_s: choice.duration_s,
        noises: vec![Noise::White { rms_db: choice.noise_rms_db }],
        ..Scenario::new(own_seed(d))
    }
}

/// Two balances whose beats run through each other about half way. 60 s.
#[must_use]
pub fn crossing(seed: u64) -> Scenario {
    let mut d = draws(Family::Many, 2, seed);
    let choice = TwoBalances {
        lag_ms: d.between(-3.0, 3.0),
        rate_difference_s_per_d: d.between(30.0, 60.0) * if d.chance(0.5) { 1.0 } else { -1.0 },
        duration_s: 60.0,
        ..TwoBalances::default()
    };
    two(&choice, seed)
}

/// Two balances of which the second is 6 to 11 dB fainter, their beats well apart. 40 s.
#[must_use]
pub fn faint_second(seed: u64) -> Scenario {
    let mut d = draws(Family::Many, 3, seed);
    let choice = TwoBalances {
        lag_ms: d.between(22.0, 58.0),
        rate_difference_s_per_d: d.between(4.0, 20.0) * if d.chance(0.5) { 1.0 } else { -1.0 },
        fainter_db: d.between(6.0, 11.0),
        duration_s: 40.0,
        ..TwoBalances::default()
    };
    two(&choice, seed)
}

/// Two balances that keep one rate and a constant phase, their beats well apart. 40 s.
#[must_use]
pub fn locked(seed: u64) -> Scenario {
    let mut d = draws(Family::Many, 4, seed);
    let choice = TwoBalances {
        lag_ms: d.between(18.0, 58.0),
        rate_difference_s_per_d: 0.0,
        fainter_db: d.between(0.0, 3.0),
        duration_s: 40.0,
        ..TwoBalances::default()
    };
    two(&choice, seed)
}

/// Two balances that beat together, so that nobody can hear that there are two: beats within
/// 0.3 ms of each other, rates within 0.3 s/d, equally loud and of one voice. 30 s.
#[must_use]
pub fn together(seed: u64) -> Scenario {
    let mut d = draws(Family::Many, 5, seed);
    let choice = TwoBalances {
        lag_ms: d.between(-0.25, 0.25),
        rate_difference_s_per_d: d.between(-0.3, 0.3),
        ..TwoBalances::default()
    };
    let mut scenario = two(&choice, seed);
    let voice = scenario.balances[0].voice;
    let first = scenario.balances[0].clone();
    let second = &mut scenario.balances[1];
    // Like sides fall together and sound alike; amplitudes are near each other.
    let beats_apart =
        ((second.offset_s - first.offset_s) * choice.beats_per_hour / 3_600.0).round();
    second.offset_s -= beats_apart * 3_600.0 / choice.beats_per_hour;
    second.voice = voice;
    second.lift_deg = first.lift_deg;
    second.beat_error_ms = first.beat_error_ms + d.between(-0.05, 0.05);
    second.amplitude_deg = first.amplitude_deg + d.between(-5.0, 5.0);
    scenario
}

/// Two balances of different beat. 40 s.
#[must_use]
pub fn mixed_beats(seed: u64) -> Scenario {
    let mut d = draws(Family::Many, 6, seed);
    let (one, other) = d.pick(&[(28_800.0, 21_600.0), (28_800.0, 18_000.0), (21_600.0, 18_000.0)]);
    let balances = vec![fair_balance(&mut d, one), fair_balance(&mut d, other)];
    finish(balances, &TwoBalances { duration_s: 40.0, ..TwoBalances::default() }, &mut d)
}

/// Three balances of one beat, their beats well apart. 60 s.
#[must_use]
pub fn three(seed: u64) -> Scenario {
    let mut d = draws(Family::Many, 7, seed);
    let beats_per_hour = d.pick(&[21_600.0, 28_800.0]);
    let third_s = 3_600.0 / beats_per_hour / 3.0;
    let start_s = d.between(0.0, 2.0 * third_s);
    let first_rate = d.between(-8.0, 8.0);
    let balances = (0..3)
        .map(|i| {
            let i = f64::from(i);
            Balance {
                offset_s: start_s + third_s * (i + d.between(-0.1, 0.1)),
                rate_s_per_d: first_rate + (i - 1.0) * d.between(2.0, 6.0),
                loudness: d.between(0.3, 0.5),
                ..fair_balance(&mut d, beats_per_hour)
            }
        })
        .collect();
    finish(balances, &TwoBalances { duration_s: 60.0, ..TwoBalances::default() }, &mut d)
}

/// Two balances with a pickup at each: two channels, 8 to 14 dB of cross-talk that comes a
/// little later, beats 1 to 4 ms apart. 40 s.
#[must_use]
pub fn two_pickups(seed: u64) -> Scenario {
    let mut d = draws(Family::Many, 8, seed);
    let choice = TwoBalances {
        lag_ms: d.between(1.0, 4.0),
        rate_difference_s_per_d: d.between(3.0, 10.0) * if d.chance(0.5) { 1.0 } else { -1.0 },
        duration_s: 40.0,
        ..TwoBalances::default()
    };
    let mut scenario = two(&choice, seed).with_channels(2);
    let cross_talk = libm::pow(10.0, -d.between(8.0, 14.0) / 20.0);
    for (near, balance) in scenario.balances.iter_mut().enumerate() {
        let mut paths = vec![Path { gain: cross_talk, delay_ms: d.between(0.01, 0.08) }; 2];
        paths[near] = Path::DIRECT;
        balance.paths = paths;
        balance.voice = Voice { seed: d.below(u64::MAX), ..balance.voice };
    }
    scenario
}
