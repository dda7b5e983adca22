use super::made::{row, student, whole};
use horology::train::disturbed::{Disturbance, Named, Searched, Seen, name, usual_cycles};
use horology::train::{Cycle, Ratio, Running};
use proptest::prelude::*;
use quantities::Measured;

/// Ten minutes at 18,000: from 8/3 beats to what comes 1.8 times.
const TEN_MINUTES: Searched =
    Searched { periods_beats: (8.0 / 3.0, 1_667.0), each_beat: true, beats_per_hour: 18_000.0 };

fn found(beats: f64, sd: f64) -> Disturbance {
    Disturbance { beats: Measured::new(beats, sd), chance: 1e-6 }
}

fn students_cycles() -> Vec<Cycle> {
    let movement = student().movement();
    Running::of(&movement).unwrap().cycles(&movement).unwrap()
}

fn names<'a>(named: &Named, cycles: &'a [Cycle]) -> Vec<&'a str> {
    named.candidates.iter().map(|c| cycles[c.cycle].name.as_str()).collect()
}

/// bib:hasluck1918, chapter 15: what comes once a minute is of the fourth wheel and pinion. That the
/// same teeth of fourth wheel and escape pinion meet once a minute too says nothing more.
#[test]
fn once_a_minute_is_the_fourth_wheel() {
    let cycles = students_cycles();
    let named = name(&found(300.4, 0.3), &TEN_MINUTES, &cycles);
    assert_eq!(names(&named, &cycles), ["turn of the fourth arbor"]);
    assert_eq!(named.sure(), Some(named.candidates[0]));
    assert_eq!(named.disturbance, found(300.4, 0.3));
}

/// The same chapter: "every fifteen beats" is a damaged escape tooth or dirt in its pinion. It counts
/// oscillations: 15 teeth let 30 beats by. In the student's train the teeth of third wheel and
/// fourth pinion take 30 beats as well: both are told, and neither is sure.
#[test]
fn fifteen_oscillations_are_the_escape_wheel_or_what_goes_as_fast() {
    let cycles = students_cycles();
    let named = name(&found(30.001, 0.001), &TEN_MINUTES, &cycles);
    let mut both = names(&named, &cycles);
    both.sort_unstable();
    assert_eq!(
        both,
        ["teeth of the third wheel and the fourth pinion", "turn of the escape arbor"]
    );
    assert_eq!(named.sure(), None);
    // Fifteen single beats are half a turn of it, or of those teeth nothing.
    let named = name(&found(15.0, 0.001), &TEN_MINUTES, &cycles);
    assert_eq!(names(&named, &cycles), ["turn of the escape arbor"]);
    assert_eq!(
        (named.candidates[0].showing.times, named.candidates[0].showing.seen),
        (2, Seen::Itself)
    );
}

/// A clock-maker's case (told on an engineering commons page on escapements): a pattern of six ticks is one
/// tooth of a wheel of 75 on a pinion of 10. The train is the fourth of the table of bib:goodrich1905.
#[test]
fn six_ticks_are_a_tooth_of_seventy_five() {
    let movement = row("80-75", "10-10", 30, 1).movement(None, None).unwrap();
    let cycles = Running::of(&movement).unwrap().cycles(&movement).unwrap();
    let searched = Searched { beats_per_hour: 3_600.0, ..TEN_MINUTES };
    let named = name(&found(6.0, 0.002), &searched, &cycles);
    assert_eq!(names(&named, &cycles), ["teeth of the no. 2 wheel and the no. 3 pinion"]);
    assert!(named.sure().is_some());
}

/// By hand, for one train of a single cycle: a period known to a hundredth agrees within three of them
/// either way, 0.06 of the ln(1000/10) = 4.605 searched, 0.01303.
#[test]
fn chance_of_a_match_by_hand() {
    let cycles: Vec<Cycle> = students_cycles()
        .into_iter()
        .filter(|c| c.name == "turn of the fourth arbor")
        .map(|c| Cycle { beats: Some(whole(100)), period_s: whole(20), ..c })
        .collect();
    let searched = Searched { periods_beats: (10.0, 1_000.0), ..TEN_MINUTES };
    let named = name(&found(100.0, 1.0), &searched, &cycles);
    assert!((named.chance_of_match - 0.013_029).abs() < 1e-6, "{}", named.chance_of_match);
    // One of 77 may be chance: more than 1 in 100.
    assert_eq!((named.candidates.len(), named.sure(), named.looked_at), (1, None, 1));
    // The same cycle twice makes no match more likely, but none of them can be told from the other.
    let twice = [cycles[0].clone(), cycles[0].clone()];
    let named = name(&found(100.0, 0.1), &searched, &twice);
    assert_eq!((named.candidates.len(), named.sure()), (2, None));
    assert!((named.chance_of_match - 0.001_302_9).abs() < 1e-6);
}

