//! Recordings at the edges of what a recorder does: starts and stops, sample rates, levels, clock.

use super::single::one;
use crate::draws::Draws;
use crate::recordings::{Recording, Store};
use truth::{Noise, Scenario};

/// Sample rates in turn, with their names: the range that recorders make.
const SAMPLE_RATES: [(u32, &str); 11] = [
    (8_000, "8 kHz"),
    (11_025, "11.025 kHz"),
    (16_000, "16 kHz"),
    (22_050, "22.05 kHz"),
    (32_000, "32 kHz"),
    (44_100, "44.1 kHz"),
    (48_000, "48 kHz"),
    (88_200, "88.2 kHz"),
    (96_000, "96 kHz"),
    (176_400, "176.4 kHz"),
    (192_000, "192 kHz"),
];

/// The kinds of `rates`, in the order of the seeds.
pub(crate) fn rate_kinds() -> Vec<&'static str> {
    SAMPLE_RATES.iter().map(|r| r.1).collect()
}

/// Clear sound at a sample rate, 16 bits; the seed's remainder says which.
pub(crate) fn rates(seed: u64) -> Recording {
    let kinds = SAMPLE_RATES.len() as u64;
    let (rate_hz, kind) = SAMPLE_RATES[(seed % kinds) as usize];
    let scenario = one(seed / kinds).scenario.with_sample_rate_hz(rate_hz);
    Recording::new(kind, scenario).stored_as(Store::Bits(16))
}

/// How a recording is levelled and stored.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Level {
    kind: &'static str,
    /// Peak of the loudest shock, dB against full scale.
    peak_db: f64,
    store_as: Store,
}

/// A step of 16 bits is at -90 dB, one of 8 bits at -42 dB; the loudest shock of the last one of
/// each is some ten steps high.
const LEVELS: [Level; 8] = [
    Level { kind: "float, -6 dB", peak_db: -6.0, store_as: Store::Float },
    Level { kind: "16 bits, -20 dB", peak_db: -20.0, store_as: Store::Bits(16) },
    Level { kind: "16 bits, -45 dB", peak_db: -45.0, store_as: Store::Bits(16) },
    Level { kind: "16 bits, -70 dB", peak_db: -70.0, store_as: Store::Bits(16) },
    Level { kind: "8 bits, -6 dB", peak_db: -6.0, store_as: Store::Bits(8) },
    Level { kind: "8 bits, -22 dB", peak_db: -22.0, store_as: Store::Bits(8) },
    Level { kind: "clipped by 6 dB", peak_db: 6.0, store_as: Store::Bits(16) },
    Level { kind: "clipped by 18 dB", peak_db: 18.0, store_as: Store::Bits(16) },
];

/// The kinds of `levels`, in the order of the seeds.
pub(crate) fn level_kinds() -> Vec<&'static str> {
    LEVELS.iter().map(|l| l.kind).collect()
}

/// Clear sound brought to a level and stored in so many bits; the seed's remainder says which.
pub(crate) fn levels(seed: u64) -> Recording {
    let kinds = LEVELS.len() as u64;
    let level = LEVELS[(seed % kinds) as usize];
    let mut scenario = one(seed / kinds).scenario.with_sample_rate_hz(48_000);
    for balance in &mut scenario.balances {
        let by_db = level.peak_db - 20.0 * balance.loudness.log10();
        balance.loudness = 10.0_f64.powf(level.peak_db / 20.0);
        for noise in &mut scenario.noises {
            if let Noise::White { rms_db } = noise {
                *rms_db += by_db;
            }
        }
    }
    Recording::new(level.kind, scenario).stored_as(level.store_as)
}

/// The kinds of `ends`, in the order of the seeds.
pub(crate) const END_KINDS: [&str; 4] = ["starts", "stops", "starts and stops", "runs throughout"];

/// A watch that starts or stops (or both, or neither) within 40 to 60 s of clear sound and runs for
/// 12 s at least.
pub(crate) fn ends(seed: u64) -> Recording {
    let mut d = Draws::new("ends", seed);
    let kind = (seed % END_KINDS.len() as u64) as usize;
    let mut scenario = one(seed).scenario.with_duration_s(d.between(40.0, 60.0).round());
    let early_s = d.between(2.0, 0.4 * scenario.duration_s);
    let late_s = d.between(early_s + 12.0, scenario.duration_s - 2.0);
    for balance in &mut scenario.balances {
        balance.starts_at_s = (kind == 0 || kind == 2).then_some(early_s);
        balance.stops_at_s = (kind == 1 || kind == 2).then_some(late_s);
    }
    Recording::new(END_KINDS[kind], scenario)
}

/// The kinds of `clock`, in the order of the seeds.
pub(crate) const CLOCK_KINDS: [&str; 3] = ["not calibrated", "calibrated to 5 ppm", "to 0.3 ppm"];

/// Clear sound on a recorder whose clock is off by a normal error of 20 ppm; the user knows
/// nothing of it, or knows it within 5 or 0.3 ppm.
pub(crate) fn clock(seed: u64) -> Recording {
    let mut d = Draws::new("clock", seed);
    let kind = (seed % CLOCK_KINDS.len() as u64) as usize;
    let error_ppm = 20.0 * d.normal();
    let scenario: Scenario = one(seed).scenario.with_clock_error_ppm(error_ppm);
    let mut recording = Recording::new(CLOCK_KINDS[kind], scenario);
    let sd_ppm = [0.0, 5.0, 0.3][kind];
    let found_ppm = error_ppm + sd_ppm * d.normal();
    recording.told.clock_ppm = (kind > 0).then_some((found_ppm, sd_ppm));
    recording
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_can_be_laid_down() {
        for seed in 0..120 {
            for make in [rates, levels, ends, clock] {
                let recording = make(seed);
                assert_eq!(recording.scenario.check(), Ok(()), "{} {seed}", recording.kind);
            }
        }
    }

    /// Lowering a recording leaves the noise as far below the shocks as it was.
    #[test]
    fn a_level_moves_shock_and_noise_together() {
        let loud = one(0).scenario;
        let soft = levels(3).scenario;
        let below = |s: &Scenario| match s.noises[0] {
            Noise::White { rms_db } => 20.0 * s.balances[0].loudness.log10() - rms_db,
            _ => f64::NAN,
        };
        assert!((below(&loud) - below(&soft)).abs() < 1e-9);
        assert!((20.0 * soft.balances[0].loudness.log10() + 70.0).abs() < 1e-9);
    }
}
