//! One balance whose beats a wheel of its train disturbs, or none does.

use super::single::any_balance;
use crate::draws::Draws;
use crate::recordings::Recording;
use horology::train::{Cycle, CycleKind, Impossible, Ratio, Row, Running};
use truth::{Balance, Noise, Ripple, Scenario};

/// Length of a recording, seconds.
const DURATION_S: f64 = 600.0;
/// Enough for the lowest 8 kHz of the sound; a recording takes a third of the time of one at 48,000.
const SAMPLE_RATE_HZ: u32 = 16_000;
/// Half of the 0.1 ms from trough to crest that the design promises to find.
const SEMI_AMPLITUDE_MS: f64 = 0.05;
/// What comes fewer times than this in the recording is no wheel that could be found.
const LEAST_TURNS: f64 = 2.0;
/// What is quicker than this is not searched, beats.
const LEAST_BEATS: f64 = 3.0;

/// Wheels and pinions from centre to fourth: the fourth turns once a minute.
const TO_THE_FOURTH: [([u32; 2], [u32; 2]); 3] =
    [([80, 75], [10, 10]), ([64, 60], [8, 8]), ([90, 80], [12, 10])];
/// Fourth wheel, escape pinion, escape wheel, and the beats per hour that they make.
const FROM_THE_FOURTH: [(u32, u32, u32, u32); 8] = [
    (64, 8, 15, 14_400),
    (70, 7, 15, 18_000),
    (75, 8, 16, 18_000),
    (77, 7, 15, 19_800),
    (84, 7, 15, 21_600),
    (96, 6, 15, 28_800),
    (84, 7, 20, 28_800),
    (105, 7, 20, 36_000),
];

/// A recording, the cycles of the movement, and which of them disturbs.
pub(crate) struct Disturbed {
    pub(crate) recording: Recording,
    pub(crate) cycles: Vec<Cycle>,
    /// The place of the wheel or mesh among the cycles, and the period laid down, true seconds.
    pub(crate) by: Option<(usize, f64)>,
}

/// The recording of a seed; with the same seed a quiet one has the same movement and balance.
pub(crate) fn disturbed(seed: u64, quiet: bool) -> Result<Disturbed, Impossible> {
    let mut d = Draws::new("wheels", seed);
    let (wheels, pinions) = d.pick(&TO_THE_FOURTH);
    let (fourth, leaves, escape, beats_per_hour) = d.pick(&FROM_THE_FOURTH);
    let row = Row {
        wheels: vec![wheels[0], wheels[1], fourth],
        pinions: vec![pinions[0], pinions[1], leaves],
        escape: Some(escape),
        first_turns_in_s: Ratio::whole(3_600),
        beats_per_hour: None,
    };
    let movement = row.movement(None, None)?;
    let cycles = Running::of(&movement)?.cycles(&movement)?;
    let could: Vec<usize> = (0..cycles.len()).filter(|&at| can_be_found(&cycles[at])).collect();
    let by = d.pick(&could);
    let mut balance = Balance {
        beats_per_hour: f64::from(beats_per_hour),
        rate_change_s_per_d_per_h: d.between(-0.5, 0.5),
        ..any_balance(&mut d)
    };
    let period_s = cycles[by].period_s.to_f64() / (1.0 + balance.rate_s_per_d / 86_400.0);
    let phase_turns = d.unit();
    if !quiet {
        let semi_amplitude = SEMI_AMPLITUDE_MS;
        balance.timing_ripple_ms = vec![Ripple { semi_amplitude, period_s, phase_turns }];
    }
    let loud_db = 20.0 * balance.loudness.log10();
    let scenario = Scenario::new(d.word())
        .with_duration_s(DURATION_S)
        .with_sample_rate_hz(SAMPLE_RATE_HZ)
        .with_clock_error_ppm(d.between(-50.0, 50.0))
        .with_balance(balance)
        .with_noise(Noise::White { rms_db: loud_db - d.between(40.0, 55.0) })
        .with_noise(Noise::Pink { rms_db: loud_db - d.between(34.0, 50.0) });
    let kind = if quiet { "quiet" } else { "disturbed" };
    let recording = Recording::new(kind, scenario);
    Ok(Disturbed { recording, cycles, by: (!quiet).then_some((by, period_s)) })
}

fn can_be_found(cycle: &Cycle) -> bool {
    let beats = cycle.beats.map_or(0.0, Ratio::to_f64);
    cycle.kind != CycleKind::PairAgain
        && beats >= LEAST_BEATS
        && LEAST_TURNS * cycle.period_s.to_f64() <= DURATION_S
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each of the trains beats as it says, and its fourth wheel turns once a minute: the first is the
    /// table's of bib:goodrich1905 with a seconds wheel, 18,000 the student's of bib:student-answers
    /// and the 75 on 8 of bib:playtner1910.
    #[test]
    fn all_can_be_laid_down() {
        for seed in 0..200 {
            for quiet in [false, true] {
                let laid = disturbed(seed, quiet).expect("a movement");
                assert_eq!(laid.recording.scenario.check(), Ok(()), "seed {seed}");
                assert_eq!(laid.by.is_none(), quiet);
                let balance = &laid.recording.scenario.balances[0];
                let fourth = laid.cycles.iter().find(|c| c.name == "turn of the no. 3 arbor");
                let fourth = fourth.expect("a fourth wheel");
                assert_eq!(fourth.period_s.to_f64(), 60.0);
                let beats = fourth.beats.expect("beats").to_f64();
                assert_eq!(60.0 * beats, balance.beats_per_hour, "seed {seed}");
            }
        }
    }
}
