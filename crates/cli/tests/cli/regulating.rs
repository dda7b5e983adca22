//! `endshake balance`, `hairspring`, `temperature`, `escapement`, `rates` and `chronometer`: the
//! arithmetic of regulating.

use crate::bench::{Bench, number};
use serde_json::Value;

fn json(bench: &Bench, line: &str) -> Value {
    let said = bench.run(&format!("{line} --format json"));
    assert_eq!((said.status, said.err.as_str()), (0, ""), "{line}");
    said.json()
}

/// Whether a number is the printed one, to half of its last digit.
fn is(json: &Value, pointer: &str, printed: f64, half_digit: f64) {
    let found = number(json, pointer);
    assert!((found - printed).abs() <= half_digit, "{pointer}: {found}, not {printed}");
}

/// Textbook problems of a balance as a thin ring: bib:young-freedman, 13.35 (2.72e-8 kg m², 4.30e-6 N
/// m/rad); the same with 900 mg and 12 mm (1.3e-7, 2.05e-5); a ring of 9.5 mm at 3.10 Hz that 1.1e-5 N
/// m turns by 45 degrees (1.4006e-5 N m/rad) has 0.41 g (bib:giancoli). A tick is a beat.
#[test]
fn a_balance_from_what_is_known() {
    let bench = Bench::new();
    let told =
        json(&bench, "balance --beats-per-hour 14400 --ring-mass-mg 900 --ring-radius-mm 5.5");
    assert_eq!(told["schema"], "endshake.balance/1");
    is(&told, "/inertia_kg_m2/value", 2.72e-8, 0.005e-8);
    is(&told, "/stiffness_n_m_per_rad/value", 4.30e-6, 0.005e-6);
    let told = json(&bench, "balance --period-s 0.5 --ring-mass-mg 900 --ring-radius-mm 12");
    is(&told, "/inertia_kg_m2/value", 1.3e-7, 0.05e-7);
    is(&told, "/stiffness_n_m_per_rad/value", 2.05e-5, 0.005e-5);
    is(&told, "/beats_per_hour/value", 14_400.0, 1e-6);
    let ring = "balance --beats-per-hour 22320 --ring-radius-mm 9.5 --stiffness-un-m 14.006";
    is(&json(&bench, ring), "/ring_mass_kg/value", 0.41e-3, 0.005e-3);
    // Uncertainties by powers (GUM, bib:jcgm100, 5.1.6): a radius to one part in 100 leaves the inertia
    // to two.
    let told = json(&bench, "balance --ring-mass-mg 900 --ring-radius-mm 5.5±0.055");
    let share = number(&told, "/inertia_kg_m2/sd") / number(&told, "/inertia_kg_m2/value");
    assert!((share - 0.02).abs() < 1e-9, "{share}");
    insta::assert_snapshot!(
        bench.done("balance --beats-per-hour 14400 --ring-mass-mg 900±5 --ring-radius-mm 5.5±0.05")
    );
}

/// A watch that gains 45 s/d wants 0.104 % more inertia (question of a published exercise, answer by
/// its formula); 0.1 % more inertia is -43.2 s/d by the rule of thumb.
#[test]
fn masses_change_the_rate() {
    let bench = Bench::new();
    let line = "balance --inertia-mg-cm2 12 --wanted-s-per-d -45 --at-radius-mm 4";
    let told = json(&bench, line);
    is(&told, "/wanted/inertia_share", 0.001_04, 0.000_005);
    // 0.104 % of 12 mg cm² at 0.4 cm: 12 x 0.00104 / 0.16 = 0.0780 mg (by hand), to the same half digit.
    is(&told, "/wanted/mass_kg/value", 0.0780e-6, 0.0780e-6 * 0.005);
    let told = json(&bench, "balance --inertia-mg-cm2 12 --put-on 0.075@4");
    // 0.075 x 0.16 / 12 is a thousandth.
    is(&told, "/change/first_order_s_per_d", -43.2, 1e-6);
    let back = json(&bench, "balance --inertia-mg-cm2 12 --take-off 0.075@4 --shift 1@4-4");
    is(&back, "/change/first_order_s_per_d", 43.2, 1e-6);
    insta::assert_snapshot!(bench.done(line));
}

