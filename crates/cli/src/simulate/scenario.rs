//! The scenario that the arguments describe.

use crate::arguments::{BalanceWords, SimulateWishes};
use crate::failure::Failure;
use horology::stance::Stance;
use truth::{Balance, HeavySpot, Noise, Scenario, Voice};

/// The first ticks of balances that say nothing of it fall this far apart, seconds: so that they
/// are easily told apart at any usual beat (at 28,800 beats per hour a beat takes 0.125 s).
const OFFSET_STEP_S: f64 = 0.047;

/// Puts the arguments together and has them checked.
pub(crate) fn of(wishes: &SimulateWishes) -> Result<Scenario, Failure> {
    let words = if wishes.balance.is_empty() && wishes.reference.is_none() && !wishes.no_balance {
        first_look()
    } else {
        wishes.balance.clone()
    };
    let mut scenario = Scenario {
        sample_rate_hz: wishes.sample_rate,
        duration_s: wishes.duration.0,
        channels: usize::from(wishes.channels),
        seed: wishes.seed,
        balances: words.iter().enumerate().map(|(place, words)| balance(place, words)).collect(),
        references: wishes.reference.iter().cloned().collect(),
        noises: noises(wishes),
        room: wishes.room,
        clock_error_ppm: wishes.clock_error_ppm.ppm(),
        clipping_level: Some(wishes.clip),
    };
    let check =
        |scenario: &Scenario| scenario.check().map_err(|e| Failure::WrongUse(super::sentence(&e)));
    check(&scenario)?;
    // What gravity does is worked out of numbers that are sound.
    for (place, words) in words.iter().enumerate().filter(|(_, words)| words.heavy.is_some()) {
        let balance = lain(place, words, wishes.position)?;
        scenario.balances[place] = balance;
    }
    check(&scenario)?;
    Ok(scenario)
}

/// A balance with a heavy spot as it goes in this position. Flat it goes as in poise.
fn lain(place: usize, words: &BalanceWords, position: Option<Stance>) -> Result<Balance, Failure> {
    let balance = balance(place, words);
    let wrong = |what: &str| Failure::WrongUse(format!("Balance {}: {what}", place + 1));
    let position = position.ok_or_else(|| {
        wrong("what its heavy spot does depends on how the watch lies: add --position, like 6H.")
    })?;
    let (Some(heavy), Some(upright)) = (words.heavy, position.upright()) else {
        return Ok(balance);
    };
    let spot = HeavySpot {
        moment_by_inertia_per_m: 1e3 * heavy.moment_by_inertia_per_mm,
        // Straight down is half a turn from what is uppermost.
        from_down_deg: heavy.towards_deg - upright.uppermost_deg() - 180.0,
    };
    balance
        .with_heavy_spot(&spot)
        .ok_or_else(|| wrong("its heavy spot is so strong that it would not swing: make it less."))
}

/// Two balances in fair order, one a little fast, the fainter one a little slow.
fn first_look() -> Vec<BalanceWords> {
    let first = Balance {
        rate_s_per_d: 4.2,
        amplitude_deg: 281.0,
        beat_error_ms: 0.3,
        loudness: 0.5,
        ..Balance::default()
    };
    let second = Balance {
        rate_s_per_d: -8.1,
        amplitude_deg: 262.0,
        beat_error_ms: 0.7,
        loudness: 0.3,
        ..Balance::default()
    };
    [first, second].map(|balance| BalanceWords { balance, ..BalanceWords::default() }).to_vec()
}

fn balance(place: usize, words: &BalanceWords) -> Balance {
    let place_in_time = place as f64 * OFFSET_STEP_S;
    Balance {
        offset_s: words.offset_s.unwrap_or(Balance::default().offset_s + place_in_time),
        voice: Voice { seed: words.voice_seed.unwrap_or(place as u64 + 1), ..words.balance.voice },
        ..words.balance.clone()
    }
}

fn noises(wishes: &SimulateWishes) -> Vec<Noise> {
    let white = wishes.noise.0.map(|rms_db| Noise::White { rms_db });
    let pink = wishes.pink.map(|rms_db| Noise::Pink { rms_db });
    let hum = wishes.hum.clone().map(Noise::Hum);
    let knocks = wishes.knocks.clone().map(Noise::Knocks);
    let clicks = wishes.clicks.clone().map(Noise::Clicks);
    let speech = wishes.speech.clone().map(Noise::Speech);
    let music = wishes.music.clone().map(Noise::Music);
    [white, pink, hum, knocks, clicks, speech, music].into_iter().flatten().collect()
}
