//! Whether a scenario can be laid down.

use crate::balance::{Balance, Path, Ripple};
use crate::error::ScenarioError;
use crate::noise::Noise;
use crate::reference::SteppingReference;
use crate::scenario::Scenario;
use crate::swing::least_amplitude_deg;
use crate::watch_time::WatchTime;
use quantities::{BeatFrequency, ClockError, LiftAngle, OutOfRange, SampleRate};

/// Speed may not come nearer to standing still than this part of true time; beyond it the
/// sums that solve for the beats would need more care.
const MOST_OFF_SPEED: f64 = 0.1;

/// The jitter stays below this part of a beat, so that no beat overtakes another.
const MOST_JITTER_OF_A_BEAT: f64 = 0.02;

pub(crate) fn check(scenario: &Scenario) -> Result<(), ScenarioError> {
    let at = |place: &str| Place(place.to_owned());
    let recorder = at("recorder");
    recorder.of(SampleRate::from_hz(f64::from(scenario.sample_rate_hz)))?;
    recorder.of(ClockError::from_ppm(scenario.clock_error_ppm))?;
    recorder.within("length", "seconds", scenario.duration_s, 1e-3, 1e7)?;
    recorder.within("number of channels", "channels", scenario.channels as f64, 1.0, 64.0)?;
    if let Some(level) = scenario.clipping_level {
        recorder.within("clipping level", "of full scale", level, 1e-6, 1e6)?;
    }
    if let Some(room) = &scenario.room {
        let place = at("room");
        place.within("tail", "seconds", room.tail_s, 0.02, 10.0)?;
        place.level("wet level", room.wet_db)?;
    }
    for (i, balance) in scenario.balances.iter().enumerate() {
        balance_is_sound(&Place(format!("balance {}", i + 1)), balance, scenario)?;
    }
    for (i, reference) in scenario.references.iter().enumerate() {
        reference_is_sound(&Place(format!("reference {}", i + 1)), reference, scenario.channels)?;
    }
    for (i, noise) in scenario.noises.iter().enumerate() {
        noise_is_sound(&Place(format!("noise {}", i + 1)), noise)?;
    }
    Ok(())
}

/// Where in the scenario a number stands, for the message.
struct Place(String);

impl Place {
    fn of<T>(&self, checked: Result<T, OutOfRange>) -> Result<T, ScenarioError> {
        checked.map_err(|source| ScenarioError::OutOfRange { place: self.0.clone(), source })
    }

    fn within(
        &self,
        quantity: &'static str,
        unit: &'static str,
        given: f64,
        least: f64,
        most: f64,
    ) -> Result<(), ScenarioError> {
        if given >= least && given <= most {
            return Ok(());
        }
        self.of(Err(OutOfRange { quantity, unit, given, least, most }))
    }

    fn level(&self, quantity: &'static str, db: f64) -> Result<(), ScenarioError> {
        self.within(quantity, "dB", db, -200.0, 60.0)
    }
}

fn balance_is_sound(
    place: &Place,
    balance: &Balance,
    scenario: &Scenario,
) -> Result<(), ScenarioError> {
    let b = balance;
    let beat = place.of(BeatFrequency::from_per_hour(b.beats_per_hour))?;
    place.of(LiftAngle::from_deg(b.lift_deg))?;
    place.within("rate", "s/d", b.rate_s_per_d, -8_000.0, 8_000.0)?;
    place.within("change of rate", "s/d per hour", b.rate_change_s_per_d_per_h, -1e4, 1e4)?;
    place.within("amplitude", "degrees", b.amplitude_deg, 10.0, 360.0)?;
    place.within("spread of the amplitude", "degrees", b.amplitude_sd_deg, 0.0, 30.0)?;
    let per_hour = b.amplitude_change_deg_per_h;
    place.within("change of amplitude", "degrees per hour", per_hour, -1e5, 1e5)?;
    // Beyond a sixth of an oscillation the rest position would lie near a turning point.
    let most_ms = beat.oscillation_s() * 1e3 / 6.0;
    place.within("beat error", "ms", b.beat_error_ms, -most_ms, most_ms)?;
    place.within("loudness", "of full scale", b.loudness, 0.0, 1e3)?;
    place.within("spread of the loudness", "of it", b.loudness_sd, 0.0, 1.0)?;
    let most_us = MOST_JITTER_OF_A_BEAT * beat.beat_s() * 1e6;
    place.within("jitter", "µs", b.jitter_us, 0.0, most_us)?;
    place.within("offset", "seconds", b.offset_s, -1e7, 1e7)?;
    for ripple in b.timing_ripple_ms.iter().chain(&b.amplitude_ripple_deg) {
        ripple_is_sound(place, ripple)?;
    }
    let paths = &b.paths;
    paths_are_sound(place, paths, scenario.channels)?;

    let duration_s = scenario.true_duration_s();
    // The beats are counted from the one at the offset, so its time counts too.
    let (from_s, to_s) = (b.offset_s.min(0.0), b.offset_s.max(duration_s));
    if WatchTime::of(b).most_off_speed(from_s, to_s) > MOST_OFF_SPEED {
        return Err(ScenarioError::StandsStill { place: place.0.clone() });
    }
    let starts_at_s = b.starts_at_s.unwrap_or(0.0);
    place.within("start", "seconds", starts_at_s, -1e7, 1e7)?;
    if let Some(stops_at_s) = b.stops_at_s {
        place.within("stop", "seconds", stops_at_s, -1e7, 1e7)?;
        if stops_at_s <= starts_at_s {
            let place = place.0.clone();
            return Err(ScenarioError::StopsBeforeStart { place, starts_at_s, stops_at_s });
        }
    }
    amplitude_stays_high_enough(place, b, duration_s)
}

