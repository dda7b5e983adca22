//! What disturbs a balance, in words.

mod searched;

pub use searched::searched;

use crate::digits::figures;
use beats::Disturbed;
use horology::train::disturbed::{Candidate, Seen};
use horology::train::{Cycle, CycleKind};
use quantities::digits::plain;
use searched::{name, swing};

/// More that cannot be told apart are counted only.
const MOST_CANDIDATES: usize = 4;
/// A chance below this is said to be below it.
const LEAST_CHANCE: f64 = 1e-6;
/// A chance above this is no small number to be one of.
const LIKELY: f64 = 0.5;

/// Something that repeats, in parts that are shown apart.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wheel {
    /// "A’s timing every 6.00 s (30.0 beats)".
    pub what: String,
    /// What it may come from, or that nothing repeats so; with a small letter.
    pub from: String,
    /// How likely chance is to have made the peak and the match, sentences.
    pub chances: String,
    /// How large it is: "0.050 ms either way".
    pub size: String,
    /// Whether it comes from that beyond reasonable doubt.
    pub is_sure: bool,
}

/// Where the cycles come from among which it was looked up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LookedUpIn {
    /// The movement on the bench.
    Movement,
    /// Usual movements of this beat: the train is unknown.
    Usual,
}

/// What repeats in a balance's beats, each with the wheels or teeth of its movement that it agrees
/// with, and how likely chance is to have made the peak and the match. `cycles` are those that were
/// looked at.
#[must_use]
pub fn wheels(letter: &str, disturbed: &[Disturbed], cycles: &[Cycle]) -> Vec<String> {
    disturbed
        .iter()
        .map(|one| line(&wheel(letter, one, cycles, LookedUpIn::Movement), ""))
        .collect()
}

/// The same where the movement is unknown: what it could be. `cycles` are those of usual movements.
/// What agrees with nothing is left out.
#[must_use]
pub fn usual_wheels(letter: &str, disturbed: &[Disturbed], cycles: &[Cycle]) -> Vec<String> {
    let agreeing = disturbed.iter().filter(|one| !one.named.candidates.is_empty());
    agreeing
        .map(|one| {
            let told = wheel(letter, one, cycles, LookedUpIn::Usual);
            line(&told, " Count the teeth to know.")
        })
        .collect()
}

fn line(wheel: &Wheel, behind: &str) -> String {
    let Wheel { what, from, chances, .. } = wheel;
    let between = if chances.is_empty() { "" } else { " " };
    format!("{what}: {from}.{between}{chances}{behind}")
}

/// One thing that repeats.
#[must_use]
pub fn wheel(letter: &str, one: &Disturbed, cycles: &[Cycle], looked_up_in: LookedUpIn) -> Wheel {
    let named = &one.named;
    let is_usual = looked_up_in == LookedUpIn::Usual;
    let is_sure = !is_usual && named.sure().is_some();
    let (from, chances) = if named.candidates.is_empty() {
        let of_peak = peak(named.disturbance.chance);
        match (is_usual, named.looked_at) {
            (true, _) => ("no usual wheel of this beat repeats so".to_owned(), of_peak),
            (false, 0) => {
                let none = "no train of this movement beats so and turns within the recording";
                (none.to_owned(), String::new())
            }
            (false, _) => ("nothing in this movement repeats so".to_owned(), of_peak),
        }
    } else if is_usual {
        let chances = chances(one, "that is not of a usual wheel", "one");
        (format!("could be {}", candidates(one, cycles)), chances)
    } else {
        let verdict = match (is_sure, named.candidates.len()) {
            (true, _) => "",
            (false, 1) => "perhaps ",
            (false, _) => "cannot be told apart: ",
        };
        let chances = chances(one, "that has nothing to do with the movement", "something in it");
        (format!("{verdict}{}", candidates(one, cycles)), chances)
    };
    let size = swing(one.series, one.peak.semi_amplitude);
    Wheel { what: what(letter, one), from, chances, size, is_sure }
}

/// "A's timing every 6.00 s (30.0 beats)".
fn what(letter: &str, one: &Disturbed) -> String {
    let series = name(one.series);
    let period = figures(one.peak.period_s, 3);
    let beats = figures(one.named.disturbance.beats.value, 3);
    format!("{letter}’s {series} every {period}\u{a0}s ({beats}\u{a0}beats)")
}

fn candidates(one: &Disturbed, cycles: &[Cycle]) -> String {
    let all = &one.named.candidates;
    let told = all.iter().take(MOST_CANDIDATES);
    let mut words: Vec<String> = told.map(|c| candidate(c, &cycles[c.cycle])).collect();
    if all.len() > MOST_CANDIDATES {
        words.push(format!("{} more", all.len() - MOST_CANDIDATES));
    }
    let last = words.pop().unwrap_or_default();
    if words.is_empty() { last } else { format!("{}, or {last}", words.join(", ")) }
}

