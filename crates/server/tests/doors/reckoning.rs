//! Reckoning with a movement through the doors: what follows from teeth, springs and beats.

use crate::bench::{Bench, text};
use serde_json::{Value, json};

/// The train and motion work of bib:student-answers (80, 75, 70, escape wheel 15; pinions 10, 10, 7;
/// cannon pinion 12, minute wheel 48, its pinion 12, hour wheel 36): 18,000 beats an hour.
const COUNTED: &str = include_str!("../../../calibre/tests/whole.toml");

fn reckoned(bench: &Bench, wish: &Value) -> Value {
    let (status, told) = bench.page().post("/reckon", wish);
    assert_eq!(status, 200, "{told}");
    told
}

/// A second train beside the first, with a seconds hand and a balance of its own.
fn two_trains(left_fourth_teeth: u32) -> String {
    let left = "[[arbor]]\nname = \"left fourth\"\ncarries = { wheel = 70 }\n\
                [[arbor]]\nname = \"left escape\"\ncarries = { pinion = 7, wheel = 15 }\n\
                [[mesh]]\nbetween = [\"left fourth\", \"left escape pinion\"]\n\
                [[balance]]\nname = \"B\"\nescape = \"left escape wheel\"\nbeats-per-hour = 18000\n\
                [[hand]]\nname = \"left seconds\"\non = \"left fourth\"\nshows = \"seconds\"\n";
    let left = left.replace("70", &left_fourth_teeth.to_string());
    COUNTED.replace("# beats-per-hour", "beats-per-hour") + &left
}

fn close(number: &Value, to: f64, within: f64) {
    let number = number.as_f64().unwrap_or(f64::NAN);
    assert!((number - to).abs() <= within, "{number} is not {to}");
}

#[test]
fn which_hand_hangs_on_which_balance() {
    let bench = Bench::new();
    let told = reckoned(&bench, &json!({ "text": two_trains(70) }));
    assert_eq!(told["problems"], json!([]), "{told}");
    assert_eq!(told["title"], "Counted at the bench");
    let hands = told["hands"].as_array().unwrap();
    let on: Vec<&Value> = hands.iter().map(|hand| &hand["balance"]).collect();
    assert_eq!(on, [&json!(0), &json!(0), &json!(0), &json!(1)]);
    assert!(hands.iter().all(|hand| hand["words"] == "right" && hand["rate_s_per_d"] == 0.0));
    assert_eq!(told["balances"][0]["beats_words"], "18,000");
    let arbors = told["arbors"].as_array().unwrap();
    let fourth = arbors.iter().find(|arbor| arbor["name"] == "fourth").unwrap();
    assert_eq!((&fourth["turn_s"], &fourth["sense"]), (&json!(60.0), &json!("clockwise")));
    // The barrel of bib:goodrich1905, chapter XV: 180 hours in ten turns.
    close(&told["barrels"][0]["runs_s"], 180.0 * 3600.0, 0.0);
    let cycles = told["cycles"].as_array().unwrap();
    assert!(cycles.iter().any(|one| one["name"] == "turn of the fourth arbor"
        && one["period_s"] == 60.0
        && one["beats"] == 300.0));
}

/// Two teeth too many hang the hand on 70 teeth behind 72: it turns 70/72 as fast and loses 2,400 s of
/// 86,400 (division). A beat that gains 10 s/d has every right hand on it gain 10 s/d (definition).
#[test]
fn how_wrong_a_hand_goes() {
    let bench = Bench::new();
    let measured = 18_000.0 * (1.0 + 10.0 / 86_400.0);
    let told = reckoned(
        &bench,
        &json!({
            "text": two_trains(72),
            "measured": [{ "balance": "A", "beats_per_hour": measured, "sd_beats_per_hour": 0.1 }]
        }),
    );
    let hands = &told["hands"];
    close(&hands[3]["rate_s_per_d"], -2400.0, 1e-9);
    assert!(text(&hands[3]["words"]).starts_with("loses 2400.0 s/d"), "{hands}");
    close(&hands[3]["right_at_beats_per_hour"], 18_000.0 * 72.0 / 70.0, 1e-6);
    assert_eq!(hands[3]["measured_rate_s_per_d"], Value::Null);
    close(&hands[0]["measured_rate_s_per_d"]["value"], 10.0, 1e-6);
    // A tenth of a beat in 18,000 is 0.48 s of a day.
    close(&hands[0]["measured_rate_s_per_d"]["sd"], 0.48, 1e-9);
    assert_eq!(hands[0]["measured_words"], "+10.0 ± 0.5 s/d");
}

