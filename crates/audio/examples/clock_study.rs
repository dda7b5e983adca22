//! How well the recorder's clock is read: simulated recordings of a stepping reference, each kind
//! in its row, and what is no reference. Prints two Markdown tables.
//!
//! `cargo run --release -p audio --example clock_study [RECORDINGS PER ROW [ROW [FIRST]]]`; a row's
//! readings are shown one by one where FIRST is given.

use audio::clock::{ClockFailure, ClockReading, Reference, ReferencePeriod, SteppingListener};
use quantities::{Measured, STANDARD_BEATS_PER_HOUR, SampleRate};
use std::error::Error;
use truth::scenarios::{NoWatch, no_watch};
use truth::score::Coverage;
use truth::{
    Balance, Hum, Knocks, Noise, Room, Scenario, Sound, Speech, SteppingReference, Voice,
    VoiceFamily,
};

/// One row of the table.
struct Kind {
    name: &'static str,
    make: fn(u64) -> Scenario,
    /// How well the reference's own error is known, ppm.
    reference_sd_ppm: f64,
}

/// A number from 0 to 1 that belongs to a seed and a purpose (splitmix64).
fn chance(seed: u64, purpose: u64) -> f64 {
    let mut z =
        seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ purpose.wrapping_mul(0xd1b5_4a32_d192_ed03);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
}

fn between(seed: u64, purpose: u64, low: f64, high: f64) -> f64 {
    low + (high - low) * chance(seed, purpose)
}

/// A quiet recording of two minutes, everything about the movement and the clock at random.
fn quiet(seed: u64) -> Scenario {
    Scenario::new(seed)
        .with_duration_s(120.0)
        .with_clock_error_ppm(between(seed, 1, -100.0, 100.0))
        .with_reference(SteppingReference {
            offset_s: between(seed, 2, 0.0, 1.0),
            jitter_us: between(seed, 3, 10.0, 60.0),
            loudness: between(seed, 4, 0.2, 0.6),
            alternate_loudness: between(seed, 5, 0.5, 1.0),
            voice_seed: seed,
            ..SteppingReference::default()
        })
        .with_noise(Noise::White { rms_db: -60.0 })
}

fn fainter(seed: u64, loudness: f64) -> Scenario {
    let mut scenario = quiet(seed);
    scenario.references[0].loudness = loudness;
    scenario
}

const KINDS: &[Kind] = &[
    Kind { name: "quiet, 120 s", make: quiet, reference_sd_ppm: 0.0 },
    Kind { name: "quiet, 30 s", make: |s| quiet(s).with_duration_s(30.0), reference_sd_ppm: 0.0 },
    Kind { name: "quiet, 600 s", make: |s| quiet(s).with_duration_s(600.0), reference_sd_ppm: 0.0 },
    Kind {
        name: "44.1 kHz, phone-like room noise and hum",
        make: |s| {
            quiet(s)
                .with_sample_rate_hz(44_100)
                .with_noise(Noise::Pink { rms_db: -45.0 })
                .with_noise(Noise::Hum(Hum { mains_hz: 50.0, rms_db: -35.0, harmonics: 12 }))
        },
        reference_sd_ppm: 0.0,
    },
    Kind {
        name: "knocks, 20 a minute",
        make: |s| quiet(s).with_noise(Noise::Knocks(Knocks { per_minute: 20.0, peak_db: -6.0 })),
        reference_sd_ppm: 0.0,
    },
    Kind {
        name: "faint: peaks 12 dB above the noise's rms",
        make: |s| fainter(s, 0.004),
        reference_sd_ppm: 0.0,
    },
    Kind {
        name: "very faint: peaks 8 dB above the noise's rms",
        make: |s| fainter(s, 0.0025),
        reference_sd_ppm: 0.0,
    },
    Kind {
        name: "someone speaks, 6 dB below the steps' peaks",
        make: |s| quiet(s).with_noise(Noise::Speech(Speech { rms_db: -26.0, pitch_hz: 120.0 })),
        reference_sd_ppm: 0.0,
    },
    Kind {
        name: "room that rings 0.6 s",
        make: |s| quiet(s).with_room(Room { tail_s: 0.6, wet_db: -3.0 }),
        reference_sd_ppm: 0.0,
    },
    Kind {
        name: "8 steps a second, 60 s",
        make: |s| {
            let mut scenario = quiet(s).with_duration_s(60.0);
            scenario.references[0].period_s = 0.125;
            scenario
        },
        reference_sd_ppm: 0.0,
    },
    Kind {
        name: "a step every 2 s, 300 s",
        make: |s| {
            let mut scenario = quiet(s).with_duration_s(300.0);
            scenario.references[0].period_s = 2.0;
            scenario
        },
        reference_sd_ppm: 0.0,
    },
    Kind {
        name: "reference off by 3 ppm, known to 0.5 ppm",
        make: |s| {
            // Sum of twelve uniform numbers less six is normal enough.
            let normal = (10..22).map(|p| chance(s, p)).sum::<f64>() - 6.0;
            let mut scenario = quiet(s);
            scenario.references[0].error_ppm = 3.0 + 0.5 * normal;
            scenario
        },
        reference_sd_ppm: 0.5,
    },
];

type Reading = Result<ClockReading, ClockFailure>;

fn read(scenario: &Scenario, reference: Reference) -> Result<Reading, Box<dyn Error>> {
    let rate = SampleRate::from_hz(f64::from(scenario.sample_rate_hz))?;
    let mut listener = SteppingListener::new(rate, scenario.channels, reference);
    let mut sound = Sound::new(scenario)?;
    let mut block = vec![0.0; 1 << 14];
    loop {
        let filled = sound.fill(&mut block);
        if filled == 0 {
            return Ok(listener.finish());
        }
        listener.push(&block[..filled]);
    }
}