/// A spring that is one per cent shorter: +432 s/d by the rule of thumb, +435.3 exactly (from the law);
/// half an inner coil that would have brought 10 minutes a day is 1.4 % of its length
/// (bib:kleinlein1920, No. 68).
#[test]
fn hairsprings() {
    let bench = Bench::new();
    let told = json(&bench, "hairspring --active-length-mm 150 --shorten-mm 1.5");
    assert_eq!(
        (told["schema"].as_str(), told["of"].as_str()),
        (Some("endshake.hairspring/1"), Some("shortened"))
    );
    is(&told, "/change/first_order_s_per_d", 432.0, 1e-6);
    is(&told, "/change/exact_s_per_d/value", 435.3, 0.05);
    // Let out as far, to first order as much slower.
    let told = json(&bench, "hairspring --shorten-percent -1±0.1");
    is(&told, "/change/first_order_s_per_d", -432.0, 1e-6);
    let told = json(&bench, "hairspring --wanted-s-per-d 600");
    is(&told, "/share", 0.014, 0.000_5);
    // 305 beats in the minute that wants 300: the square of it is 3.36 % longer (by hand).
    let counted = "hairspring --trial-length-mm 150±0.5 --beats 305 --time-s 60±0.1";
    let told = json(&bench, &format!("{counted} --beats-per-hour 18,000"));
    is(&told, "/active_length_mm/value", 150.0 * 1.033_61, 0.001);
    is(&told, "/move_mm/value", 5.04, 0.005);
    insta::assert_snapshot!(bench.done(&format!("{counted} --beats-per-hour 18000")));
}

/// bib:kleinlein1920, Nos. 12-14 and 20: 12 s slow in heat, 9 s fast in heat, 28 s; bib:boettcher2024:
/// plain brass with a steel spring loses about 11 s/d per °C.
#[test]
fn heat_and_cold() {
    let bench = Bench::new();
    for (cold, hot, wanted) in [("+16", "+4", -12.0), ("-1", "+8", 9.0), ("+18", "-10", -28.0)] {
        let told = json(&bench, &format!("temperature --cold 4={cold} --hot 35={hot}"));
        assert_eq!(number(&told, "/hot_less_cold_s_per_d/value"), wanted);
        is(&told, "/coefficient_s_per_d_per_deg_c/value", wanted / 31.0, 1e-12);
    }
    // Expansions of brass and steel and the modulus of steel, per million: from memory.
    let told = json(
        &bench,
        "temperature --balance-expansion-ppm 19 --spring-expansion-ppm 11 --modulus-change-ppm -260",
    );
    is(&told, "/coefficient_s_per_d_per_deg_c/value", -11.0, 0.5);
    insta::assert_snapshot!(
        bench.done("temperature --cold 4=16±0.2 --middle 20=7±0.2 --hot 36=4±0.2")
    );
}

/// bib:playtner1910: 10 1/4 degrees of fork and 28 of balance; 60 degrees for 15 teeth with three
/// spanned; 4 1/2 + 6 + 1 1/2 of the 12 of half a pitch. A lift of 52 degrees at a half turn takes
/// 11.535 ms at 28,800 beats (by `dt = T/pi asin(lift / 2A)`, Python).
#[test]
fn escapements() {
    let bench = Bench::new();
    let line = "escapement --lock-deg 1.5 --run-deg 0.25 --lift-on-tooth-deg 3 --lift-on-pallet-deg 5.5 \
                --ratio 2.7317 --swings-deg 270";
    let told = json(&bench, line);
    is(&told, "/lever/fork_to_drop_deg/value", 10.25, 1e-12);
    is(&told, "/lever/balance_lift_deg/value", 28.0, 0.001);
    is(&told, "/free_arc_deg", 512.0, 0.001);
    let told = json(
        &bench,
        "escapement --teeth 15 --spans 3 --tooth-deg 4.5 --pallet-deg 6 --wheel-diameter-mm 7.5",
    );
    assert_eq!(number(&told, "/locking_arc_deg"), 60.0);
    assert_eq!(number(&told, "/drop_deg"), 1.5);
    // Printed for 7.5 mm: .0982.
    is(&told, "/drop_at_wheel_mm", 0.0982, 0.000_05);
    let sight =
        "escapement --at half-turn --beats-per-hour 28800 --unlocking-to-drop-ms 11.535±0.1";
    let told = json(&bench, sight);
    is(&told, "/by_sight/lift_angle_deg/value", 52.0, 0.01);
    // 5 degrees of 180 are 2.8 % (docs/design/regulating.md), and the time adds a little.
    is(&told, "/by_sight/lift_angle_deg/sd", 52.0 * 5.0 / 180.0, 0.1);
    insta::assert_snapshot!(bench.done(sight));
}

