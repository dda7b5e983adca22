use super::{Family, USUAL_BEATS_PER_HOUR, draws, fair_balance, own_seed};
use crate::balance::{Balance, Ripple};
use crate::draws::Draws;
use crate::noise::{Hum, Knocks, Noise};
use crate::reference::SteppingReference;
use crate::room::Room;
use crate::scenario::Scenario;
use crate::voice::{Voice, VoiceFamily};

fn quiet(draws: &mut Draws) -> Noise {
    Noise::White { rms_db: draws.between(-58.0, -48.0) }
}

fn hum(draws: &mut Draws, rms_db: f64) -> Noise {
    Noise::Hum(Hum { mains_hz: draws.pick(&[50.0, 60.0]), rms_db, harmonics: 8 })
}

/// One balance in fair order at any usual beat.
fn any_balance(draws: &mut Draws) -> Balance {
    let beats_per_hour = draws.pick(&USUAL_BEATS_PER_HOUR);
    fair_balance(draws, beats_per_hour)
}

/// One balance in fair order, well picked up in a quiet room: 30 s at 48 kHz.
#[must_use]
pub fn clear_single(seed: u64) -> Scenario {
    let mut d = draws(Family::Single, 1, seed);
    let noise = quiet(&mut d);
    let balance = any_balance(&mut d);
    Scenario::new(own_seed(&mut d)).with_balance(balance).with_noise(noise)
}

/// One balance that is worn, out of beat and badly picked up: room noise, hum and knocks. 40 s.
#[must_use]
pub fn hard_single(seed: u64) -> Scenario {
    let mut d = draws(Family::Single, 2, seed);
    let balance = any_balance(&mut d);
    let balance = Balance {
        amplitude_deg: d.between(170.0, 270.0),
        amplitude_sd_deg: d.between(1.5, 4.0),
        beat_error_ms: balance.beat_error_ms.signum() * d.between(0.5, 4.0),
        rate_s_per_d: d.between(-90.0, 90.0),
        jitter_us: d.between(40.0, 120.0),
        loudness_sd: d.between(0.1, 0.2),
        ..balance
    };
    let hum_db = d.between(-34.0, -14.0);
    Scenario::new(own_seed(&mut d))
        .with_duration_s(40.0)
        .with_balance(balance)
        .with_noise(Noise::White { rms_db: d.between(-46.0, -36.0) })
        .with_noise(Noise::Pink { rms_db: d.between(-40.0, -28.0) })
        .with_noise(hum(&mut d, hum_db))
        .with_noise(Noise::Knocks(Knocks { per_minute: 8.0, peak_db: d.between(-12.0, -2.0) }))
}

/// One balance on a table in a reverberant room, heard from some way off. 30 s.
#[must_use]
pub fn poor_room(seed: u64) -> Scenario {
    let mut d = draws(Family::Single, 3, seed);
    let balance = any_balance(&mut d);
    let room = Room { tail_s: d.between(0.25, 0.8), wet_db: d.between(-9.0, 0.0) };
    Scenario::new(own_seed(&mut d))
        .with_balance(balance)
        .with_room(room)
        .with_noise(Noise::White { rms_db: d.between(-52.0, -42.0) })
        .with_noise(Noise::Pink { rms_db: d.between(-46.0, -36.0) })
}

/// One balance heard dully, by a telephone through case and table. 30 s.
#[must_use]
pub fn through_the_case(seed: u64) -> Scenario {
    let mut d = draws(Family::Single, 4, seed);
    let voice = Voice::new(VoiceFamily::Dull, d.below(u64::MAX));
    let balance = Balance { voice, ..any_balance(&mut d) };
    Scenario::new(own_seed(&mut d))
        .with_sample_rate_hz(d.pick(&[44_100, 48_000]))
        .with_balance(balance)
        .with_noise(Noise::White { rms_db: d.between(-52.0, -42.0) })
        .with_noise(Noise::Pink { rms_db: d.between(-52.0, -42.0) })
}

/// One balance that stops some way through. 30 s.
#[must_use]
pub fn stops(seed: u64) -> Scenario {
    let mut d = draws(Family::Single, 5, seed);
    let noise = quiet(&mut d);
    let balance = Balance { stops_at_s: Some(d.between(8.0, 24.0)), ..any_balance(&mut d) };
    Scenario::new(own_seed(&mut d)).with_balance(balance).with_noise(noise)
}