/// Prints how well references are read.
fn study_readings(per_row: u64, only: Option<usize>, from: u64) -> Result<(), Box<dyn Error>> {
    println!(
        "| recording | read | rms error, ppm | median sd, ppm | within 1 sd | within 2 sd | rms error/sd | against the bound |"
    );
    println!("|---|---|---|---|---|---|---|---|");
    let mut all = Coverage::default();
    for (row, kind) in KINDS.iter().enumerate().filter(|(row, _)| only.is_none_or(|o| o == *row)) {
        let mut coverage = Coverage::default();
        let (mut squares, mut bounds, mut sds) = (0.0, 0.0, Vec::new());
        for number in from..from + per_row {
            let scenario = (kind.make)(1_000 * row as u64 + number + 1);
            let steps = &scenario.references[0];
            let period = ReferencePeriod::from_s(steps.period_s)?;
            let told = if kind.reference_sd_ppm > 0.0 { 3.0 } else { 0.0 };
            let reference = Reference::known(period, Measured::new(told, kind.reference_sd_ppm));
            match read(&scenario, reference)? {
                Ok(reading) => {
                    let error = reading.error_ppm.value - scenario.clock_error_ppm;
                    let sd = reading.error_ppm.sd;
                    if error.abs() > 4.0 * sd || from > 0 {
                        eprintln!(
                            "{}, seed {}: {error:+.3} with sd {sd:.3}; steps {} of {}, sd {:.1} us; {:?}",
                            kind.name,
                            scenario.seed,
                            reading.steps_used,
                            reading.steps_expected,
                            reading.step_sd_s * 1e6,
                            reading.warnings
                        );
                    }
                    coverage.add(error, sd);
                    all.add(error, sd);
                    squares += error * error;
                    sds.push(sd);
                    // Slope of a line through evenly spaced times with white jitter.
                    let n = scenario.duration_s / steps.period_s;
                    let bound = steps.jitter_us / steps.period_s * (12.0 / n.powi(3)).sqrt();
                    bounds += bound * bound + kind.reference_sd_ppm.powi(2);
                }
                Err(failure) => eprintln!("{}, seed {}: {failure}", kind.name, scenario.seed),
            }
        }
        sds.sort_by(f64::total_cmp);
        println!(
            "| {} | {}/{per_row} | {:.3} | {:.3} | {:.0} % | {:.0} % | {:.2} | {:.2} |",
            kind.name,
            coverage.count,
            (squares / coverage.count.max(1) as f64).sqrt(),
            sds.get(sds.len() / 2).copied().unwrap_or(f64::NAN),
            100.0 * coverage.share_within_one(),
            100.0 * coverage.share_within_two(),
            coverage.rms_ratio(),
            (squares / bounds).sqrt(),
        );
    }
    println!(
        "| all | {} | | | {:.1} % | {:.1} % | {:.2} | |",
        all.count,
        100.0 * all.share_within_one(),
        100.0 * all.share_within_two(),
        all.rms_ratio(),
    );
    Ok(())
}

/// Prints what is made of recordings without a reference.
fn study_refusals(per_row: u64) -> Result<(), Box<dyn Error>> {
    println!("\n| recording | tried with | taken for a reference | told to be another kind |");
    println!("|---|---|---|---|");
    let mut rows: Vec<(String, Vec<Scenario>)> = NoWatch::ALL
        .iter()
        .map(|&kind| {
            let all = (1..=per_row).map(|seed| no_watch(kind, seed)).collect();
            (format!("no watch: {kind:?}").to_lowercase(), all)
        })
        .collect();
    for beats_per_hour in STANDARD_BEATS_PER_HOUR {
        let all = (1..=per_row).map(|seed| watch(f64::from(beats_per_hour), seed)).collect();
        rows.push((format!("watch, {beats_per_hour} beats per hour"), all));
    }
    for (name, scenarios) in rows {
        let (mut taken, mut told, mut tried) = (0, 0, 0);
        for scenario in &scenarios {
            for period_s in [1.0, 0.5] {
                let reference = Reference::exact(ReferencePeriod::from_s(period_s)?);
                tried += 1;
                match read(scenario, reference)? {
                    Ok(reading) => {
                        eprintln!("{name}, {}: {:?}", scenario.seed, reading.error_ppm);
                        taken += 1;
                    }
                    Err(ClockFailure::OtherPulses { .. }) => told += 1,
                    Err(_) => {}
                }
            }
        }
        println!("| {name} | {tried} | {taken} | {told} |");
    }
    Ok(())
}

/// A minute of a watch in anything from a quiet to a loud room.
fn watch(beats_per_hour: f64, seed: u64) -> Scenario {
    let family = VoiceFamily::ALL[(seed % 4) as usize];
    Scenario::new(seed)
        .with_duration_s(60.0)
        .with_balance(Balance {
            beats_per_hour,
            rate_s_per_d: between(seed, 1, -20.0, 20.0),
            beat_error_ms: between(seed, 2, 0.0, 2.5),
            voice: Voice::new(family, seed),
            ..Balance::default()
        })
        .with_noise(Noise::White { rms_db: between(seed, 3, -65.0, -20.0) })
}

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<u64> = std::env::args().skip(1).filter_map(|a| a.parse().ok()).collect();
    let per_row = arguments.first().copied().unwrap_or(40);
    let only = arguments.get(1).map(|&row| row as usize);
    let from = arguments.get(2).copied().unwrap_or(0);
    study_readings(per_row, only, from)?;
    if only.is_none() { study_refusals(per_row) } else { Ok(()) }
}