/// The slow course must unlock by itself; the spread from beat to beat may take three standard
/// deviations below it, and the few beats beyond are held at the lowest amplitude that unlocks.
fn amplitude_stays_high_enough(
    place: &Place,
    b: &Balance,
    duration_s: f64,
) -> Result<(), ScenarioError> {
    let end_s = b.stops_at_s.unwrap_or(duration_s).min(duration_s);
    let start_s = b.starts_at_s.unwrap_or(0.0).max(0.0);
    let course = |t: f64| b.amplitude_deg + b.amplitude_change_deg_per_h * t / 3_600.0;
    let waves: f64 = b.amplitude_ripple_deg.iter().map(|r| r.semi_amplitude.abs()).sum();
    let lowest_deg = course(start_s).min(course(end_s)) - waves - 3.0 * b.amplitude_sd_deg;
    let highest_deg = course(start_s).max(course(end_s)) + waves;
    place.within("highest amplitude", "degrees", highest_deg, 10.0, 400.0)?;
    let needed_deg = least_amplitude_deg(b);
    if lowest_deg < needed_deg {
        let place = place.0.clone();
        let lift_deg = b.lift_deg;
        return Err(ScenarioError::TooLowToUnlock { place, lowest_deg, lift_deg, needed_deg });
    }
    Ok(())
}

fn ripple_is_sound(place: &Place, ripple: &Ripple) -> Result<(), ScenarioError> {
    let size = ripple.semi_amplitude;
    place.within("semi-amplitude of a ripple", "ms or degrees", size, -1e6, 1e6)?;
    place.within("period of a ripple", "seconds", ripple.period_s, 1e-2, 1e8)?;
    place.within("phase of a ripple", "turns", ripple.phase_turns, -1e6, 1e6)
}

fn reference_is_sound(
    place: &Place,
    r: &SteppingReference,
    channels: usize,
) -> Result<(), ScenarioError> {
    place.within("period", "seconds", r.period_s, 0.05, 3_600.0)?;
    place.within("error", "ppm", r.error_ppm, -1e5, 1e5)?;
    place.within("offset", "seconds", r.offset_s, -1e7, 1e7)?;
    let most_us = MOST_JITTER_OF_A_BEAT * r.period_s * 1e6;
    place.within("jitter", "µs", r.jitter_us, 0.0, most_us)?;
    place.within("loudness", "of full scale", r.loudness, 0.0, 1e3)?;
    place.within(
        "loudness of every second step",
        "of the others",
        r.alternate_loudness,
        0.0,
        1e3,
    )?;
    paths_are_sound(place, &r.paths, channels)
}

fn paths_are_sound(place: &Place, paths: &[Path], channels: usize) -> Result<(), ScenarioError> {
    if !paths.is_empty() && paths.len() != channels {
        let place = place.0.clone();
        return Err(ScenarioError::PathPerChannel { place, given: paths.len(), channels });
    }
    for path in paths {
        place.within("gain of a path", "", path.gain, -1e3, 1e3)?;
        place.within("delay of a path", "ms", path.delay_ms, 0.0, 1e3)?;
    }
    Ok(())
}

fn noise_is_sound(place: &Place, noise: &Noise) -> Result<(), ScenarioError> {
    match noise {
        Noise::White { rms_db } | Noise::Pink { rms_db } => place.level("level", *rms_db),
        Noise::Hum(hum) => {
            place.within("mains frequency", "Hz", hum.mains_hz, 10.0, 1_000.0)?;
            place.within("number of harmonics", "", f64::from(hum.harmonics), 1.0, 40.0)?;
            place.level("level", hum.rms_db)
        }
        Noise::Knocks(knocks) => {
            place.within("knocks", "a minute", knocks.per_minute, 0.0, 1e4)?;
            place.level("level", knocks.peak_db)
        }
        Noise::Clicks(clicks) => {
            place.within("clicks", "a minute", clicks.per_minute, 0.0, 1e5)?;
            place.level("level", clicks.peak_db)
        }
        Noise::Speech(speech) => {
            place.within("pitch", "Hz", speech.pitch_hz, 40.0, 600.0)?;
            place.level("level", speech.rms_db)
        }
        Noise::Music(music) => {
            place.within("tempo", "beats per minute", music.tempo_per_minute, 20.0, 400.0)?;
            place.within("spread of the timing", "ms", music.timing_sd_ms, 0.0, 50.0)?;
            place.level("level of the notes", music.notes_peak_db)?;
            place.level("level of the drums", music.drums_peak_db)
        }
    }
}