/// What has nothing to do with the movement matches as often as is said: periods drawn evenly over
/// their logarithm. By chance 20,000 draws leave a share p uncertain by sqrt(p / 20,000); four of those.
#[test]
fn chance_of_a_match_is_what_chance_makes() {
    let cycles = students_cycles();
    let (shortest, longest) = TEN_MINUTES.periods_beats;
    let draws = 20_000;
    for relative_sd in [1e-4, 1e-3, 1e-2] {
        let (mut hits, mut said) = (0, 0.0);
        for draw in 0..draws {
            // Golden ratio: evenly spread and in no step with any period.
            let at = (f64::from(draw) * 0.618_033_988_749_895).fract();
            let beats = shortest * (longest / shortest).powf(at);
            let named = name(&found(beats, relative_sd * beats), &TEN_MINUTES, &cycles);
            if named.candidates.iter().any(|c| c.showing.is_direct()) {
                hits += 1;
                said = named.chance_of_match;
            }
        }
        let share = f64::from(hits) / f64::from(draws);
        let reach = 4.0 * (said / f64::from(draws)).sqrt();
        assert!((share - said).abs() < reach, "{relative_sd}: {share} {said}");
    }
}

#[test]
fn another_beat_is_another_train() {
    let cycles = students_cycles();
    // 1,000 s/d are 208 of 18,000 beats an hour.
    for (beats_per_hour, looked) in [(18_200.0, true), (18_220.0, false), (28_800.0, false)] {
        let searched = Searched { beats_per_hour, ..TEN_MINUTES };
        let named = name(&found(300.0, 0.3), &searched, &cycles);
        assert_eq!((named.candidates.len() == 1, named.looked_at > 0), (looked, looked));
    }
}

/// Two trains of one beat: a minute is the fourth wheel of either.
#[test]
fn two_trains_that_go_alike_are_not_told_apart() {
    let mut cycles = students_cycles();
    let other = cycles.clone().into_iter().map(|c| Cycle {
        name: format!("{} of B", c.name),
        train: 1,
        arbors: c.arbors.iter().map(|a| a + 100).collect(),
        ..c
    });
    cycles.extend(other);
    let named = name(&found(300.0, 0.3), &TEN_MINUTES, &cycles);
    let both = ["turn of the fourth arbor", "turn of the fourth arbor of B"];
    assert_eq!(names(&named, &cycles), both);
    assert_eq!(named.sure(), None);
}

/// 30, 32 and 60 beats: 15 teeth (bib:student-answers), 16 (bib:playtner1910: "one turn is 32
/// beats"), 30 (bib:goodrich1905). A minute of 18,000 an hour is 300 beats.
#[test]
fn what_an_unknown_train_could_be() {
    let cycles = usual_cycles(whole(18_000));
    for (beats, is) in [
        (30.0, "turn of an escape wheel of 15 teeth"),
        (32.0, "turn of an escape wheel of 16 teeth"),
        (60.0, "turn of an escape wheel of 30 teeth"),
        (300.0, "turn of a seconds wheel (fourth wheel)"),
    ] {
        let named = name(&found(beats, 1e-4 * beats), &TEN_MINUTES, &cycles);
        assert!(names(&named, &cycles).contains(&is), "{beats}: {:?}", names(&named, &cycles));
    }
    // The student's escape pinion of 7 on a wheel of 15 teeth: 30/7 beats.
    let named = name(&found(30.0 / 7.0, 1e-4), &TEN_MINUTES, &cycles);
    let seven = "teeth of a fourth wheel and an escape pinion of 7, with an escape wheel of 15";
    assert!(names(&named, &cycles).contains(&seven), "{:?}", names(&named, &cycles));
    // An hour of so odd a beat cannot be written exactly.
    assert_eq!(usual_cycles(Ratio::new(u128::MAX, u128::MAX - 1).unwrap()), []);
}

proptest! {
    /// Each cycle of any train is found again at its own period, and a wider uncertainty never makes
    /// a match less likely, nor takes a candidate away.
    #[test]
    fn every_cycle_is_found_again(
        (centre, third, fourth) in (60_u32..96, 50_u32..90, 50_u32..90),
        pinion in 6_u32..12,
        escape in 12_u32..30,
        off_sd in -2.9_f64..2.9,
        sd in 1e-6_f64..1e-2,
    ) {
        let wheels = format!("{centre}-{third}-{fourth}");
        let pinions = format!("{pinion}-{pinion}-{pinion}");
        let movement = row(&wheels, &pinions, escape, 1).movement(None, None).unwrap();
        let running = Running::of(&movement).unwrap();
        let cycles = running.cycles(&movement).unwrap();
        let beats_per_hour = running.balances[0].beats_per_hour.unwrap().to_f64();
        let searched = Searched { beats_per_hour, ..TEN_MINUTES };
        for cycle in &cycles {
            let beats = cycle.beats.unwrap().to_f64();
            if !(searched.periods_beats.0..=searched.periods_beats.1).contains(&beats) {
                continue;
            }
            let seen = beats * (off_sd * sd).exp();
            let named = name(&found(seen, sd * seen), &searched, &cycles);
            let periods: Vec<Ratio> =
                named.candidates.iter().map(|c| cycles[c.cycle].period_s).collect();
            prop_assert!(periods.contains(&cycle.period_s), "{} {periods:?}", cycle.name);
            prop_assert!(named.candidates.iter().all(|c| c.showing.is_direct()));
            prop_assert!((0.0..=1.0).contains(&named.chance_of_match));
            let wider = name(&found(seen, 2.0 * sd * seen), &searched, &cycles);
            prop_assert!(wider.chance_of_match >= named.chance_of_match);
            prop_assert!(named.candidates.iter().all(|c| wider.candidates.contains(c)));
        }
    }
}