/// Invented days: a published record with its results was not found. The results
/// follow by the formulas of bib:observatoire-process and of reports of bib:iso3159.
const DAYS: &str = "3,2.5,1.5,2.5,-1,1,4,4.2,5.5,4.2,8.5,5,-3.5,3,4";

const CRITERIA: [(&str, f64); 7] = [
    ("mean_daily_rate_s_per_d", 2.74),
    ("mean_variation_s_per_d", 1.00),
    ("greatest_variation_s_per_d", 2.0),
    ("upright_less_flat_s_per_d", -2.10),
    ("largest_variation_s_per_d", 3.74),
    ("temperature_s_per_d_per_deg_c", -0.40),
    ("rate_resumption_s_per_d", 1.25),
];

#[test]
fn fifteen_days() {
    let bench = Bench::new();
    let told = json(&bench, &format!("chronometer --rates {DAYS}"));
    assert_eq!(told["schema"], "endshake.chronometer/1");
    for (name, printed) in CRITERIA {
        is(&told, &format!("/criteria/{name}/value"), printed, 0.005);
    }
    assert_eq!(number(&told, "/criteria/largest_variation_day"), 5.0);
    assert_eq!(told["outcomes"][0]["size"], "over_20_mm");
    assert_eq!(told["outcomes"][0]["verdict"], "pass");
    assert_eq!(told["outcomes"][0]["limits"].as_array().unwrap().len(), 7);
    // The same from a file, and from hands that were never set: sums of the days.
    let rates: Vec<f64> = DAYS.split(',').map(|day| day.parse().unwrap()).collect();
    let rows: String = rates.iter().map(|rate| format!("{rate},0.05\n")).collect();
    bench.write("days.csv", format!("rate,sd\n{rows}").as_bytes());
    let mut ahead = 12.0;
    let mut rows = String::from("position,ahead\nset,12\n");
    for (day, rate) in rates.iter().enumerate() {
        ahead += rate;
        let position = ["6H", "3H", "9H", "FH", "CH", "CH", "CH", "6H"][day / 2];
        // Days 9 to 13 are dial up, so the pairs are off by one behind them.
        rows.push_str(&format!("{},{ahead}\n", if day == 13 { "6H" } else { position }));
    }
    bench.write("hands.csv", rows.as_bytes());
    for file in ["days.csv", "hands.csv"] {
        let told = json(&bench, &format!("chronometer {file} --size over-20-mm"));
        for (name, printed) in CRITERIA {
            is(&told, &format!("/criteria/{name}/value"), printed, 0.005);
        }
        assert_eq!(told["outcomes"][0]["verdict"], "pass", "{file}");
    }
    insta::assert_snapshot!(bench.done("chronometer days.csv"));
    insta::assert_snapshot!("the_schedule", bench.done("chronometer --schedule"));
}

/// At a limit its uncertainty decides: 0.6 s/d per °C (bib:cosc) are 18 s/d over 30 °C, days 11 to 13.
#[test]
fn a_limit_within_the_uncertainty_cannot_be_told() {
    let bench = Bench::new();
    let days = "0,0,0,0,0,0,0,0,0,0,9,0,-9,0,0";
    let outcome = |sd: &str| {
        let told = json(&bench, &format!("chronometer --rates {days} --sd {sd} --size over-20-mm"));
        told["outcomes"][0]["verdict"].as_str().unwrap().to_owned()
    };
    assert_eq!(outcome("0"), "pass");
    assert_eq!(outcome("0.3"), "cannot_tell");
    let told = json(
        &bench,
        &format!("chronometer --rates {} --size over-20-mm", days.replace("-9", "-10")),
    );
    assert_eq!(told["outcomes"][0]["verdict"], "fail");
}

