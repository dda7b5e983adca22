//! Pictures of a reading.

use crate::bench::Bench;

/// What every reading of half a minute holds.
const KINDS: [&str; 5] = ["sheet", "drift", "scatter", "beats", "course"];

#[test]
fn every_kind_as_svg_and_png() {
    let bench = Bench::new();
    bench.done("simulate -o two.wav");
    for kind in KINDS {
        bench.done(&format!("measure two.wav --plot {kind}.svg --plot-kind {kind}"));
        let svg = String::from_utf8(bench.read(&format!("{kind}.svg"))).unwrap();
        assert!(svg.starts_with("<svg") && svg.trim_end().ends_with("</svg>"), "{kind}");
        assert!(!svg.contains("NaN") && !svg.contains("inf"), "{kind}");
        bench.done(&format!(
            "measure two.wav --plot {kind}.png --plot-kind {kind} --plot-width 400 --theme dark"
        ));
        let png = bench.read(&format!("{kind}.png"));
        // PNG (ISO/IEC 15948), 5.2 and 11.2.2: signature, then the width in the first chunk.
        assert_eq!(png[..8], *b"\x89PNG\r\n\x1a\n");
        assert_eq!(u32::from_be_bytes(png[16..20].try_into().unwrap()), 800, "{kind}");
    }
}

#[test]
fn the_sheet_says_what_the_text_says() {
    let bench = Bench::new();
    bench.done("simulate -o two.wav");
    let words =
        "measure two.wav --plot sheet.svg --tolerance -4 6 --clock-error-ppm 2 --title Twins";
    let text = bench.done(words);
    let svg = String::from_utf8(bench.read("sheet.svg")).unwrap();
    for words in ["Twins", "two.wav", "Independent.", "28,800", "tolerance", "half the difference"]
    {
        assert!(svg.contains(words), "no “{words}”");
    }
    // The rates stand in both with the same digits.
    let rates = text.lines().find(|l| l.starts_with("rate ")).unwrap();
    let numbers: Vec<&str> =
        rates.split_whitespace().filter(|w| w.starts_with(['+', '−'])).collect();
    assert_eq!(numbers.len(), 2, "{rates}");
    for rate in numbers {
        assert!(svg.contains(rate), "no {rate} in the sheet");
    }
}

/// Where the rates are large, how the beats scatter is shown beside them; and the card says what the
/// uncertainty of a rate is with the clock.
#[test]
fn the_sheet_shows_scatter_that_rates_hide() {
    let bench = Bench::new();
    for (name, rate, shown) in [("fast", 900, true), ("right", 0, false)] {
        bench.done(&format!("simulate -o {name}.wav --duration 30 --balance rate={rate}"));
        bench.done(&format!("measure {name}.wav --plot {name}.svg"));
        let svg = String::from_utf8(bench.read(&format!("{name}.svg"))).unwrap();
        assert_eq!(svg.contains(">Scatter<"), shown, "{name}");
        // An unknown crystal: 20 ppm are 1.7 s/d (design of time; SI Brochure, table 8).
        assert!(svg.contains("± 1.7 with clock"), "{name}");
    }
}

/// Where there is no watch there is no picture, and that is said.
#[test]
fn no_watch_no_picture() {
    let bench = Bench::new();
    bench.done("simulate -o none.wav --duration 5 --no-balance");
    let said = bench.run("measure none.wav --plot none.svg --format json");
    assert_eq!(said.status, 4);
    assert!(said.sentence().contains("“none.svg” was not drawn"), "{}", said.err);
    assert_eq!(bench.names(), ["none.wav"]);
}

#[test]
fn a_picture_for_each_of_several_recordings() {
    let bench = Bench::new();
    bench.done("simulate -o one.wav --duration 10 --balance rate=1");
    bench.done("simulate -o two.wav --duration 10 --balance rate=2");
    bench.done("measure one.wav two.wav --plot {}-drift.svg --plot-kind drift");
    assert_eq!(bench.names(), ["one-drift.svg", "one.wav", "two-drift.svg", "two.wav"]);
}

/// A kind of picture that a reading holds nothing for is not drawn empty.
#[test]
fn periodograms_are_drawn_where_there_are_any() {
    let bench = Bench::new();
    for (name, duration) in [("short", "3"), ("long", "2m")] {
        bench.done(&format!("simulate -o {name}.wav --duration {duration} --balance rate=1"));
        let json = bench.run(&format!("measure {name}.wav --format json --detail")).json();
        let detail = &json["balances"][0]["detail"];
        let any = ["timing_periodogram", "amplitude_periodogram"]
            .iter()
            .any(|periodogram| !detail[periodogram].is_null());
        let said = bench.run(&format!(
            "measure {name}.wav --plot {name}.svg --plot-kind periodogram --format json"
        ));
        assert_eq!(bench.names().contains(&format!("{name}.svg")), any);
        if any {
            assert_eq!(said.status, 0, "{}", said.err);
        } else {
            assert_eq!(said.status, 1);
            assert!(said.sentence().contains("record longer"), "{}", said.err);
        }
    }
}
