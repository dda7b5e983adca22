use super::made::{Made, motion_work, row, teeth, whole};
use horology::train::missing::{
    Answers, Refused, USUAL_LEAVES, USUAL_TEETH, Unknown, Wanted, missing_teeth,
};
use horology::train::{Movement, Row, Running, ToothedAt};
use proptest::prelude::*;
use std::ops::RangeInclusive;

/// A row whose first arbor turns in this time, and whose balance beats as said.
fn train(wheels: &str, pinions: &str, escape: u32, first_s: u128, beats: u128) -> Movement {
    let mut train = row(wheels, pinions, escape, 1);
    train.first_turns_in_s = None;
    train.beats_per_hour = Some(whole(beats));
    train.movement(Some(whole(first_s)), None).unwrap()
}

/// A pair whose driven arbor turns so often as fast as the driving one.
fn pair(times: (u128, u128)) -> Movement {
    let row = Row { wheels: vec![1], pinions: vec![1], ..Row::default() };
    row.movement(Some(whole(60 * times.0)), Some(whole(60 * times.1))).unwrap()
}

fn find(
    movement: &Movement,
    unknowns: &[(ToothedAt, RangeInclusive<u32>)],
    within: f64,
) -> Answers {
    let unknowns = unknowns.iter().map(|(at, teeth)| Unknown { at: *at, teeth: teeth.clone() });
    let wanted = Wanted { unknowns: unknowns.collect(), within_s_per_d: within };
    missing_teeth(movement, &wanted).unwrap()
}

fn exact(answers: &Answers) -> Vec<Vec<u32>> {
    let right = answers.good.iter().filter(|answer| answer.worst().s_per_d() == 0.0);
    right.map(|answer| answer.teeth.clone()).collect()
}

/// bib:playtner1910, opening pages: a fourth wheel for an escape wheel of 16 and 300 beats a minute.
/// With a pinion of 8 it has 75 teeth, and only a pinion of 8 gives a whole number (so of 6 to 10
/// leaves; with 16 it would be 150).
#[test]
fn fourth_wheel_for_an_escape_wheel_of_16() {
    let movement = train("1", "8", 16, 60, 18_000);
    let answers = find(&movement, &[(Row::wheel(0), USUAL_TEETH)], 60.0);
    assert_eq!(exact(&answers), [[75]]);
    assert_eq!(answers.judged_by, ["the first hand"]);
    let both = [(Row::wheel(0), USUAL_TEETH), (Row::pinion(0), 6..=10)];
    assert_eq!(exact(&find(&movement, &both, 0.0)), [[75, 8]]);
    let both = [(Row::wheel(0), USUAL_TEETH), (Row::pinion(0), USUAL_LEAVES)];
    assert_eq!(exact(&find(&movement, &both, 0.0)), [[75, 8], [150, 16]]);
}

/// bib:goodrich1905, chapter XIV, the rule taken from Britten: 5,400 vibrations an hour, escape wheel
/// 30, pinions 8, third wheel 72 want a centre wheel of 80.
#[test]
fn centre_wheel_by_an_old_rule() {
    let movement = train("1-72", "8-8", 30, 3600, 5_400);
    let answers = find(&movement, &[(Row::wheel(0), USUAL_TEETH)], 60.0);
    assert_eq!(exact(&answers), [[80]]);
    assert_eq!((answers.good.len(), answers.nearest.len()), (1, 0));
}

/// bib:goodrich1905, chapter XIV: a pinion of 12 whose arbor turns 7.5 times for the lost wheel once
/// wants 90 teeth; 7.5 is 60/8, 75/10, 90/12.
#[test]
fn lost_wheel_for_a_ratio() {
    let wheel = (Row::wheel(0), USUAL_TEETH);
    let movement = pair((15, 2));
    for (leaves, teeth) in [(12, 90), (10, 75), (8, 60)] {
        let both = [wheel.clone(), (Row::pinion(0), leaves..=leaves)];
        assert_eq!(exact(&find(&movement, &both, 0.0)), [[teeth, leaves]]);
    }
    let all = exact(&find(&movement, &[wheel, (Row::pinion(0), 8..=12)], 0.0));
    assert_eq!(all, [[60, 8], [75, 10], [90, 12]]);
}