/// Cards of bib:kleinlein1920, chapters XIII and XIV: hands that are not set between; the spread is
/// fastest less slowest. Dial up, dial down, pendant up, right, left.
#[test]
fn cards_of_positions() {
    let bench = Bench::new();
    for (card, spread) in [
        ("1,0,10", 11.0),
        ("2,2,37", 35.0),
        ("-9,-18,-46", 19.0),
        ("2,4,-6", 12.0),
        ("1,2,4,22,20", 20.0),
        ("8,16,0,4,-1", 24.0),
        ("0,0,14,4,16", 24.0),
        ("2,5,-1,-8,-17", 12.0),
        ("2,-3,1,7,9", 11.0),
        ("-3,-8,4,0,-6", 18.0),
    ] {
        let positions = ["CH", "FH", "12H", "9H", "3H"].into_iter();
        let rows = positions.zip(card.split(','));
        let rows: String = rows.map(|(position, ahead)| format!("{position},{ahead}\n")).collect();
        bench.write("card.csv", format!("position,ahead\n{rows}").as_bytes());
        let told = json(&bench, "rates card.csv");
        let statistics = told["balances"][0]["winds"][0]["statistics"].as_array().unwrap();
        let found = statistics.iter().find(|one| one["code"] == "spread").unwrap();
        assert_eq!(found["value"].as_f64(), Some(spread), "{card}");
    }
}

/// The sixth of those cards as rows: the spread that the book gives, under the code that JSON has.
#[test]
fn statistics_as_rows() {
    let bench = Bench::new();
    bench.write("card.csv", b"position,ahead\nCH,8\nFH,16\n12H,0\n9H,4\n3H,-1\n");
    let said = bench.done("rates card.csv --format csv");
    let mut lines = said.lines();
    assert_eq!(lines.next(), Some("path,label,hours_since_wound,statistic,value,sd,unit,note"));
    let spread: Vec<&str> = lines.filter(|line| line.contains(",spread,")).collect();
    assert_eq!(spread.len(), 1, "{said}");
    assert!(spread[0].starts_with("card.csv,A,0,spread,24,"), "{said}");
}

/// A heavy spot below the staff, 10 µg at 4 mm of 1e-9 kg m² at 18,000 beats (integration of the
/// equation of motion with scipy): +24.43 s/d at 150 degrees and -8.21 at 270, with 12 up it lies
/// towards 6; nothing square to it.
const HEAVY: &str = "\
# Invented, with rates by integration.
position,wind,rate,sd,amplitude,amplitude_sd,beat_error
CH,full,0,0.2,270,2,0.1
12H,full,-8.21,0.2,270,2,0.1
3H,full,0,0.2,270,2,
6H,full,8.21,0.2,270,2,
9H,full,0,0.2,270,2,
CH,30 h,0,0.2,150,2,
12H,30 h,24.43,0.2,150,2,
3H,30 h,0,0.2,150,2,
6H,30 h,-24.43,0.2,150,2,
9H,30 h,0,0.2,150,2,
";

#[test]
fn a_heavy_spot_and_all_that_follows() {
    let bench = Bench::new();
    bench.write("heavy.csv", HEAVY.as_bytes());
    let line = "rates heavy.csv --beats-per-hour 18000 --lift-sd-percent 0.5";
    let told = json(&bench, line);
    assert_eq!(told["schema"], "endshake.rates/1");
    is(&told, "/balances/0/poise/direction_deg/value", 180.0, 2.0);
    // 10 µg x 4 mm over 1e-9 kg m²: in SI 1e-8 x 4e-3 / 1e-9, that is 0.04 per metre. A twentieth of it for
    // the amplitudes' and the rates' uncertainty.
    is(&told, "/balances/0/poise/moment_over_inertia_per_m/value", 0.04, 0.002);
    // Of opposite positions the faster becomes the slower: poise (bib:kleinlein1920, No. 28).
    let first = &told["balances"][0]["isochronism"]["candidates"][0];
    assert_eq!(first["matches"], "fits");
    let fits = told["balances"][0]["isochronism"]["candidates"].as_array().unwrap();
    assert!(
        fits.iter()
            .any(|one| one["words"] == "A heavy spot on the balance" && one["matches"] == "fits")
    );
    insta::assert_snapshot!(bench.done(line));
    // JSON in, and through a pipe: the same answer.
    let rows: Vec<Value> = HEAVY
        .lines()
        .skip(2)
        .map(|row| {
            let columns =
                ["position", "wind", "rate", "sd", "amplitude", "amplitude_sd", "beat_error"];
            let words = columns.into_iter().zip(row.split(','));
            let words = words.filter(|(_, word)| !word.is_empty());
            words.map(|(column, word)| (column.to_owned(), Value::from(word))).collect()
        })
        .collect();
    let sheet = serde_json::json!({ "schema": "endshake.rate-sheet/1", "rows": rows });
    bench.write("heavy.json", sheet.to_string().as_bytes());
    let mut piped: Vec<&str> = line.split_whitespace().collect();
    piped[1] = "-";
    piped.extend(["--format", "json"]);
    let input = std::fs::File::open(bench.path("heavy.json")).unwrap();
    let piped = bench.command(&piped).stdin(input).output().unwrap();
    let piped: Value = serde_json::from_slice(&piped.stdout).unwrap();
    assert_eq!(piped, told);
}

