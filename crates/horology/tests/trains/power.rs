use super::made::{Made, whole};
use horology::train::Problem;

/// bib:goodrich1905, chapter XV: a barrel wheel of 144 in a centre pinion of 8 turns once in 18
/// hours; ten turns last 180 hours, seven and a half days.
#[test]
fn ten_turns_last_180_hours() {
    let running = going(144, 8, 10).running();
    assert_eq!(running.problems, []);
    assert_eq!(running.barrels[0].turn_s, Some(whole(18 * 3600)));
    assert_eq!(running.barrels[0].runs_s, Some(whole(180 * 3600)));
}

/// The same chapter: an eight-day clock makes 192 turns of its centre arbor, 12 to one of the barrel:
/// 16 turns. Another pair of 4 to 1 makes a month of it (32 days); pairs of 4.5 and 6 to 1, six
/// months (216 days).
#[test]
fn from_eight_days_to_six_months() {
    assert_eq!(going(96, 8, 16).running().barrels[0].runs_s, Some(whole(192 * 3600)));
    for (pairs, days) in [(vec![(40, 10)], 32), (vec![(45, 10), (60, 10)], 216)] {
        let mut made = Made::default().arbor("centre", "pinion 8").hand("minute", "centre", 3600);
        made = made.arbor("great", "wheel 96");
        made = made.mesh("great wheel", "centre pinion");
        let mut driven = "great".to_owned();
        for (place, (wheel, pinion)) in pairs.into_iter().enumerate() {
            // The pair's pinion is fast on what was the great wheel's arbor before.
            let at = made.0.arbors.iter().position(|arbor| arbor.name == driven).unwrap();
            let pinion = horology::train::Toothed { name: "pinion".into(), teeth: pinion };
            made.0.arbors[at].carries.push(pinion);
            let name = format!("extra {place}");
            made = made.arbor(&name, &format!("wheel {wheel}"));
            made = made.mesh(&format!("{name} wheel"), &format!("{driven} pinion"));
            driven = name;
        }
        let running = made.barrel("going", &driven, None, 16).running();
        assert_eq!(running.problems, []);
        assert_eq!(running.barrels[0].runs_s, Some(whole(days * 24 * 3600)));
    }
}

fn going(wheel: u32, pinion: u32, turns: u128) -> Made {
    Made::default()
        .arbor("barrel", &format!("wheel {wheel}"))
        .arbor("centre", &format!("pinion {pinion}"))
        .mesh("barrel wheel", "centre pinion")
        .hand("minute", "centre", 3600)
        .barrel("going", "barrel", None, turns)
}

/// Barrels one after the other: the second's drum makes its own turns and those of its arbor. With
/// a pair of 1 to 1 the turns of both add up; no published source, by counting turns.
#[test]
fn barrels_one_after_the_other_add_their_turns() {
    let one_after_the_other = |first: u32, second: u32| {
        Made::default()
            .arbor("first drum", &format!("wheel {first}"))
            .arbor("second arbor", &format!("wheel {second}"))
            .arbor("second drum", "wheel 144")
            .arbor("centre", "pinion 8")
            .mesh("first drum wheel", "second arbor wheel")
            .mesh("second drum wheel", "centre pinion")
            .hand("minute", "centre", 3600)
            .barrel("first", "first drum", None, 6)
            .barrel("second", "second drum", Some("second arbor"), 7)
            .running()
    };
    let running = one_after_the_other(60, 60);
    assert_eq!(running.problems, []);
    assert_eq!(running.barrels[1].turns, Some(whole(13)));
    assert_eq!(running.barrels[1].runs_s, Some(whole(13 * 18 * 3600)));
    assert_eq!(running.barrels[0].runs_s, None);
    // Geared up two to one, the first gives twelve.
    assert_eq!(one_after_the_other(80, 40).barrels[1].turns, Some(whole(19)));
}

#[test]
fn barrels_that_cannot_wind_each_other_are_told() {
    let circle = Made::default()
        .arbor("a", "wheel 60")
        .arbor("a arbor", "wheel 60")
        .arbor("b", "wheel 60")
        .arbor("b arbor", "wheel 60")
        .mesh("a wheel", "b arbor wheel")
        .mesh("b wheel", "a arbor wheel")
        .barrel("A", "a", Some("a arbor"), 6)
        .barrel("B", "b", Some("b arbor"), 6)
        .running();
    assert!(circle.problems.iter().any(|p| p.code() == "barrels_in_circle"), "{circle:?}");
    let alone = going(144, 8, 10).arbor("arbor", "wheel 20");
    let mut alone = alone;
    alone.0.barrels[0].arbor = Some(2);
    let running = alone.running();
    assert!(running.problems.contains(&Problem::BarrelArborAlone { barrel: "going".into() }));
    assert_eq!(running.barrels[0].runs_s, None);
}