/// Fourth wheel and escape pinion lost: 70 and 7 are those of the book, and every pair in the ratio
/// ten to one is right.
#[test]
fn lost_wheels_are_found_and_put_in() {
    let bench = Bench::new();
    let lost = COUNTED
        .replace("wheel = 70", "wheel = \"60-90\"")
        .replace("pinion = 7", "pinion = \"?\"")
        .replace("# beats-per-hour", "beats-per-hour");
    let told = reckoned(&bench, &json!({ "text": lost, "within_s_per_d": 0.0 }));
    let missing = &told["missing"][0];
    assert_eq!(missing["near_enough"], true);
    let answers = missing["answers"].as_array().unwrap();
    let teeth: Vec<&Value> = answers.iter().map(|answer| &answer["teeth"]).collect();
    assert_eq!(teeth, [&json!([60, 6]), &json!([70, 7]), &json!([80, 8]), &json!([90, 9])]);
    assert_eq!(told["filled_in"].as_array().unwrap().len(), 2);
    assert_eq!(told["hands"][2]["words"], "right");

    // Three are too many: nothing is made up in their place.
    let three =
        COUNTED.replace("wheel = 70", "wheel = \"?\"").replace("pinion = 7", "pinion = \"?\"");
    let three = three.replace("wheel = 75", "wheel = \"?\"");
    let told = reckoned(&bench, &json!({ "text": three }));
    assert!(
        text(&told["missing"][0]["words"]).contains("3 numbers of teeth are unknown"),
        "{told}"
    );
    assert_eq!(told["arbors"][0]["turn_s"], Value::Null);
    assert_eq!(told["hands"][0]["words"], "speed unknown");
    assert_eq!(told["meshes"][2]["teeth"][0], Value::Null);
}

/// bib:student-answers: barrel 9 mm, arbor 3 mm, thickness 0.10 mm want 282.7 mm. By the geometry
/// (Python) 11.459 coils run down, 18.541 wound up, 7.082 turns.
#[test]
fn a_mainspring_and_another_in_its_place() {
    let bench = Bench::new();
    let spring = "[[mainspring]]\nbarrel = \"A\"\ninner-diameter-mm = 9\narbor-diameter-mm = 3\n\
                  thickness-mm = \"0.10 ± 0.003\"\nheight-mm = 1.5\nbarrel-height-mm = 1.55\n";
    let written = COUNTED.replace("turns = 10", "") + spring;
    let told = reckoned(&bench, &json!({ "text": written }));
    let told_spring = &told["mainsprings"][0]["spring"];
    close(&told["mainsprings"][0]["best_length_mm"], 282.7, 0.05);
    assert_eq!(told_spring["length_is_best"], true);
    close(&told_spring["coils_down"], 11.459, 0.0005);
    close(&told_spring["coils_up"], 18.541, 0.0005);
    close(&told_spring["turns"]["value"], 7.082, 0.0005);
    close(&told_spring["fill"], 0.5, 1e-9);
    assert_eq!(told_spring["warnings"][0]["code"], "little_clearance");
    // 144 teeth into a pinion of 8: a turn in 18 hours.
    assert_eq!(told["barrels"][0]["turns_of_spring"], true);
    close(&told["barrels"][0]["runs_s"], 7.082 * 18.0 * 3600.0, 0.0005 * 18.0 * 3600.0);

    // Torque goes with the third power of the thickness: 1.1 cubed (by hand), at the same length.
    let instead = json!([{ "barrel": "A", "thickness_mm": "0.11" }]);
    let told = reckoned(&bench, &json!({ "text": written, "instead": instead }));
    let other = &told["mainsprings"][0]["instead"];
    close(&other["torque_ratio"]["value"], 1.331, 1e-9);
    assert!(other["turns_ratio"]["value"].as_f64().unwrap() < 1.0, "{other}");

    let instead = json!([{ "barrel": "A", "length_mm": "2000" }]);
    let told = reckoned(&bench, &json!({ "text": written, "instead": instead }));
    assert!(text(&told["problems"][0]["words"]).contains("does not fit"), "{told}");
    let instead = json!([{ "barrel": "A", "length_mm": "long" }]);
    let told = reckoned(&bench, &json!({ "text": written, "instead": instead }));
    assert!(text(&told["problems"][0]["words"]).contains("cannot be read"), "{told}");

    // A spring that cannot be is told with its line, and the trains hold all the same.
    let text_of_wrong = written.replace("arbor-diameter-mm = 3", "arbor-diameter-mm = 9.5");
    let told = reckoned(&bench, &json!({ "text": text_of_wrong }));
    let line = 1 + text_of_wrong.lines().position(|line| line == "[[mainspring]]").unwrap();
    assert_eq!(told["problems"][0]["line"], json!(line));
    assert_eq!(told["mainsprings"][0]["spring"], Value::Null);
    assert_eq!(told["hands"][0]["words"], "right");
}