/// One balance that starts some way in. 30 s.
#[must_use]
pub fn starts(seed: u64) -> Scenario {
    let mut d = draws(Family::Single, 6, seed);
    let noise = quiet(&mut d);
    let balance = Balance { starts_at_s: Some(d.between(5.0, 20.0)), ..any_balance(&mut d) };
    Scenario::new(own_seed(&mut d)).with_balance(balance).with_noise(noise)
}

/// One balance whose timing and amplitude wave with the turn of a wheel. Three to five turns.
#[must_use]
pub fn rippled(seed: u64) -> Scenario {
    let mut d = draws(Family::Single, 7, seed);
    let noise = quiet(&mut d);
    let period_s = d.pick(&[6.0, 60.0 / 7.5, 60.0]);
    let phase_turns = d.unit();
    let timing = Ripple { semi_amplitude: d.between(0.15, 0.8), period_s, phase_turns };
    let amplitude = Ripple { semi_amplitude: d.between(2.0, 8.0), period_s, phase_turns };
    let balance = Balance {
        timing_ripple_ms: vec![timing],
        amplitude_ripple_deg: vec![amplitude],
        ..any_balance(&mut d)
    };
    Scenario::new(own_seed(&mut d))
        .with_duration_s((period_s * d.between(3.0, 5.0)).max(60.0))
        .with_balance(balance)
        .with_noise(noise)
}

/// One balance recorded far too loud, so that every beat is cut off. 30 s.
#[must_use]
pub fn clipped(seed: u64) -> Scenario {
    let mut d = draws(Family::Single, 8, seed);
    let noise = quiet(&mut d);
    let balance = Balance { loudness: d.between(2.5, 8.0), ..any_balance(&mut d) };
    Scenario::new(own_seed(&mut d)).with_balance(balance).with_noise(noise)
}

/// One balance that hardly swings, 150 to 180 degrees. 30 s.
#[must_use]
pub fn low_amplitude(seed: u64) -> Scenario {
    let mut d = draws(Family::Single, 9, seed);
    let noise = quiet(&mut d);
    let balance = Balance { amplitude_deg: d.between(150.0, 180.0), ..any_balance(&mut d) };
    Scenario::new(own_seed(&mut d)).with_balance(balance).with_noise(noise)
}

/// A stepping quartz movement on a recorder with this clock error. 120 s.
#[must_use]
pub fn quartz_reference(clock_error_ppm: f64, seed: u64) -> Scenario {
    let mut d = draws(Family::Single, 10, seed);
    let noise = quiet(&mut d);
    let reference = SteppingReference {
        offset_s: d.between(0.0, 1.0),
        jitter_us: d.between(10.0, 60.0),
        loudness: d.between(0.3, 0.7),
        alternate_loudness: d.between(0.5, 1.0),
        voice_seed: d.below(u64::MAX),
        ..SteppingReference::default()
    };
    Scenario::new(own_seed(&mut d))
        .with_duration_s(120.0)
        .with_clock_error_ppm(clock_error_ppm)
        .with_reference(reference)
        .with_noise(noise)
}

/// A whole day of one balance as its spring runs down: the amplitude falls by a good 40 degrees,
/// the rate drifts, the fourth wheel ripples once a minute.
#[must_use]
pub fn day(seed: u64) -> Scenario {
    let mut d = draws(Family::Single, 11, seed);
    let noise = quiet(&mut d);
    let ripple = Ripple { semi_amplitude: 0.3, period_s: 60.0, phase_turns: d.unit() };
    let balance = Balance {
        amplitude_deg: d.between(275.0, 310.0),
        amplitude_change_deg_per_h: d.between(-2.4, -1.6),
        rate_change_s_per_d_per_h: d.between(-0.5, 0.5),
        timing_ripple_ms: vec![ripple],
        ..any_balance(&mut d)
    };
    Scenario::new(own_seed(&mut d))
        .with_duration_s(86_400.0)
        .with_balance(balance)
        .with_noise(noise)
}
