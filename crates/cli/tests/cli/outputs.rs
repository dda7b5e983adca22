//! What is written never destroys what is read, other output, or what is no ordinary file.

use crate::bench::Bench;

/// Wrong use, said in a sentence with these words, and every file as it was.
fn refused(bench: &Bench, line: &str, words: &[&str]) {
    let before: Vec<_> = bench.names().into_iter().map(|n| (bench.read(&n), n)).collect();
    let said = bench.run(line);
    assert_eq!(said.status, 2, "{line}: {}{}", said.out, said.err);
    assert_eq!(said.out, "", "{line}");
    for words in words {
        assert!(said.sentence().contains(words), "{line}: {}", said.err);
    }
    let after: Vec<_> = bench.names().into_iter().map(|n| (bench.read(&n), n)).collect();
    assert!(before == after, "{line}: files have changed");
}

#[test]
fn a_recording_is_never_overwritten() {
    let bench = Bench::new();
    bench.done("simulate -o q.wav --duration 20 --reference");
    bench.done("simulate -o vic.wav --duration 8 --balance rate=3");
    std::fs::rename(bench.path("vic.wav"), bench.path("vic.svg")).unwrap();
    bench.done("calibrate q.wav --save-to clock.svg");
    for (line, words) in [
        ("calibrate q.wav --save-to q.wav", ["“q.wav” is the recording", "--save-to"]),
        ("calibrate q.wav --save-to ./q.wav", ["is the recording", "name another file."]),
        ("measure vic.svg --plot vic.svg", ["“vic.svg” is a recording", "name another file."]),
        ("measure vic.svg --plot {}.svg", ["“vic.svg” is a recording", "name another file."]),
        ("measure vic.svg --plot clock.svg --clock clock.svg", ["“clock.svg” is the clock", ""]),
    ] {
        refused(&bench, line, &words);
    }
}

#[test]
fn outputs_have_files_of_their_own() {
    let bench = Bench::new();
    for name in ["r.flac", "r.wav"] {
        let twice = ["would be written twice", "--output", "--truth"];
        refused(&bench, &format!("simulate -o {name} --truth {name} --duration 1"), &twice);
        refused(&bench, &format!("simulate -o {name} --truth ./{name} --duration 1"), &twice);
    }
}

/// The recordings differ in their folders or endings alone, so their pictures would not.
#[test]
fn pictures_of_several_recordings_have_names_of_their_own() {
    let bench = Bench::new();
    bench.done("simulate -o a.wav --duration 8 --balance rate=3");
    bench.done("simulate -o a.flac --duration 8 --balance rate=3");
    for (line, both) in [
        ("measure a.wav a.flac --plot {}-sheet.svg", ["“a.wav”", "“a.flac”"]),
        ("measure a.wav ./a.wav --plot {}.png", ["“a.wav”", "“./a.wav”"]),
        ("measure x/a.wav b.wav y/a.wav --plot {}.svg", ["“x/a.wav”", "“y/a.wav”"]),
    ] {
        refused(&bench, line, &both);
        refused(&bench, line, &["would be written twice", "give each a file of its own."]);
    }
}

/// Where the test's own data folder is known.
#[cfg(target_os = "linux")]
#[test]
fn a_clock_is_not_kept_and_written_in_one_file() {
    let bench = Bench::new();
    bench.done("simulate -o q.wav --duration 20 --reference");
    bench.done("calibrate q.wav --save bench --save-to own.json");
    let kept = "data/endshake/clocks/bench.json";
    let old = bench.read(kept);
    let said = bench.run(&format!("calibrate q.wav --save bench --replace --save-to {kept}"));
    assert_eq!(said.status, 2, "{}", said.err);
    assert!(said.sentence().contains("for --save and for --save-to"), "{}", said.err);
    assert!(bench.read(kept) == old);
}

#[cfg(unix)]
mod on_unix {
    use super::refused;
    use crate::bench::Bench;
    use std::fs::{self, File, Permissions};
    use std::os::unix::fs::{FileTypeExt, PermissionsExt, symlink};
    use std::process::{Command, Stdio};

    #[test]
    fn a_recording_is_known_by_all_its_names() {
        let bench = Bench::new();
        bench.done("simulate -o q.wav --duration 20 --reference");
        symlink("q.wav", bench.path("link.json")).unwrap();
        fs::hard_link(bench.path("q.wav"), bench.path("hard.svg")).unwrap();
        refused(&bench, "calibrate q.wav --save-to link.json", &["“link.json” is the recording"]);
        refused(&bench, "calibrate link.json --save-to q.wav", &["“q.wav” is the recording"]);
        refused(&bench, "measure q.wav --plot hard.svg", &["“hard.svg” is a recording"]);
        symlink("new.wav", bench.path("later.json")).unwrap();
        let said = bench.run("simulate -o new.wav --truth later.json --duration 1");
        assert_eq!(said.status, 2, "{}", said.err);
        assert!(!bench.path("new.wav").exists());
    }