/// bib:young-freedman, problem 13.35: a thin rim of 0.90 g at 0.55 cm and 4 ticks a second, 14,400 an
/// hour, want a spring of 4.30e-6 N m/rad, printed to three figures.
#[test]
fn a_balance_by_what_is_known_of_it() {
    let bench = Bench::new();
    let with = |more: &str| COUNTED.replace("# beats-per-hour = 18000", more);
    let ring = with("beats-per-hour = 14400\nmass-mg = 900\nradius-mm = 5.5\nlift-angle-deg = 52");
    let told = reckoned(&bench, &json!({ "text": ring }));
    let balance = &told["balances"][0];
    assert_eq!(balance["lift_angle_deg"]["value"], 52.0);
    let pieces = balance["pieces"].as_array().unwrap();
    let stiffness = pieces.iter().find(|piece| piece["unit"] == "N m/rad").unwrap();
    close(&stiffness["value"]["value"], 4.30e-6, 0.005e-6);
    assert_eq!(stiffness["given"], false);

    // The same spring a hundredth stiffer beats by the root of that faster: 5/1000 of 14,400 to first
    // order, 0.4988 % exactly (by hand), 430.9 s/d.
    let ring = "beats-per-hour = 14400\ninertia-mg-cm2 = 272.25\nstiffness-n-m-per-rad = ";
    let by_laws = 2.7225e-8 * (4.0 * std::f64::consts::PI).powi(2);
    let told = reckoned(&bench, &json!({ "text": with(&format!("{ring}{}", by_laws * 1.01)) }));
    let balance = &told["balances"][0];
    close(&balance["own_beats_per_hour"]["value"], 14_400.0 * 1.004_987_6, 0.01);
    close(&balance["own_gain_s_per_d"]["value"], 430.93, 0.05);
    let wrong = with("mass-mg = 900\nradius-mm = 5.5\ninertia-mg-cm2 = 300");
    let told = reckoned(&bench, &json!({ "text": wrong }));
    assert!(text(&told["problems"][0]["words"]).contains("contradicts itself"), "{told}");
    assert!(told["problems"][0]["line"].is_u64());
}

#[test]
fn what_is_wrong_is_said_with_its_line() {
    let bench = Bench::new();
    let told = reckoned(&bench, &json!({ "text": "" }));
    assert_eq!((&told["problems"], &told["arbors"]), (&json!([]), &json!([])));
    let wrong = COUNTED.replace("on = \"fourth\"", "on = \"forth\"");
    let line = 1 + wrong.lines().position(|line| line.contains("forth")).unwrap();
    let told = reckoned(&bench, &json!({ "text": wrong }));
    assert_eq!(told["problems"][0]["line"], json!(line));
    assert!(text(&told["problems"][0]["words"]).starts_with("There is no arbor “forth”"));
    let alone = COUNTED.replace("[[mesh]]\nbetween = [\"barrel wheel\", \"centre pinion\"]\n", "");
    let told = reckoned(&bench, &json!({ "text": alone }));
    assert_eq!(told["problems"][0]["code"], "speed_unknown");

    let page = bench.page();
    let (status, _) = page.post("/reckon", &json!({ "text": "#".repeat((1 << 16) + 1) }));
    assert_eq!(status, 413);
    let (status, _) = page.post("/reckon", &json!({ "text": "", "within_s_per_d": -1 }));
    assert_eq!(status, 422);
    let (status, _) = page.post("/reckon", &json!({ "text": "", "more": 1 }));
    assert_eq!(status, 422);
}

/// The most that can be asked for at once is answered while somebody waits: eight trains, each with
/// two lost wheels of the widest bounds.
#[test]
fn the_widest_search_is_answered_within_seconds() {
    let mut sheet = String::new();
    for n in 0..8 {
        sheet += &format!(
            "[[arbor]]\nname = \"fourth {n}\"\ncarries = {{ wheel = \"1-1000\" }}\n\
             [[arbor]]\nname = \"escape {n}\"\ncarries = {{ pinion = \"1-1000\", wheel = 15 }}\n\
             [[mesh]]\nbetween = [\"fourth {n}\", \"escape {n} pinion\"]\n\
             [[balance]]\nname = \"{n}\"\nescape = \"escape {n} wheel\"\nbeats-per-hour = 18000\n\
             [[hand]]\nname = \"{n}\"\non = \"fourth {n}\"\nshows = \"seconds\"\n"
        );
    }
    let bench = Bench::new();
    let before = std::time::Instant::now();
    let told = reckoned(&bench, &json!({ "text": sheet, "within_s_per_d": 8640.0 }));
    assert_eq!(told["missing"].as_array().map(Vec::len), Some(8));
    // A build without optimisation on a busy machine of two cores takes a part of this.
    assert!(before.elapsed() < std::time::Duration::from_secs(20), "{:?}", before.elapsed());
}