/// bib:goodrich1905, chapter XV: a seconds arbor wants 60 = 7.5 x 8 from the centre, for example 80/10
/// and 75/10. Of all pairs for two pinions of 10 the most alike, 75 and 80, comes first.
#[test]
fn two_lost_wheels() {
    let row = Row { wheels: vec![1, 1], pinions: vec![10, 10], ..Row::default() };
    let movement = row.movement(Some(whole(3600)), Some(whole(60))).unwrap();
    let both = [(Row::wheel(0), USUAL_TEETH), (Row::wheel(1), USUAL_TEETH)];
    let answers = find(&movement, &both, 5.0);
    let right = exact(&answers);
    assert_eq!(right[..2], [[75, 80], [80, 75]]);
    // Every pair of divisors of 6,000 within the bounds, and nothing else.
    assert!(right.iter().all(|pair| pair[0] * pair[1] == 6_000));
    let counted = (20..=150).filter(|n| 6_000 % n == 0 && (20..=150).contains(&(6_000 / n)));
    assert_eq!(right.len(), counted.count());
}

/// bib:student-answers: hour wheel 48, its pinion 10, cannon pinion 12: minute wheel 30; minute
/// wheel 48, pinion 12, hour wheel 36: cannon pinion 12. And the slip of the third: with an hour
/// wheel of 64, a minute wheel of 42 and its pinion of 16 the cannon pinion is 14, not the 16 printed.
#[test]
fn lost_wheels_of_the_motion_work() {
    let cannon = ToothedAt { arbor: 0, toothed: 0 };
    let minute = ToothedAt { arbor: 1, toothed: 0 };
    let of = |made: Made, at| exact(&find(&made.movement(), &[(at, 6..=150)], 60.0));
    assert_eq!(of(motion_work(12, 1, 10, 48), minute), [[30]]);
    assert_eq!(of(motion_work(1, 48, 12, 36), cannon), [[12]]);
    assert_eq!(of(motion_work(1, 42, 16, 64), cannon), [[14]]);
}

/// By hand: the balance holds its beat, so with 79 teeth for 80 between it and the hand, the
/// hand gains 86400 / 79 s a day; 81 make it lose 86400 / 81.
#[test]
fn rate_that_a_wrong_wheel_causes() {
    let movement = train("1-72", "8-8", 30, 3600, 5_400);
    let of = |teeth| find(&movement, &[(Row::wheel(0), teeth..=teeth)], 0.0).nearest[0].worst();
    assert!((of(79).s_per_d() - 86_400.0 / 79.0).abs() < 1e-9);
    assert!((of(81).s_per_d() + 86_400.0 / 81.0).abs() < 1e-9);
    // Where none is good enough, the nearest are told, and they are no answers.
    let none = find(&movement, &[(Row::wheel(0), 20..=79)], 60.0);
    assert_eq!((none.good.len(), &none.nearest[0].teeth[..]), (0, &[79][..]));
}

/// bib:goodrich1905, chapter XIV: each train of the table, from its exact beat, with each of its
/// wheels, then each wheel and pinion, lost.
#[test]
fn every_wheel_of_the_table_is_found_again() {
    for line in include_str!("../data/goodrich1905-trains.txt").lines() {
        let Some((hours, rest)) = line.split_once("; ").filter(|_| !line.starts_with('#')) else {
            continue;
        };
        let parts: Vec<&str> = rest.split("; ").collect();
        let hours: u128 = hours.parse().unwrap();
        let mut train = row(parts[0], parts[1], parts[2].parse().unwrap(), hours);
        train.beats_per_hour = Some(super::made::beats_per_hour(&train));
        train.first_turns_in_s = None;
        let movement = train.movement(Some(whole(3600 * hours)), None).unwrap();
        let (wheels, pinions) = (teeth(parts[0]), teeth(parts[1]));
        for place in 0..wheels.len() {
            let wheel = (Row::wheel(place), USUAL_TEETH);
            assert_eq!(
                exact(&find(&movement, std::slice::from_ref(&wheel), 60.0)),
                [[wheels[place]]]
            );
            let pinion = (Row::pinion(place), USUAL_LEAVES);
            let pairs = exact(&find(&movement, &[wheel, pinion], 0.0));
            assert!(pairs.contains(&vec![wheels[place], pinions[place]]), "{line}");
        }
        let escape = find(&movement, &[(train.escape_wheel(), 3..=60)], 0.0);
        assert_eq!(exact(&escape), [[train.escape.unwrap()]]);
    }
}

