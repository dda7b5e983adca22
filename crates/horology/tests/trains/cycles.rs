use super::made::{student, whole};
use horology::train::{CycleKind, Ratio, Running};

/// From the student's train by hand: third wheel 450 s, fourth 60 s, escape wheel 6 s and 30 beats;
/// from tooth to tooth 45 s, 6 s and 6/7 s.
#[test]
fn periods_to_look_for_faults_with() {
    let movement = student().movement();
    let running = Running::of(&movement).unwrap();
    let cycles = running.cycles(&movement).unwrap();
    let find = |name: &str| cycles.iter().find(|c| c.name == name).unwrap();
    for (name, period_s, beats) in [
        ("turn of the third arbor", whole(450), 2250),
        ("turn of the fourth arbor", whole(60), 300),
        ("turn of the escape arbor", whole(6), 30),
        ("teeth of the centre wheel and the third pinion", whole(45), 225),
        ("teeth of the third wheel and the fourth pinion", whole(6), 30),
    ] {
        assert_eq!(
            (find(name).period_s, find(name).beats),
            (period_s, Some(whole(beats))),
            "{name}"
        );
    }
    let last = find("teeth of the fourth wheel and the escape pinion");
    assert_eq!(last.period_s, Ratio::new(6, 7).unwrap());
    assert_eq!((last.kind.code(), last.train), ("tooth", 0));
    // 80 and 10 have a common multiple of 80 teeth: each turn of the centre wheel.
    assert_eq!(find("same teeth of the centre wheel and the third pinion").period_s, whole(3600));
    // 70 and 7 of 70, one turn of the fourth; 48 and 12 of 48, four turns of the cannon pinion.
    assert_eq!(find("same teeth of the fourth wheel and the escape pinion").period_s, whole(60));
    let again = find("same teeth of the centre cannon pinion and the minute wheel wheel");
    assert_eq!((again.period_s, again.kind), (whole(4 * 3600), CycleKind::PairAgain));
    assert!(cycles.windows(2).all(|w| w[0].period_s.to_f64() <= w[1].period_s.to_f64()));
    assert_eq!(cycles.len(), 6 + 2 * 5);
}