fn candidate(candidate: &Candidate, cycle: &Cycle) -> String {
    let part = match (cycle.kind, candidate.showing.times) {
        (CycleKind::Turn, 1) => "a ".to_owned(),
        (CycleKind::Turn, 2) => "half a ".to_owned(),
        (CycleKind::Turn, 3) => "a third of a ".to_owned(),
        (CycleKind::Turn, times) => format!("1/{times} of a "),
        (CycleKind::Tooth | CycleKind::PairAgain, _) => "the ".to_owned(),
    };
    let seen = match candidate.showing.seen {
        Seen::Itself => "",
        Seen::Folded => ", which is quicker than two beats and shows so",
        Seen::TickAgainstTock => ", if it moves ticks and tocks opposite ways",
    };
    format!("{part}{}{seen}", cycle.name)
}

fn chances(one: &Disturbed, other: &str, agrees_with: &str) -> String {
    let matched = chance(one.named.chance_of_match);
    format!(
        "{} A period {other} would agree with {agrees_with} in {matched}.",
        peak(one.named.disturbance.chance)
    )
}

fn peak(chance_of_peak: f64) -> String {
    format!("Chance alone makes such a peak in {} recordings.", chance(chance_of_peak))
}

/// "1 of 480", "fewer than 1 of 1,000,000", "most".
fn chance(probability: f64) -> String {
    if probability > LIKELY {
        return "most".into();
    }
    if probability.is_nan() || probability < LEAST_CHANCE {
        return format!("fewer than 1 of {}", plain(LEAST_CHANCE.recip(), 0));
    }
    let number = probability.recip();
    let two_figures = format!("{number:.1e}").parse().unwrap_or(number);
    format!("1 of {}", plain(two_figures, 0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use beats::{DisturbedSeries, PeriodogramPeak};
    use horology::train::disturbed::{self, Disturbance, Searched, usual_cycles};
    use horology::train::{Ratio, Row, Running};
    use quantities::Measured;

    fn students_cycles() -> Vec<Cycle> {
        // bib:student-answers.
        let row = Row {
            wheels: vec![80, 75, 70],
            pinions: vec![10, 10, 7],
            escape: Some(15),
            first_turns_in_s: Ratio::whole(3_600),
            beats_per_hour: None,
        };
        let movement = row.movement(None, None).expect("a movement");
        let running = Running::of(&movement).expect("it runs");
        running.cycles(&movement).expect("ratios")
    }

    fn disturbed(beats: f64, sd: f64, cycles: &[Cycle]) -> Disturbed {
        let searched =
            Searched { periods_beats: (3.0, 1_500.0), each_beat: true, beats_per_hour: 18_000.0 };
        let disturbance = Disturbance { beats: Measured::new(beats, sd), chance: 0.002 };
        let peak = PeriodogramPeak {
            period_s: beats / 5.0,
            period_sd_s: sd / 5.0,
            semi_amplitude: 0.05,
            false_alarm_probability: 0.002,
        };
        let series = DisturbedSeries::Timing;
        Disturbed { series, peak, named: disturbed::name(&disturbance, &searched, cycles) }
    }

    fn told(beats: f64, sd: f64) -> String {
        let cycles = students_cycles();
        let words = wheels("A", &[disturbed(beats, sd, &cycles)], &cycles);
        words.join("\n").replace('\u{a0}', " ")
    }

    #[test]
    fn one_is_named_with_its_chances() {
        let words = told(300.0, 0.1);
        let start = "A’s timing every 60.0 s (300 beats): a turn of the no. 3 arbor. Chance alone \
                     makes such a peak in 1 of 500 recordings. A period that has nothing to do with \
                     the movement would agree with something in it in 1 of ";
        assert!(words.starts_with(start), "{words}");
    }

    #[test]
    fn what_is_not_sure_is_not_told_as_sure() {
        assert!(told(300.0, 10.0).contains("): perhaps a turn of the no. 3 arbor. "));
        let both = told(30.0, 0.001);
        assert!(both.contains("): cannot be told apart: "), "{both}");
        assert!(both.contains("a turn of the no. 4 arbor"), "{both}");
        assert!(both.contains("the teeth of the no. 2 wheel and the no. 3 pinion"), "{both}");
        assert!(told(77.7, 0.001).contains("): nothing in this movement repeats so. Chance"));
        assert!(told(15.0, 0.001).contains("half a turn of the no. 4 arbor. "));
    }

    #[test]
    fn what_it_could_be() {
        let cycles = usual_cycles(Ratio::whole(18_000).expect("a number"));
        let found = [disturbed(32.0, 0.001, &cycles), disturbed(77.7, 0.001, &cycles)];
        let words = usual_wheels("B", &found, &cycles);
        assert_eq!(words.len(), 1);
        let start = "B’s timing every 6.40 s (32.0 beats): could be a turn of an escape wheel of 16 \
                     teeth. ";
        assert!(words[0].replace('\u{a0}', " ").starts_with(start), "{words:?}");
    }

    #[test]
    fn chances_are_told_with_two_figures() {
        for (probability, words) in [
            (0.00207, "1 of 480"),
            (0.000_012, "1 of 83,000"),
            (1e-9, "fewer than 1 of 1,000,000"),
            (0.8, "most"),
        ] {
            assert_eq!(chance(probability), words);
        }
    }
}