/// Half a degree of the index brought 10 s/d; 15 are wanting: three quarters of a degree by simple
/// proportion, less the share that the hand's own uncertainty costs (a hundredth) and what the first
/// guess still weighs.
#[test]
fn moves_in_the_file() {
    let bench = Bench::new();
    bench.write(
        "moved.csv",
        b"position;rate;sd;beat_error;amplitude;move\nCH;-22;0.3;1.0;280;\n;;;;;index +0.5\nCH;-12;0.3;1.0;280;\n\
          ;;;;;stud +1\nCH;-12;0.3;0.4;280;\n",
    );
    let line = "rates moved.csv --target 3 --near 1 --beats-per-hour 18000";
    let told = json(&bench, line);
    is(&told, "/balances/0/next_moves/0/amount", 0.75, 0.05);
    assert_eq!(told["balances"][0]["next_moves"][0]["is_guess"], false);
    // The turn made the beat error smaller: on in the same direction.
    assert_eq!(told["balances"][0]["stud"]["is_way_known"], true);
    assert!(number(&told, "/balances/0/stud/turn_deg/value") > 0.0);
    insta::assert_snapshot!(bench.done(line));
}

/// Two balances: after a week the hands are apart by seven times the difference of the rates
/// (definition); a pocket watch's pendant may be up at 3.
#[test]
fn two_balances() {
    let bench = Bench::new();
    bench.write(
        "two.csv",
        b"position,balance,rate,sd\nCH,A,4,0.2\nFH,A,5,0.2\n3H,A,7,0.2\nCH,B,-3,0.2\nFH,B,-2,0.2\n",
    );
    let told = json(&bench, "rates two.csv --pendant-up 3H --worn CH=12 --worn FH=12");
    is(&told, "/hands_apart/after/1/days", 7.0, 0.0);
    is(&told, "/hands_apart/after/1/ahead_s/value", 49.0, 1e-9);
    is(&told, "/balances/0/wrist/expected_s_per_d/value", 4.5, 1e-9);
    let classes = told["balances"][0]["classes"].as_array().unwrap();
    let three = classes.iter().find(|c| c["name"] == "Three positions, usual (1920)").unwrap();
    assert_eq!(three["verdict"], "pass");
    assert_eq!(three["limits"][0]["words"], "spread of the flat positions and 3H at most 7");
    insta::assert_snapshot!(bench.done("rates two.csv --clock-sd 0.3"));
}