    /// Standard input and output are files too, where the shell made them so.
    #[test]
    fn streams_that_are_files() {
        let bench = Bench::new();
        bench.done("simulate -o r.wav --duration 8 --balance rate=3");
        std::fs::rename(bench.path("r.wav"), bench.path("r.svg")).unwrap();
        let old = bench.read("r.svg");
        let mut piped_in = bench.command(&["measure", "-", "--plot", "r.svg"]);
        let said = piped_in.stdin(File::open(bench.path("r.svg")).unwrap()).output().unwrap();
        assert_eq!(said.status.code(), Some(2), "{}", String::from_utf8_lossy(&said.stderr));
        let mut sent_out = bench.command(&["measure", "r.svg", "--plot", "p.svg"]);
        let out = File::create(bench.path("p.svg")).unwrap();
        let said = sent_out.stdout(out).stderr(Stdio::piped()).output().unwrap();
        assert_eq!(said.status.code(), Some(2), "{}", String::from_utf8_lossy(&said.stderr));
        let mut appended = bench.command(&["measure", "r.svg"]);
        let out = File::options().append(true).open(bench.path("r.svg")).unwrap();
        let said = appended.stdout(out).stderr(Stdio::piped()).output().unwrap();
        assert_eq!(said.status.code(), Some(2), "{}", String::from_utf8_lossy(&said.stderr));
        assert!(bench.read("r.svg") == old);
    }

    #[test]
    fn pipes_stay_pipes() {
        let bench = Bench::new();
        bench.done("simulate -o q.wav --duration 20 --reference");
        for name in ["p.svg", "p.json", "p.wav", "p.flac"] {
            assert!(Command::new("mkfifo").arg(bench.path(name)).status().unwrap().success());
        }
        for (line, name) in [
            ("measure q.wav --plot p.svg", "p.svg"),
            ("calibrate q.wav --save-to p.json", "p.json"),
            ("simulate -o x.wav --truth p.json --duration 1", "p.json"),
            ("simulate -o p.wav --duration 1", "p.wav"),
            ("simulate -o p.flac --duration 1", "p.flac"),
        ] {
            let said = bench.run(line);
            assert_eq!(said.status, 1, "{line}: {}{}", said.out, said.err);
            assert!(said.sentence().contains("a device or a pipe"), "{line}: {}", said.err);
            let kind = fs::symlink_metadata(bench.path(name)).unwrap().file_type();
            assert!(kind.is_fifo(), "{line}");
        }
        assert_eq!(bench.names(), ["p.flac", "p.json", "p.svg", "p.wav", "q.wav"]);
    }

    /// Links stay links, whether they lead to a file already or not, and what they lead to is
    /// written; a file that was there keeps its permissions.
    #[test]
    fn links_are_followed_and_permissions_kept() {
        let bench = Bench::new();
        bench.done("simulate -o a.wav --duration 20 --reference");
        fs::create_dir(bench.path("far")).unwrap();
        for ending in ["svg", "json", "wav", "flac"] {
            for there in [true, false] {
                let (link, real) = (format!("l{there}.{ending}"), format!("far/{there}.{ending}"));
                symlink(&real, bench.path(&link)).unwrap();
                if there {
                    bench.write(&real, b"old");
                    fs::set_permissions(bench.path(&real), Permissions::from_mode(0o600)).unwrap();
                }
            }
        }
        bench.done("simulate -o watch.wav --duration 8 --balance rate=3");
        for there in [true, false] {
            bench.done(&format!("measure watch.wav --plot l{there}.svg"));
            bench.done(&format!("calibrate a.wav --save-to l{there}.json"));
            bench.done(&format!("simulate -o l{there}.wav --duration 1"));
            bench.done(&format!("simulate -o l{there}.flac --duration 1"));
            for ending in ["svg", "json", "wav", "flac"] {
                let link = bench.path(&format!("l{there}.{ending}"));
                assert!(link.is_symlink(), "{link:?}");
                let real = fs::metadata(bench.path(&format!("far/{there}.{ending}"))).unwrap();
                assert!(real.len() > 100, "{link:?}");
                if there {
                    assert_eq!(real.permissions().mode() & 0o777, 0o600, "{link:?}");
                }
            }
        }
        // Nothing unfinished lies about.
        assert_eq!(fs::read_dir(bench.path("far")).unwrap().count(), 8);
        symlink("b.json", bench.path("a.json")).unwrap();
        symlink("a.json", bench.path("b.json")).unwrap();
        let circle = bench.run("simulate --truth a.json --duration 1");
        assert_eq!(circle.status, 1, "{}", circle.err);
    }
}
