use super::made::{self, Made, student, whole};
use horology::train::{Problem, Running, Sense};
use quantities::{Measured, Rate};

/// bib:student-answers: minute wheel 48 with a pinion of 12 and an hour wheel of 36 want a
/// cannon pinion of 12; hour wheel 48, pinion 10, cannon pinion 12 want a minute wheel of 30.
#[test]
fn motion_work_turns_the_hour_hand_in_twelve_hours() {
    for (cannon, minute, pinion, hour) in [(12, 48, 12, 36), (12, 30, 10, 48)] {
        let running = motion_work(cannon, minute, pinion, hour);
        assert_eq!(running.problems, []);
        assert_eq!(running.hands[1].turn_s, Some(whole(43_200)));
        assert_eq!(running.hands[1].rate.unwrap().s_per_d(), 0.0);
        assert_eq!(running.hands[1].sense, Some(Sense::Clockwise));
    }
}

/// The third example of that page has a slip: it states an hour wheel of 64 with a minute wheel of
/// 42 and finds a cannon pinion of 16, which belongs to a minute wheel of 48. With 42 it is 14.
#[test]
fn slip_of_a_published_motion_work() {
    let rate = |cannon, minute| motion_work(cannon, minute, 16, 64).hands[1].rate.unwrap();
    assert_eq!(rate(14, 42).s_per_d(), 0.0);
    assert_eq!(rate(16, 48).s_per_d(), 0.0);
    // 16 with 42: the hour hand would turn in 10.5 hours, and gain 86400 / 7 s a day.
    assert!((rate(16, 42).s_per_d() - 86_400.0 / 7.0).abs() < 1e-9);
}

/// bib:goodrich1905, chapter XVI: with a minute wheel like its cannon pinion the hour pair is 6:72 or
/// 7:84; a quarter clock whose sprocket turns once in 1.5 h has 48 to 32 for the minutes and 8 to 64
/// for the hours.
#[test]
fn variants_of_the_motion_work() {
    for (pinion, hour) in [(6, 72), (7, 84)] {
        assert_eq!(motion_work(20, 20, pinion, hour).hands[1].rate.unwrap().s_per_d(), 0.0);
    }
    let quarters = Made::default()
        .arbor("sprocket", "wheel 48, pinion 8")
        .arbor("minute", "wheel 32")
        .arbor("hour", "wheel 64")
        .mesh("sprocket wheel", "minute wheel")
        .mesh("sprocket pinion", "hour wheel")
        .turns_in("sprocket", 5400)
        .hand("minute", "minute", 3600)
        .hand("hour", "hour", 43_200)
        .running();
    assert_eq!(quarters.problems, []);
    assert_eq!(quarters.arbors[1].turn_s, Some(whole(3600)));
    assert_eq!(quarters.arbors[2].turn_s, Some(whole(43_200)));
}

fn motion_work(cannon: u32, minute: u32, pinion: u32, hour: u32) -> Running {
    made::motion_work(cannon, minute, pinion, hour).running()
}

/// The other way round: from the balance's beat to the hands, which are right at 18,000.
#[test]
fn hands_from_the_beat() {
    let mut made = student();
    made.0.balances[0].beats_per_hour = Some(whole(18_000));
    let running = made.running();
    assert_eq!(running.problems, []);
    for hand in &running.hands {
        assert_eq!(hand.rate.unwrap().s_per_d(), 0.0);
        assert_eq!(hand.right_at_beats_per_hour, Some(whole(18_000)));
        assert_eq!(hand.balance, Some(0));
    }
}

/// bib:goodrich1905, chapter XIII: a balance that should be counted 120 a minute (whole vibrations,
/// so 14,400 beats per hour) and is counted 118 loses 1,440 s a day; at 122 it gains as much.
#[test]
fn counted_118_or_122_for_120() {
    let made = Made::default()
        .arbor("centre", "wheel 48")
        .arbor("third", "pinion 6, wheel 48")
        .arbor("fourth", "pinion 6, wheel 45")
        .arbor("escape", "pinion 6, wheel 15")
        .mesh("centre wheel", "third pinion")
        .mesh("third wheel", "fourth pinion")
        .mesh("fourth wheel", "escape pinion")
        .hand("minute", "centre", 3600)
        .balance("A", "escape wheel", None);
    let hand = made.running().hands[0];
    for (counted, s_per_d) in [(118.0, -1_440.0), (122.0, 1_440.0)] {
        // Two beats in 14,400 are 12 s in a day.
        let got = hand.rate_s_per_d_at(Measured::new(2.0 * 60.0 * counted, 2.0)).unwrap();
        assert!((got.value - s_per_d).abs() < 1e-9 && (got.sd - 12.0).abs() < 1e-9, "{got:?}");
        let back = hand.beats_per_hour_at(Rate::from_s_per_d(s_per_d)).unwrap();
        assert!((back - 120.0 * counted).abs() < 1e-9);
    }
    // Losing all of a day it stands.
    assert_eq!(hand.beats_per_hour_at(Rate::from_s_per_d(-86_400.0)), None);
}

/// A hand with one intermediate wheel too many.
#[test]
fn a_hand_that_turns_backwards_is_told() {
    let running = Made::default()
        .arbor("centre", "wheel 30")
        .arbor("minute", "wheel 30, pinion 10")
        .arbor("intermediate", "wheel 25")
        .arbor("hour", "wheel 120")
        .mesh("centre wheel", "minute wheel")
        .mesh("minute pinion", "intermediate wheel")
        .mesh("intermediate wheel", "hour wheel")
        .hand("minute", "centre", 3600)
        .hand("hour", "hour", 43_200)
        .running();
    assert_eq!(running.problems, [Problem::Backwards { hand: "hour".into() }]);
    assert_eq!(running.hands[1].rate.unwrap().s_per_d(), 0.0);
}

/// Two trains, two balances: each hand hangs on its own, and a hand's error is that of its balance.
#[test]
fn each_hand_hangs_on_its_own_balance() {
    let running = Made::default()
        .arbor("centre", "wheel 80")
        .arbor("escape A", "pinion 8, wheel 15")
        .arbor("seconds", "wheel 60")
        .arbor("escape B", "pinion 6, wheel 20")
        .mesh("centre wheel", "escape A pinion")
        .mesh("seconds wheel", "escape B pinion")
        .hand("minute", "centre", 3600)
        .hand("seconds", "seconds", 60)
        .balance("A", "escape A wheel", None)
        .balance("B", "escape B wheel", None)
        .running();
    assert_eq!(running.problems, []);
    assert_eq!(running.hands.iter().map(|h| h.balance).collect::<Vec<_>>(), [Some(0), Some(1)]);
    // 10 x 15 x 2, and 60 x 10 x 20 x 2.
    assert_eq!(running.balances[0].beats_per_hour, Some(whole(300)));
    assert_eq!(running.balances[1].beats_per_hour, Some(whole(24_000)));
}
