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

/// The row of a sum whose name begins so.
fn row<'a>(told: &'a Value, kind: &str, begins: &str) -> &'a Value {
    let sums = told["sums"].as_array().unwrap();
    let sum = sums.iter().find(|sum| sum["kind"] == kind).unwrap_or_else(|| panic!("{told}"));
    let mut rows = sum["rows"].as_array().unwrap().iter();
    &rows.find(|row| text(&row["words"]).starts_with(begins)).unwrap()["value"]
}

fn kept<'a>(told: &'a Value, kind: &str) -> &'a Value {
    let mut sums = told["sums"].as_array().unwrap().iter();
    &sums.find(|sum| sum["kind"] == kind).unwrap()["keep"]
}

/// bib:playtner1910: lock 1 1/2, run 1/4, lift 3 and 5 1/2 with 28 degrees of the balance on 10 1/4 of
/// the fork; of 12 degrees between two beats of a wheel of 15, half of 24, a tooth of 4 1/2 and a pallet of
/// 6 leave 1 1/2 of drop (subtraction), .0982 mm at 7.5 mm. By sight: Python, `lift = 2 A sin(pi f t)` with
/// 180 degrees, 2.5 Hz and 18.456 ms is 52 degrees; 5 degrees of 180 are 1.44 of 52. The measure over three
/// teeth is bib:goodrich1905's, chapter XIV: .732 makes .740.
#[test]
fn the_escapement_by_its_angles() {
    let bench = Bench::new();
    let with = |more: &str| {
        COUNTED.replace("# beats-per-hour = 18000", &format!("beats-per-hour = 18000\n{more}"))
    };
    let lever = "lock-deg = 1.5\nrun-deg = 0.25\nlift-on-tooth-deg = 3\nlift-on-pallet-deg = 5.5\n\
                 fork-ratio = 2.7317073\ntooth-width-deg = 4.5\npallet-width-deg = 6\n\
                 escape-diameter-mm = 7.5\nover-three-teeth-mm = \"0.732 ± 0.001\"";
    let told = reckoned(&bench, &json!({ "text": with(lever) }));
    assert_eq!(told["problems"], json!([]), "{told}");
    close(&row(&told, "lever", "Banking to drop")["value"], 10.25, 1e-9);
    close(&row(&told, "lever", "Lift angle, balance")["value"], 28.0, 1e-5);
    close(&row(&told, "drop", "Drop, wheel")["value"], 1.5, 1e-9);
    close(&row(&told, "drop", "Drop at the rim")["value"], 0.0982, 0.000_05);
    close(&row(&told, "escape_wheel", "Full diameter")["value"], 0.740, 0.000_5);
    assert_eq!(kept(&told, "lever")["key"], "lift-angle-deg");
    assert_eq!(kept(&told, "lever")["text"], "28");

    let sight = with("seen-amplitude-deg = \"180 ± 5\"\nunlocking-to-drop-ms = 18.456");
    let told = reckoned(&bench, &json!({ "text": sight }));
    let lift = row(&told, "by_sight", "Lift angle");
    close(&lift["value"], 52.0, 0.003);
    close(&lift["sd"], 52.0 * 5.0 / 180.0, 0.001);
    assert_eq!(kept(&told, "by_sight")["text"], "52.0 ± 1.4");

    // A reading of 52 degrees that gave 180: the time of the same table, and the marks.
    let measured = json!([{ "balance": "A", "beats_per_hour": 18_000.0, "amplitude_deg": 180.0,
        "sd_amplitude_deg": 0.5, "lift_angle_deg": 52.0 }]);
    let told = reckoned(&bench, &json!({ "text": COUNTED, "measured": measured }));
    let sight = &told["balances"][0]["sight"];
    assert!(text(&sight["unlocking_to_drop_ms"]).starts_with("18.46 ± 0.05"), "{sight}");
    assert_eq!(sight["marks"][0]["seen_amplitude_deg"], "180 ± 5");

    let jammed = with("tooth-width-deg = 9\npallet-width-deg = 6");
    let told = reckoned(&bench, &json!({ "text": jammed }));
    assert!(text(&told["problems"][0]["words"]).contains("leave no drop"), "{told}");
    assert!(told["problems"][0]["line"].is_u64());
}

/// bib:kleinlein1920, No. 13, figure 4: 9 s fast in heat, over 50 degrees; bib:boettcher2024: steel and
/// brass lose about 11 s/d per °C. By hand: 303 beats in a minute for a wished 300 make 102.01 mm of 100.
/// bib:goodrich1905, chapter XIV: with 80 and 10 the centre distance is 9/8 of the wheel's pitch radius.
#[test]
fn heat_and_cold_a_trial_and_a_depth() {
    let bench = Bench::new();
    let written = COUNTED
        .replace(
            "# beats-per-hour = 18000",
            "beats-per-hour = 18000\nrate-cold = \"0 = -1\"\nrate-hot = \"50 = 8 ± 0.4\"\n\
             balance-expansion-ppm = 19\nspring-expansion-ppm = 11\nmodulus-change-ppm = \"-240 ± 10\"\n\
             trial-length-mm = \"100 ± 0.5\"\ntrial-beats = 303\ntrial-time-s = \"60 ± 0.1\"",
        )
        .replace("\"third pinion\"]", "\"third pinion\"]\ncentre-distance-mm = 9");
    let told = reckoned(&bench, &json!({ "text": written }));
    assert_eq!(told["problems"], json!([]), "{told}");
    close(&row(&told, "temperature", "Hot less cold")["value"], 9.0, 1e-9);
    close(&row(&told, "materials", "Change of the rate")["value"], -11.0, 1.0);
    close(&row(&told, "hairspring", "Active length")["value"], 102.01, 1e-9);
    assert_eq!(kept(&told, "hairspring")["key"], "spring-length-mm");
    close(&row(&told, "depth", "Wheel, pitch radius")["value"], 8.0, 1e-9);
    let depth = told["sums"].as_array().unwrap().iter().find(|sum| sum["kind"] == "depth").unwrap();
    assert_eq!(text(&depth["of"]), "centre wheel and third pinion");

    let one = written.replace("50 = 8 ± 0.4", "0 = 8");
    let told = reckoned(&bench, &json!({ "text": one }));
    assert!(text(&told["problems"][0]["words"]).contains("wants two that differ"), "{told}");
    let wrong = written.replace("50 = 8 ± 0.4", "warm");
    let told = reckoned(&bench, &json!({ "text": wrong }));
    assert!(text(&told["problems"][0]["words"]).contains("8 = +4.0 ± 0.2"), "{told}");
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