/// What is wrong is a sentence that says what, and where.
#[test]
fn what_cannot_be_is_told_in_a_sentence() {
    let bench = Bench::new();
    for (name, text) in [
        ("empty.csv", ""),
        ("head.csv", "position,rate\n"),
        ("column.csv", "position,rates\nCH,1\n"),
        ("twice.csv", "position,rate,rate_s_per_d\nCH,1,1\n"),
        ("short.csv", "position,rate\nCH,1\nFH\n"),
        ("number.csv", "position,rate\nCH,1\nFH,fast\n"),
        ("comma.csv", "position;rate\nCH;1,5\n"),
        ("place.csv", "position,rate\nXY,1\n"),
        ("none.csv", "position,rate\n,1\n"),
        ("both.csv", "position,rate,ahead\nCH,1,1\n"),
        ("neither.csv", "position,amplitude\nCH,270\n"),
        ("wound.csv", "position,wind,rate\nCH,late,1\n"),
        ("again.csv", "position,rate\nCH,1\n# again\nCH,2\n"),
        ("move.csv", "position,rate,move\nCH,1,\n,,index 0.5\n"),
        ("last.csv", "position,rate,move\nCH,1,\n,,index +0.5\n"),
        ("sd.csv", "position,rate,sd\nCH,1,-1\n"),
        ("turns.csv", "position,rate,amplitude\nCH,1,500\n"),
        ("form.json", "{\"schema\": \"endshake.rate-sheet/1\", \"rows\": [\n{\"position\": }]}"),
        ("other.json", "{\"schema\": \"endshake.rates/2\", \"rows\": []}"),
        ("row.json", "{\"schema\": \"endshake.rate-sheet/1\", \"rows\": [{\"position\": \"CH\"}]}"),
        ("days.csv", "day,position,rate\n1,6H,1\n2,CH,1\n"),
        ("few.csv", "rate\n1\n2\n"),
        ("words.csv", "These are words.\n"),
    ] {
        bench.write(name, text.as_bytes());
    }
    bench.write("bytes.csv", &[0x70, 0xff, 0xfe]);
    let mut told = String::new();
    for (status, line) in [
        (2, "balance"),
        (2, "balance --beats-per-hour 18000 --period-s 0.4"),
        (2, "balance --beats-per-hour 18000 --put-on 1@4"),
        (2, "balance --inertia-mg-cm2 12 --take-off 100@4"),
        (2, "balance --inertia-mg-cm2 12 --put-on 1"),
        (2, "balance --inertia-mg-cm2 12 --wanted-s-per-d -86400"),
        (2, "balance --beats-per-hour 18000 --inertia-mg-cm2 12 --stiffness-un-m 9"),
        (2, "balance --ring-mass-mg -1"),
        (2, "hairspring"),
        (2, "hairspring --trial-length-mm 150"),
        (2, "hairspring --active-length-mm 150 --shorten-mm 150"),
        (
            2,
            "hairspring --trial-length-mm 150 --beats 330 --time-s 60 --beats-per-hour 18000 --length-there-mm 160",
        ),
        (2, "temperature"),
        (2, "temperature --cold 20=1 --hot 20=2"),
        (2, "temperature --cold 20=1"),
        (2, "escapement"),
        (2, "escapement --teeth 15 --spans 8"),
        (2, "escapement --teeth 15 --tooth-deg 6 --pallet-deg 6"),
        (2, "escapement --swings-deg 20 --lift-angle 52"),
        (2, "escapement --at half-turn"),
        (2, "escapement --at half-turn --beats-per-hour 18000 --unlocking-to-drop-ms 100"),
        (2, "escapement --lock-deg 0 --lift-on-tooth-deg 4 --lift-on-pallet-deg 4 --ratio 3"),
        (2, "rates"),
        (3, "rates nowhere.csv"),
        (3, "rates empty.csv"),
        (3, "rates head.csv"),
        (3, "rates column.csv"),
        (3, "rates twice.csv"),
        (3, "rates short.csv"),
        (3, "rates number.csv"),
        (3, "rates comma.csv"),
        (3, "rates place.csv"),
        (3, "rates none.csv"),
        (3, "rates both.csv"),
        (3, "rates neither.csv"),
        (3, "rates wound.csv"),
        (3, "rates again.csv"),
        (3, "rates move.csv"),
        (3, "rates last.csv"),
        (3, "rates sd.csv"),
        (3, "rates turns.csv"),
        (3, "rates form.json"),
        (3, "rates other.json"),
        (3, "rates row.json"),
        (3, "rates words.csv"),
        (3, "rates bytes.csv"),
        (2, "rates days.csv --pendant-up CH"),
        (2, "rates days.csv --worn CH"),
        (2, "chronometer"),
        (2, "chronometer --rates 1,2,3"),
        (2, "chronometer --rates 1,x"),
        (3, "chronometer days.csv"),
        (3, "chronometer few.csv"),
        (3, "chronometer last.csv"),
    ] {
        let said = bench.run(line);
        assert_eq!((said.status, said.out.as_str()), (status, ""), "{line}: {}", said.err);
        told.push_str(&format!("$ endshake {line}\n{}", said.err));
        assert!(said.sentence().ends_with(['.', '?']), "{line}: {}", said.err);
    }
    insta::assert_snapshot!(told);
}
