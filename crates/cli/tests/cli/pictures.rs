//! Pictures of a reading.

use crate::bench::Bench;

const KINDS: [&str; 5] = ["sheet", "drift", "beats", "course", "periodogram"];

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

#[test]
fn a_picture_for_each_of_several_recordings() {
    let bench = Bench::new();
    bench.done("simulate -o one.wav --duration 10 --balance rate=1");
    bench.done("simulate -o two.wav --duration 10 --balance rate=2");
    bench.done("measure one.wav two.wav --plot {}-drift.svg --plot-kind drift");
    assert_eq!(bench.names(), ["one-drift.svg", "one.wav", "two-drift.svg", "two.wav"]);
}
