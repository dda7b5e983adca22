use super::made::{Made, student, whole};
use horology::train::{Impossible, Problem};

#[test]
fn what_no_movement_can_be_is_refused_with_a_sentence() {
    let wheel = || Made::default().arbor("centre", "wheel 80");
    let told = |made: Made| made.impossible().to_string();
    assert_eq!(
        told(Made::default().arbor("centre", "wheel 0")),
        "The centre wheel cannot have 0 teeth: count again; 1 to 10000 are taken."
    );
    assert!(told(Made::default().arbor("centre", "wheel 10001")).contains("10001 teeth"));
    assert_eq!(
        told(
            Made::default()
                .arbor("centre", "wheel 80, pinion 8")
                .mesh("centre wheel", "centre pinion")
        ),
        "The centre wheel and the centre pinion sit on one arbor and cannot work into each other: name \
         the two arbors that mesh. What turns loose on an arbor is an arbor of its own."
    );
    let mut third = wheel().arbor("third", "pinion 8");
    third = third.mesh("centre wheel", "third pinion").mesh("third pinion", "centre wheel");
    assert!(told(third).contains("mesh twice"));
    assert!(told(wheel().arbor("centre", "wheel 3")).contains("Two have the name “centre”"));
    assert_eq!(Made::default().impossible(), Impossible::NoArbors);
    assert!(matches!(wheel().arbor(" ", "wheel 3").impossible(), Impossible::NoName { .. }));
    let two = wheel().balance("A", "centre wheel", None).balance("B", "centre wheel", None);
    assert!(told(two).contains("the escape wheel of each"));
    let mut beats = wheel().balance("A", "centre wheel", None);
    beats.0.balances[0].beats_per_tooth = 0;
    assert!(told(beats).contains("it is 2 with all usual escapements"));
    let mut nowhere = wheel().hand("minute", "centre", 3600);
    nowhere.0.hands[0].on = 7;
    assert_eq!(nowhere.impossible(), Impossible::NoSuchPlace { place: 7 });
    assert!(told(wheel().barrel("A", "centre", Some("centre"), 5)).contains("turn apart"));
}

#[test]
fn an_arbor_that_nothing_drives() {
    let running = student().arbor("day", "wheel 14").running();
    assert_eq!(running.problems, [Problem::SpeedUnknown { arbors: vec!["day".into()] }]);
    assert_eq!(running.arbors[6].turn_s, None);
    // The rest holds.
    assert_eq!(running.balances[0].beats_per_hour, Some(whole(18_000)));
    assert!(running.problems[0].to_string().contains("Put in the mesh that drives them"));
}

#[test]
fn two_speeds_are_told_with_the_way_between_them() {
    let mut made = student();
    made.0.balances[0].beats_per_hour = Some(whole(21_600));
    let running = made.turns_in("centre", 3600).running();
    let [Problem::TwoSpeeds { path, .. }] = &running.problems[..] else {
        panic!("{:?}", running.problems)
    };
    assert_eq!(path, &["centre", "third", "fourth", "escape"]);
    assert_eq!(
        running.problems[0].to_string(),
        "Arbor centre turns once in 3600 s, but balance A makes 21600 beats an hour, and both turn \
         together: centre - third - fourth - escape. Leave one of the two out, or count the teeth \
         between them again."
    );
}

/// A hand that two trains drive.
#[test]
fn two_balances_on_one_hand_are_told_as_the_way_between_them() {
    let running = Made::default()
        .arbor("minute", "wheel 80")
        .arbor("escape A", "pinion 8, wheel 15")
        .arbor("escape B", "pinion 8, wheel 15")
        .mesh("minute wheel", "escape A pinion")
        .mesh("minute wheel", "escape B pinion")
        .hand("minute", "minute", 3600)
        .balance("A", "escape A wheel", None)
        .balance("B", "escape B wheel", None)
        .running();
    let [Problem::TwoBalances { path, hands, balances }] = &running.problems[..] else {
        panic!("{:?}", running.problems)
    };
    assert_eq!(path, &["escape A", "minute", "escape B"]);
    assert_eq!((hands, balances), (&vec!["minute".to_owned()], &["A".to_owned(), "B".to_owned()]));
    assert!(running.problems[0].to_string().contains("Both would drive the hand minute."));
}

#[test]
fn a_ring_that_cannot_turn() {
    // Three in a ring, each in mesh with the next: whatever their teeth, one would turn both ways.
    let three = Made::default()
        .arbor("a", "wheel 20")
        .arbor("b", "wheel 20")
        .arbor("c", "wheel 20")
        .mesh("a wheel", "b wheel")
        .mesh("b wheel", "c wheel")
        .mesh("c wheel", "a wheel")
        .hand("minute", "a", 3600)
        .running();
    let [Problem::Jammed { ring }] = &three.problems[..] else { panic!("{:?}", three.problems) };
    assert_eq!(ring.len(), 3);
    // Four single wheels turn, whatever their teeth: going round, each number cancels.
    let four = |teeth: u32| {
        Made::default()
            .arbor("a", "wheel 20")
            .arbor("b", "wheel 30")
            .arbor("c", &format!("wheel {teeth}"))
            .arbor("d", "wheel 50")
            .mesh("a wheel", "b wheel")
            .mesh("b wheel", "c wheel")
            .mesh("c wheel", "d wheel")
            .mesh("d wheel", "a wheel")
            .hand("minute", "a", 3600)
            .running()
    };
    assert_eq!(four(40).problems, []);
    assert_eq!(four(41).problems, []);
    let uneven = Made::default()
        .arbor("a", "wheel 20, pinion 8")
        .arbor("b", "wheel 30, pinion 12")
        .mesh("a wheel", "b wheel")
        .mesh("a pinion", "b pinion")
        .hand("minute", "a", 3600);
    assert_eq!(uneven.running().problems, []);
    let jammed = Made::default()
        .arbor("a", "wheel 20, pinion 8")
        .arbor("b", "wheel 30, pinion 13")
        .mesh("a wheel", "b wheel")
        .mesh("a pinion", "b pinion")
        .hand("minute", "a", 3600)
        .running();
    assert_eq!(jammed.problems, [Problem::Jammed { ring: vec!["a".into(), "b".into()] }]);
}
