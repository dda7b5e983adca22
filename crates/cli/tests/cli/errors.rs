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
        "measure x.wav --lift-angle -52",
        "measure x.wav --lift-angle 52,5",
        "measure x.wav --beats-per-hour -28800",
        "measure x.wav --balances -1",
        "measure x.wav --start -1m30s",
        "measure x.wav --length 1,5",
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
        "simulate -o x.wav --sample-rate -1",
        "simulate -o x.wav --clip -1",
        "simulate -o x.wav --balance rate=1,5",
        "simulate -o z.mp3",
        "simulate -o wav.d/z.m4a --duration 1",
        "simulate -o x.wav --no-balance --balance rate=5",
        "plan",
        "plan x.wav --trains apart",
        "plan x.wav --without Oil",
        "plan x.wav --format csv",
        "check --sweep yes",
        "check --format csv",
        "backup",
        "backup a b",
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

/// A number of three hundred digits is told apart by its ends.
#[test]
fn long_numbers_do_not_flood_messages() {
    let bench = Bench::new();
    bench.write("x.wav", b"never opened");
    let nines = "9".repeat(300);
    for line in [
        "measure x.wav --lift-angle N",
        "measure x.wav --beats-per-hour N",
        "measure x.wav --clock-error-ppm -N",
        "measure x.wav --start N",
        "measure x.wav --balances N",
        "measure x.wav --channel N",
        "measure x.wav --tolerance N N --plot x.svg",
        "calibrate x.wav --mark N=N",
        "calibrate x.wav --reference-error-ppm N --reference-sd-ppm N",
        "simulate -o y.wav --balance rate=N",
        "simulate -o y.wav --balance N=N",
        "simulate -o y.wav --duration N",
        "simulate -o y.wav --clip N --noise N",
        "simulate -o y.wav --N",
    ] {
        let said = bench.run(&line.replace('N', &nines));
        assert_eq!(said.status, 2, "{line}: {}", said.err);
        assert!(said.sentence().chars().count() < 400, "{line}: {}", said.err);
    }
}

/// Names that are not UTF-8 are names of files all the same, and what stands in a name does nothing
/// to the terminal.
#[cfg(target_os = "linux")]
#[test]
fn any_name_of_a_file() {
    use std::ffi::{OsStr, OsString};
    use std::os::unix::ffi::OsStrExt;
    let bench = Bench::new();
    bench.done("simulate -o a.wav --duration 8 --balance rate=2");
    let run = |arguments: &[&OsStr]| {
        let output = bench.command(&[]).args(arguments).output().unwrap();
        (output.status.code().unwrap(), output.stdout, String::from_utf8(output.stderr).unwrap())
    };
    let os = OsStr::new;
    for bytes in [&b"a\xff\xe9.wav"[..], b"a\xfe\xe9.wav", b"a\x1b[31m\n\xc2\x9b.wav"] {
        std::fs::copy(bench.path("a.wav"), bench.path("").join(OsStr::from_bytes(bytes))).unwrap();
    }
    let (first, second) =
        (OsStr::from_bytes(b"a\xff\xe9.wav"), OsStr::from_bytes(b"a\xfe\xe9.wav"));
    let (status, _, err) = run(&[os("measure"), first, second, os("--plot"), os("{}.svg")]);
    assert_eq!(status, 0, "{err}");
    for bytes in [b"a\xff\xe9.svg", b"a\xfe\xe9.svg"] {
        assert!(bench.path("").join(OsStr::from_bytes(bytes)).is_file());
    }
    let (status, _, err) = run(&[
        os("simulate"),
        os("-o"),
        OsStr::from_bytes(b"b\xff.flac"),
        os("--duration"),
        os("1"),
    ]);
    assert_eq!(status, 0, "{err}");
    let title = OsString::from(OsStr::from_bytes(b"\xff"));
    let (status, out, err) =
        run(&[os("measure"), first, os("--plot"), os("x.svg"), os("--title"), &title]);
    assert_eq!((status, out.len()), (2, 0));
    assert!(err.contains("UTF-8") && err.lines().count() == 1, "{err}");
    // Text: nothing but letters and ends of lines. Messages: the same.
    let wild = OsStr::from_bytes(b"a\x1b[31m\n\xc2\x9b.wav");
    let (status, out, _) = run(&[os("measure"), wild]);
    let text = String::from_utf8(out).unwrap();
    assert_eq!(status, 0);
    assert!(text.chars().all(|c| c == '\n' || !c.is_control()), "{text:?}");
    assert!(text.starts_with("a\\u{1b}[31m\\u{a}\\u{9b}.wav\n"), "{text}");
    let (_, _, err) = run(&[os("measure"), OsStr::from_bytes(b"no\x1b[2J.wav")]);
    assert!(err.trim_end().chars().all(|c| !c.is_control()), "{err:?}");
    bench.write("evil.json", br#"{"schema":"\u001b[2J","error_ppm":0,"sd_ppm":1}"#);
    let (_, _, err) = run(&[os("measure"), os("a.wav"), os("--clock"), os("evil.json")]);
    assert!(err.trim_end().chars().all(|c| !c.is_control()), "{err:?}");
}

/// A full disk leaves nothing behind and is told.
#[cfg(target_os = "linux")]
#[test]
fn help_that_cannot_be_printed_is_no_success() {
    let bench = Bench::new();
    for line in ["--help", "--version", "measure --help", "completions zsh"] {
        let full = std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
        let words: Vec<&str> = line.split(' ').collect();
        let output = bench.command(&words).stdout(full).output().unwrap();
        assert_eq!(output.status.code(), Some(1), "{line}");
        let err = String::from_utf8(output.stderr).unwrap();
        assert!(err.contains("could not be printed"), "{line}: {err}");
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
