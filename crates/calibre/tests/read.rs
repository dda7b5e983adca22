//! Calibres as people write them, and what is said where one is wrong.

// In a test, what cannot be unwrapped is the failure.
#![allow(clippy::unwrap_used)]

use calibre::{MOST_BYTES, read};
use horology::train::missing::{USUAL_LEAVES, Wanted, missing_teeth};
use horology::train::{Ratio, Running, ToothedAt};

/// The train and motion work of bib:student-answers (80, 75, 70, escape wheel 15; pinions 10, 10, 7;
/// cannon pinion 12, minute wheel 48, its pinion 12, hour wheel 36), and the barrel of
/// bib:goodrich1905, chapter XV: 144 in a centre pinion of 8.
const WHOLE: &str = include_str!("whole.toml");

#[test]
fn a_whole_movement() {
    let calibre = read(WHOLE).unwrap();
    assert_eq!((calibre.title.as_str(), calibre.unknowns.len()), ("Counted at the bench", 0));
    let running = Running::of(&calibre.movement).unwrap();
    assert_eq!(running.problems, []);
    assert_eq!(running.balances[0].beats_per_hour, Ratio::whole(18_000));
    assert!(running.hands.iter().all(|hand| hand.rate.unwrap().s_per_d() == 0.0));
    assert_eq!(running.hands.len(), 3);
    assert_eq!(running.barrels[0].runs_s, Ratio::whole(180 * 3600));
}

/// What the documents show can be read, and its hands are right.
#[test]
fn the_example_of_the_documents() {
    let page = include_str!("../../../docs/design/trains.md");
    let example = page.split("```toml\n").nth(1).and_then(|rest| rest.split("```").next()).unwrap();
    let calibre = read(example).unwrap();
    let running = Running::of(&calibre.movement).unwrap();
    assert_eq!(running.problems, []);
    assert_eq!(running.hands.len(), 3);
    assert!(running.hands.iter().all(|hand| hand.rate.unwrap().s_per_d() == 0.0));
}

#[test]
fn missing_teeth_are_sought() {
    let text = WHOLE
        .replace("wheel = 70", "wheel = \"60-90\"")
        .replace("pinion = 7", "pinion = \"?\"")
        .replace("# beats-per-hour", "beats-per-hour");
    let calibre = read(&text).unwrap();
    let ranges: Vec<_> = calibre.unknowns.iter().map(|u| u.teeth.clone()).collect();
    assert_eq!(ranges, [60..=90, USUAL_LEAVES]);
    let wanted = Wanted { unknowns: calibre.unknowns.clone(), within_s_per_d: 0.0 };
    let found = missing_teeth(&calibre.movement, &wanted).unwrap();
    let teeth: Vec<_> = found.good.iter().map(|answer| answer.teeth.clone()).collect();
    assert_eq!(teeth, [[60, 6], [70, 7], [80, 8], [90, 9]]);
}

#[test]
fn what_is_wrong_is_told_with_its_line() {
    let told = |text: &str| read(text).unwrap_err().to_string();
    let line = |wanted: &str| 1 + WHOLE.lines().position(|l| l.contains(wanted)).unwrap();
    let changed = |from: &str, to: &str| told(&WHOLE.replacen(from, to, 1));
    for (from, to, sentence) in [
        (
            "[\"third wheel\", ",
            "[\"thrid wheel\", ",
            "there is no wheel or pinion “thrid wheel”: there are barrel wheel, centre cannon pinion,",
        ),
        (
            "on = \"fourth\"",
            "on = \"forth\"",
            "there is no arbor “forth”: there are barrel, centre,",
        ),
        (
            "wheel = 70",
            "wheel = 0",
            "a wheel cannot have 0 teeth: count again; 1 to 10000 are taken",
        ),
        ("wheel = 70", "wheel = 7.5", "expected a whole number of teeth"),
        ("wheel = 70", "wheel = \"many\"", "write a whole number of teeth"),
        ("turns = 10", "turns = -1", "write a number above zero, not -1"),
        ("turns = 10", "turn = 10", "unknown key `turn`"),
        ("shows = \"seconds\"", "shows = \"dates\"", "unknown variant `dates`"),
        ("shows = \"seconds\"", "turns-in = \"1 min 1 min\"", "write the time of a turn"),
    ] {
        let told = changed(from, to);
        assert!(told.contains(sentence) && told.ends_with('.'), "{from}: {told}");
        assert!(told.starts_with(&format!("line {}: ", line(from))), "{from}: {told}");
    }
    let both = changed("shows = \"seconds\"", "shows = \"seconds\"\nturns-in = \"1min\"");
    assert!(both.contains("write one of shows and turns-in"), "{both}");
    let double = changed("name = \"fourth\"", "name = \"third\"");
    assert!(double.starts_with("line 15: Two have the name “third”"), "{double}");
    for name in ["\"a\\u001b[31m\"", &format!("\"{}\"", "x".repeat(61))] {
        let odd = changed("\"fourth\"", name);
        assert!(odd.starts_with("line 15: a name is too long or holds"), "{odd}");
        let odd = changed("on = \"fourth\"", &format!("on = {name}"));
        assert!(odd.contains("a name is too long or holds"), "{odd}");
    }
    assert!(told("").contains("There is no arbor"));
    assert!(told("arbor = 5").starts_with("line 1: "));
    assert!(told("[[arbor]\n").starts_with("line 1: "));
    assert!(told(&" ".repeat(MOST_BYTES + 1)).contains("longer than"));
    let twice = "[[arbor]]\nname = \"a\"\ncarries = { \"b c\" = 5 }\n[[arbor]]\nname = \"a b\"\n\
                 carries = { c = 5 }\n[[mesh]]\nbetween = [\"a b c\", \"a\"]\n";
    assert_eq!(
        told(twice),
        "line 8: “a b c” can be read as two: rename an arbor or what it carries."
    );
}

#[test]
fn an_arbor_that_carries_one_wheel_is_called_by_its_own_name() {
    let text = WHOLE.replace("\"hour wheel wheel\"", "\"hour wheel\"");
    assert_eq!(read(&text).unwrap(), read(WHOLE).unwrap());
    let calibre = read(WHOLE).unwrap();
    assert_eq!(
        calibre.movement.toothed_name(ToothedAt { arbor: 6, toothed: 0 }),
        "hour wheel wheel"
    );
}

/// Numbers are taken as they are written, not as the nearest floating-point number.
#[test]
fn decimals_are_exact() {
    let text = WHOLE.replace("# beats-per-hour = 18000", "beats-per-hour = 17999.9");
    let calibre = read(&text).unwrap();
    assert_eq!(calibre.movement.parts().balances[0].beats_per_hour, Ratio::new(179_999, 10));
}