#[test]
fn what_cannot_be_looked_for_is_told() {
    let movement = train("80-75-70", "10-10-7", 15, 3600, 18_000);
    let told = |unknowns: &[(ToothedAt, RangeInclusive<u32>)], within| {
        let unknowns = unknowns.iter().map(|(at, teeth)| Unknown { at: *at, teeth: teeth.clone() });
        let wanted = Wanted { unknowns: unknowns.collect(), within_s_per_d: within };
        missing_teeth(&movement, &wanted).unwrap_err()
    };
    let wheel = |place| (Row::wheel(place), USUAL_TEETH);
    assert_eq!(told(&[], 1.0), Refused::HowMany { unknowns: 0 });
    let three = told(&[wheel(0), wheel(1), wheel(2)], 1.0);
    assert_eq!(three, Refused::HowMany { unknowns: 3 });
    assert_eq!(told(&[wheel(0), wheel(0)], 1.0), Refused::SameTwice);
    #[allow(clippy::reversed_empty_ranges, reason = "that is what is refused")]
    for teeth in [0..=10, 20..=10, 20..=1001] {
        assert!(matches!(told(&[(Row::wheel(0), teeth)], 1.0), Refused::Range { .. }));
    }
    for within in [-1.0, 8641.0, f64::NAN] {
        assert!(matches!(told(&[wheel(0)], within), Refused::Within { .. }));
    }
    let nowhere = (ToothedAt { arbor: 9, toothed: 0 }, USUAL_TEETH);
    assert!(matches!(told(&[nowhere], 1.0), Refused::Impossible(_)));
    // The balance alone says nothing of any wheel.
    let alone = row("80-75", "8-8", 15, 1);
    let alone = Row { first_turns_in_s: None, beats_per_hour: Some(whole(18_000)), ..alone };
    let refused = |movement: &Movement| {
        let unknowns = vec![Unknown { at: Row::wheel(0), teeth: USUAL_TEETH }];
        missing_teeth(movement, &Wanted { unknowns, within_s_per_d: 1.0 }).unwrap_err()
    };
    let nothing = refused(&alone.movement(None, None).unwrap());
    assert_eq!(nothing, Refused::NothingDepends { name: "no. 1 wheel".into() });
    assert!(nothing.to_string().contains("say what shall be right"));
    let bare = Row { beats_per_hour: None, ..alone };
    assert!(matches!(refused(&bare.movement(None, None).unwrap()), Refused::SpeedUnknown { .. }));
}

proptest! {
    /// From a train to its beat, and from the beat back to one or two lost numbers of teeth.
    #[test]
    fn from_a_train_to_its_beat_and_back(
        wheels in prop::collection::vec(20_u32..=150, 3),
        pinions in prop::collection::vec(6_u32..=20, 3),
        escape in 12_u32..=40,
        one in 0_usize..3,
        other in 0_usize..3,
    ) {
        let counted = Row {
            wheels: wheels.clone(),
            pinions: pinions.clone(),
            escape: Some(escape),
            first_turns_in_s: Some(whole(3600)),
            beats_per_hour: None,
        };
        let running = Running::of(&counted.movement(None, None).unwrap()).unwrap();
        let beats = running.balances[0].beats_per_hour;
        let train = Row { first_turns_in_s: None, beats_per_hour: beats, ..counted };
        let movement = train.movement(Some(whole(3600)), None).unwrap();
        let wheel = (Row::wheel(one), USUAL_TEETH);
        prop_assert_eq!(exact(&find(&movement, std::slice::from_ref(&wheel), 0.0)), [[wheels[one]]]);
        let pinion = (Row::pinion(other), USUAL_LEAVES);
        let found = exact(&find(&movement, &[wheel.clone(), pinion], 0.0));
        prop_assert!(found.contains(&vec![wheels[one], pinions[other]]));
        if one != other {
            let found = exact(&find(&movement, &[wheel, (Row::wheel(other), USUAL_TEETH)], 0.0));
            prop_assert!(found.contains(&vec![wheels[one], wheels[other]]));
        }
    }

    /// The quick search against every pair, one by one.
    #[test]
    fn nothing_is_left_out(
        wheels in prop::collection::vec(20_u32..=60, 2),
        pinions in prop::collection::vec(6_u32..=12, 2),
        within in 0.0_f64..2000.0,
    ) {
        let counted = Row {
            wheels,
            pinions,
            escape: Some(15),
            first_turns_in_s: None,
            beats_per_hour: Some(whole(9_000)),
        };
        let movement = counted.movement(Some(whole(3600)), None).unwrap();
        let both = [(Row::wheel(0), 20..=60), (Row::pinion(1), 6..=12)];
        let found = find(&movement, &both, within).good.len();
        let mut plain = 0;
        for wheel in 20..=60 {
            for pinion in 6..=12 {
                let mut tried = counted.clone();
                tried.wheels[0] = wheel;
                tried.pinions[1] = pinion;
                let running = Running::of(&tried.movement(Some(whole(3600)), None).unwrap()).unwrap();
                plain += usize::from(running.hands[0].rate.unwrap().s_per_d().abs() <= within);
            }
        }
        prop_assert_eq!(found, plain);
    }
}
