//! Wrong use and unreadable files: the exit status of the design, section 9, and a sentence.

use crate::bench::Bench;

/// Arguments that are wrong in themselves: status 2, nothing on standard output.
#[test]
fn wrong_use() {
    let bench = Bench::new();
    bench.write("x.wav", b"never opened");
    let mut told = String::new();
    for line in [
        "measure",
        "measur x.wav",
        "measure x.wav --lift-angle 5",
        "measure x.wav --lift-angle steep",
        "measure x.wav --beats-per-hour 10",
        "measure x.wav --balances 0",
        "measure x.wav --balances 2 --lift-angle 50 --lift-angle 51 --lift-angle 52",
        "measure x.wav --balances 1 --beats-per-hour 28800 --beats-per-hour 21600",
        "measure x.wav --clock-error-ppm 1e9",
        "measure x.wav --clock-error-sd-ppm 1",
        "measure x.wav --clock-error-ppm 1 --clock-error-sd-ppm -1",
        "measure x.wav --clock-error-ppm 1 --clock-error-sd-ppm 1e308",
        "measure x.wav --clock nobody",
        "measure x.wav --clock x.wav",
        "measure x.wav --clock a --clock-error-ppm 1",
        "measure x.wav --start -1",
        "measure x.wav --length 1m30",
        "measure x.wav --channel left",
        "measure x.wav --format xml",
        "measure x.wav --detail",
        "measure x.wav --plot x.gif",
        "measure x.wav --plot-kind drift",
        "measure x.wav --plot x.svg --plot-kind pie",
        "measure x.wav --plot x.svg --tolerance 6 -4",
        "measure x.wav y.wav --plot x.svg",
        "measure x.wav --jobs 0",
        "measure x.wav --loft-angle 52",
        "measure x.wav --format json --format csv",
        "measure x.wav --plot x.svg --tolerance 4",
        "measure x.wav --lift-angle",
        "calibrate",
        "calibrate x.wav --period 1h",
        "calibrate x.wav --period often",
        "calibrate x.wav --reference-error-ppm 2",
        "calibrate x.wav --reference-error-ppm 2 --reference-sd-ppm -1",
        "calibrate x.wav --save ../x",
        "calibrate x.wav --format csv",
        "calibrate x.wav --true-length 1h",
        "calibrate x.wav --true-length 1h --true-length-sd 1 --mark 1=2",
        "calibrate x.wav --mark 12.5",
        "calibrate x.wav --mark-sd 1",
        "calibrate x.wav --find-within 1",
        "simulate",
        "simulate -o x.wav --balance rat=5",
        "simulate -o x.wav --balance rate",
        "simulate -o x.wav --balance rate=fast",
        "simulate -o x.wav --balance amplitude=20",
        "simulate -o x.wav --balance start=5,stop=2",
        "simulate -o x.wav --balance gains=1:0.5",
        "simulate -o x.flac --bit-depth float",
        "simulate -o x.wav --duration 0",
        "simulate -o x.wav --sample-rate 1",
        "simulate -o x.wav --no-balance --balance rate=5",
        "completions tcsh",
    ] {
        let said = bench.run(line);
        assert_eq!(said.status, 2, "{line}\n{}{}", said.out, said.err);
        assert_eq!(said.out, "", "{line}");
        let sentence = said.sentence();
        assert!(sentence.ends_with(['.', '?']), "{line}: no sentence: {sentence}");
        told.push_str(&format!("$ endshake {line}\n{}", said.err));
    }
    assert_eq!(bench.names(), ["x.wav"], "nothing may be left behind");
    insta::assert_snapshot!(told);
}

/// Files that are no recordings: status 3, a sentence that says what to do, nothing else.
#[test]
fn unreadable_files() {
    let bench = Bench::new();
    bench.write("empty.wav", b"");
    bench.write("words.wav", b"These are words and no sound at all.\n");
    bench.write("picture.flac", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR");
    bench.write("header.wav", b"RIFF\xff\xff\xff\xffWAVEfmt ");
    std::fs::create_dir(bench.path("folder.wav")).unwrap();
    let mut told = String::new();
    for name in
        ["missing.wav", "empty.wav", "words.wav", "picture.flac", "header.wav", "folder.wav"]
    {
        for format in ["text", "json", "csv"] {
            let said = bench.run(&format!("measure {name} --format {format}"));
            assert_eq!(said.status, 3, "{name}: {}{}", said.out, said.err);
            if format == "csv" {
                assert_eq!(said.out.lines().count(), 1, "the header alone: {}", said.out);
            } else {
                assert_eq!(said.out, "", "{name}");
            }
            let sentence = said.sentence().strip_prefix(&format!("{name}: ")).unwrap();
            assert!(sentence.ends_with('.') && sentence.len() > 20, "{sentence}");
            if format == "text" {
                told.push_str(&format!("{name}: {sentence}\n"));
            }
        }
    }
    insta::assert_snapshot!(told);
}

/// Among several files the bad one's line holds `error`, in its place, and the others are read.
#[test]
fn one_bad_file_does_not_stop_the_others() {
    let bench = Bench::new();
    bench.done("simulate -o good.wav --duration 10 --balance rate=3");
    bench.done("simulate -o quiet.wav --duration 5 --no-balance");
    bench.write("bad.wav", b"");
    for jobs in ["1", "3"] {
        let line = "measure bad.wav good.wav missing.wav quiet.wav good.wav --format json --jobs ";
        let said = bench.run(&format!("{line}{jobs}"));
        assert_eq!(said.status, 3, "{}", said.err);
        let lines = said.json_lines();
        let paths: Vec<&str> =
            lines.iter().map(|l| l["source"]["path"].as_str().unwrap()).collect();
        assert_eq!(paths, ["bad.wav", "good.wav", "missing.wav", "quiet.wav", "good.wav"]);
        for (line, bad) in lines.iter().zip([true, false, true, false, false]) {
            assert_eq!(line["schema"], "endshake.measure/1");
            assert_eq!(line["error"].is_string(), bad, "{line}");
            assert_eq!(line["balances"].is_array(), !bad, "{line}");
        }
        assert_eq!(lines[1], lines[4], "the same file, the same reading");
        assert_eq!(said.err.lines().count(), 2, "{}", said.err);
    }
}

/// What is asked of a part that is not in the recording is wrong use, not a bad file.
#[test]
fn parts_that_are_not_there() {
    let bench = Bench::new();
    bench.done("simulate -o a.wav --duration 2");
    for part in ["--start 10", "--channel 2", "--length 0"] {
        let said = bench.run(&format!("measure a.wav {part}"));
        assert_eq!(said.status, 2, "{part}: {}", said.err);
        assert!(said.sentence().starts_with("a.wav: "), "{}", said.err);
    }
}

#[test]
fn what_cannot_be_written_is_said() {
    let bench = Bench::new();
    bench.done("simulate -o a.wav --duration 8 --balance rate=3");
    for line in [
        "simulate -o no/such/folder/a.wav --duration 1",
        "simulate --truth no/such/folder/a.json --duration 1",
        "measure a.wav --plot no/such/folder/a.svg",
    ] {
        let said = bench.run(line);
        assert_eq!(said.status, 1, "{line}: {}", said.err);
        assert!(said.sentence().contains("could not be written"), "{}", said.err);
    }
}
