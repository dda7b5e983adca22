//! Several balances of one movement.
//!
//! All balances of a recording have one lift angle, as those of one movement have; which of two
//! equally loud balances the engine calls A is then no matter.

use crate::draws::Draws;
use crate::recordings::Recording;
use truth::scenarios::{self, TwoBalances};
use truth::{Scenario, Voice, VoiceFamily};

/// Where a recording of two balances stands in the map.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Cell {
    /// From a beat of the one to a beat of the other in mid-recording, ms.
    pub(crate) lag_ms: f64,
    /// Rate of the second less rate of the first, s/d.
    pub(crate) rate_difference_s_per_d: f64,
    /// By how much the second is fainter, dB.
    pub(crate) fainter_db: f64,
}

/// Lags of the map, ms.
pub(crate) const LAGS_MS: [f64; 12] =
    [0.0, 0.5, 1.0, 2.0, 4.0, 7.0, 10.0, 15.0, 22.0, 30.0, 45.0, 60.0];
/// Differences of rate in the map, s/d.
pub(crate) const RATE_DIFFERENCES_S_PER_D: [f64; 7] = [0.1, 0.3, 1.0, 3.0, 10.0, 30.0, 60.0];
/// Differences of loudness in the map, dB.
pub(crate) const FAINTER_DB: [f64; 4] = [0.0, 4.0, 8.0, 12.0];
/// Number of cells of the map: seeds of `two` that differ by a multiple of it share a cell.
pub(crate) const CELLS: u64 =
    (LAGS_MS.len() * RATE_DIFFERENCES_S_PER_D.len() * FAINTER_DB.len()) as u64;

/// The cell of this seed.
pub(crate) fn cell(seed: u64) -> Cell {
    let mut place = (seed % CELLS) as usize;
    let mut next = |of: &[f64]| {
        let value = of[place % of.len()];
        place /= of.len();
        value
    };
    Cell {
        lag_ms: next(&LAGS_MS),
        rate_difference_s_per_d: next(&RATE_DIFFERENCES_S_PER_D),
        fainter_db: next(&FAINTER_DB),
    }
}

/// Two balances of one beat in clear sound, placed by [`cell`]. The other things are drawn: beat
/// (18,000 to 28,800), length 25 to 45 s, jitter 15 to 50 µs, voices, amplitudes.
pub(crate) fn two(seed: u64) -> Recording {
    let mut d = Draws::new("two", seed);
    let cell = cell(seed);
    let sign = if d.chance(0.5) { 1.0 } else { -1.0 };
    let choice = TwoBalances {
        beats_per_hour: d.pick(&[18_000.0, 21_600.0, 25_200.0, 28_800.0, 28_800.0]),
        lag_ms: cell.lag_ms,
        rate_difference_s_per_d: sign * cell.rate_difference_s_per_d,
        fainter_db: cell.fainter_db,
        duration_s: d.between(25.0, 45.0).round(),
        noise_rms_db: d.between(-58.0, -50.0),
        jitter_us: d.between(15.0, 50.0),
    };
    of_one_lift("two", scenarios::two(&choice, d.word()))
}

fn of_one_lift(kind: &'static str, mut scenario: Scenario) -> Recording {
    let lift_deg = scenario.balances.first().map_or(52.0, |b| b.lift_deg);
    for balance in &mut scenario.balances {
        balance.lift_deg = lift_deg;
    }
    Recording::new(kind, scenario)
}

/// Two balances whose beats run through each other.
pub(crate) fn crossing(seed: u64) -> Recording {
    of_one_lift("crossing", scenarios::crossing(seed))
}

/// A second balance 6 to 11 dB fainter.
pub(crate) fn faint(seed: u64) -> Recording {
    of_one_lift("faint", scenarios::faint_second(seed))
}

/// One rate, constant phase.
pub(crate) fn locked(seed: u64) -> Recording {
    of_one_lift("locked", scenarios::locked(seed))
}

/// Two balances that beat together.
pub(crate) fn together(seed: u64) -> Recording {
    of_one_lift("together", scenarios::together(seed))
}

/// Two balances of different beat.
pub(crate) fn mixed(seed: u64) -> Recording {
    of_one_lift("mixed", scenarios::mixed_beats(seed))
}

/// Three balances.
pub(crate) fn three(seed: u64) -> Recording {
    of_one_lift("three", scenarios::three(seed))
}

/// A pickup at each of two balances.
pub(crate) fn pickups(seed: u64) -> Recording {
    of_one_lift("pickups", scenarios::two_pickups(seed))
}

/// Two balances as a dull pickup hears them, their beats well apart.
pub(crate) fn dull_two(seed: u64) -> Recording {
    let mut d = Draws::new("dull two", seed);
    let choice = TwoBalances {
        lag_ms: d.between(15.0, 60.0),
        rate_difference_s_per_d: d.between(2.0, 30.0),
        fainter_db: d.between(0.0, 6.0),
        duration_s: 40.0,
        noise_rms_db: d.between(-52.0, -44.0),
        ..TwoBalances::default()
    };
    let mut scenario = scenarios::two(&choice, d.word());
    for balance in &mut scenario.balances {
        balance.voice = Voice::new(VoiceFamily::Dull, d.word());
    }
    of_one_lift("dull two", scenario)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_can_be_laid_down() {
        for seed in 0..60 {
            for make in [two, crossing, faint, locked, together, mixed, three, pickups, dull_two] {
                let recording = make(seed);
                assert_eq!(recording.scenario.check(), Ok(()), "{} {seed}", recording.kind);
                assert_eq!(recording.told.lift_deg.len(), 1);
            }
        }
    }

    #[test]
    fn seeds_go_through_the_whole_map() {
        let mut cells: Vec<[u64; 3]> = (0..CELLS)
            .map(cell)
            .map(|c| [c.lag_ms, c.rate_difference_s_per_d, c.fainter_db].map(f64::to_bits))
            .collect();
        cells.sort_unstable();
        cells.dedup();
        assert_eq!(cells.len() as u64, CELLS);
        assert_eq!(cell(CELLS + 5), cell(5));
    }
}
