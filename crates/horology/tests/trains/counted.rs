use super::made::{Made, beats_per_hour, row, student, whole};
use horology::train::{Ratio, Running};

/// bib:student-answers: 80 x 75 x 70 x 30 / (10 x 10 x 7) = 18,000.
#[test]
fn student_s_train_beats_18000() {
    let running = student().running();
    assert_eq!(running.problems, []);
    assert_eq!(running.balances[0].beats_per_hour, Some(whole(18_000)));
}

/// bib:playtner1910, opening pages: 300 beats a minute with an escape wheel of 16 teeth and a pinion
/// of 8 leaves want a fourth wheel of 75, which turns once a minute.
#[test]
fn fourth_wheel_for_an_escape_wheel_of_16() {
    let mut train = row("75", "8", 16, 1);
    train.first_turns_in_s = Some(whole(60));
    assert_eq!(beats_per_hour(&train), whole(300 * 60));
}

/// bib:goodrich1905, chapter XIII: 48, 48, 45, escape wheel 15, pinions 6, 6, 6 give 7,200. That
/// author counts whole vibrations, there and back: in beats it is twice as many, 240 a minute.
#[test]
fn whole_vibrations_of_an_old_book_are_half_our_beats() {
    let beats = beats_per_hour(&row("48-48-45", "6-6-6", 15, 1));
    assert_eq!(beats, whole(14_400));
    assert_ne!(beats, whole(7_200));
}

/// bib:goodrich1905, chapter XIV: the escape arbor of 84-78 / 7-7 turns 6552/49 = 133.714 times an
/// hour, printed as 133.7.
#[test]
fn turns_of_an_escape_arbor() {
    let running = Running::of(&row("84-78", "7-7", 30, 1).movement(None, None).unwrap()).unwrap();
    let turn_s = running.arbors[2].turn_s.unwrap();
    let per_hour = whole(3600).over(turn_s).unwrap();
    assert_eq!(per_hour, Ratio::new(6552, 49).unwrap());
    assert!((per_hour.to_f64() - 133.7).abs() < 0.05);
}

/// bib:goodrich1905, chapter XV: a centre wheel of 80 with a pinion of 10, then 75 with 10, turn a
/// seconds arbor once a minute.
#[test]
fn seconds_arbor_turns_once_a_minute() {
    let running = student().running();
    assert_eq!(running.arbors[2].turn_s, Some(whole(60)));
    assert_eq!(running.hands[2].rate.unwrap().s_per_d(), 0.0);
}

/// An intermediate wheel changes the sense and not the ratio, whatever its teeth (kinematics, any
/// text). A wheel with inner teeth turns as what drives it.
#[test]
fn intermediate_wheels_and_inner_teeth() {
    for teeth in [17, 40, 61] {
        let running = Made::default()
            .arbor("centre", "wheel 60")
            .arbor("intermediate", &format!("wheel {teeth}"))
            .arbor("last", "wheel 20")
            .mesh("centre wheel", "intermediate wheel")
            .mesh("intermediate wheel", "last wheel")
            .hand("minute", "centre", 3600)
            .hand("last", "last", 1200)
            .running();
        assert_eq!(running.problems, []);
        assert_eq!(running.arbors[2].turn_s, Some(whole(1200)));
        assert_eq!(running.arbors[2].sense, running.arbors[0].sense);
        assert_ne!(running.arbors[1].sense, running.arbors[0].sense);
    }
    let ring = Made::default()
        .arbor("centre", "wheel 20")
        .arbor("ring", "teeth 60")
        .inside("centre wheel", "ring teeth")
        .hand("minute", "centre", 3600)
        .hand("three-hour", "ring", 10_800)
        .running();
    assert_eq!(ring.problems, []);
    assert_eq!(ring.hands[1].rate.unwrap().s_per_d(), 0.0);
}
