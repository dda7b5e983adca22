//! `endshake archive`: out of one workshop, checked, and into another.

use crate::bench::Bench;
use crate::workshop::{Made, with_a_job};
use bytes::Bytes;
use jobs::{Job, Reading, ReadingSettings};
use serde_json::json;
use std::process::Command;
use store::OWN_RULES;

/// An owner, a watch and two jobs, one of them with a photo, where the user's data is.
fn furnish(bench: &Bench) {
    tokio::runtime::Runtime::new().unwrap().block_on(async {
        // As a JPEG begins (ITU-T T.81, B.1.1.3), whatever follows.
        let Made { store, by, watch, .. } =
            with_a_job(bench, "Ada Berg", b"\xff\xd8\xff\xe0a picture").await;
        store.create(&by, Job::begun(watch, "rings twice", by.at)).await.unwrap();
        // Not finished yet: what is right in such a text counts all the same.
        store.change_setting(&by, OWN_RULES, 0, "[[rule").await.unwrap();
        store.close().await;
    });
}

#[test]
fn everything_goes_out_is_checked_and_comes_in_elsewhere() {
    let bench = Bench::new();
    furnish(&bench);
    let said = bench.done("archive write --everything --out all.zip");
    let holds = "1 owner, 1 watch, 2 jobs, 1 photo";
    assert!(said.contains(holds) && said.contains("archive check all.zip"), "{said}");
    // Another program reads it too: Info-ZIP's.
    let unzip = Command::new("unzip").arg("-tq").arg(bench.path("all.zip")).output();
    let unzip = unzip.expect("unzip; `./dev test` installs it");
    assert!(unzip.status.success(), "{}", String::from_utf8_lossy(&unzip.stdout));
    let said = bench.done("archive check all.zip");
    assert!(said.contains("All is there and as it was") && said.contains(holds), "{said}");

    // Where there is nothing yet, nothing is begun only to look.
    let looked = bench.run("archive read all.zip --data there --dry-run --format json").json();
    assert_eq!((&looked["dry_run"], &looked["new"]["photo"]), (&json!(true), &json!(1)));
    assert!(!bench.path("there").exists());
    let read = bench.done("archive read all.zip --data there");
    let rules = "own words and rules can count:\n  own words and rules, line 1: ";
    assert!(read.contains(holds) && read.contains(rules), "{read}");
    let looked = bench.run("archive read all.zip --data there --dry-run --format json").json();
    assert_eq!((&looked["dry_run"], &looked["there"]["photo"]), (&json!(true), &json!(1)));
    let again = bench.run("archive read all.zip --data there --format json").json();
    assert_eq!((&again["schema"], &again["new"]), (&json!("endshake.archive_read/1"), &json!({})));
    assert_eq!(again["there"]["job"], 2);
    assert!(bench.done("check --data there").contains("All is there and as it was."));

    // Written from there it is the same, but for when.
    bench.done("archive write --everything --out again.zip --data there");
    let files = |zip: &str| {
        let listed = Command::new("unzip").arg("-v").arg(bench.path(zip)).output().unwrap();
        let listed = String::from_utf8(listed.stdout).unwrap();
        let row = |line: &str| {
            let words: Vec<&str> = line.split_whitespace().collect();
            // Its checksum and its name, at the end of a row.
            let (&name, &sum) = (words.last()?, words.get(6)?);
            (words.len() == 8 && name != "manifest.json").then(|| format!("{sum} {name}"))
        };
        listed.lines().filter_map(row).collect::<Vec<_>>()
    };
    assert!(files("all.zip").len() > 5, "{:?}", files("all.zip"));
    assert_eq!(files("again.zip"), files("all.zip"));
}

#[test]
fn a_job_alone_and_a_watch_with_its_visits() {
    let bench = Bench::new();
    furnish(&bench);
    let written = bench.run("archive write --job 1 --out job.zip --format json").json();
    assert_eq!(written["schema"], "endshake.archive_written/1");
    assert_eq!((&written["counts"]["job"], &written["counts"]["photo"]), (&json!(1), &json!(1)));
    let written = bench.run("archive write --watch 2 --out watch.zip --format json").json();
    assert_eq!(written["counts"]["job"], 2);
    let checked = bench.run("archive check job.zip --format json").json();
    assert_eq!(checked["schema"], "endshake.archive_checked/1");
    assert_eq!(checked["holds"], "job");

    // It is not written over what is there, unless it may.
    let again = bench.run("archive write --job 2 --out job.zip");
    assert_eq!(again.status, 2);
    assert!(again.sentence().contains("--replace"), "{}", again.err);
    bench.done("archive write --job 2 --out job.zip --replace");
    // The number of a job is that of another job elsewhere.
    bench.done("archive read watch.zip --data there");
    bench.done("archive write --job 1 --out job.zip --replace");
    let other = Bench::new();
    furnish(&other);
    other.write("watch.zip", &bench.read("watch.zip"));
    let taken = other.run("archive read watch.zip");
    assert_eq!((taken.status, taken.out.as_str()), (3, ""), "{}", taken.err);
    assert!(other.done("archive read watch.zip --new-numbers").contains("2 jobs"));
    let missing = bench.run("archive write --job 9 --out nine.zip");
    assert_eq!(missing.status, 3);
    assert!(!bench.path("nine.zip").exists());
}

/// One reading with the sound of a simulated watch, one with a sound that is none, and one without.
fn read_three_times(bench: &Bench) {
    bench.done(
        "simulate --output watch.flac --duration 20 --sample-rate 44100 --seed 5 \
         --balance bph=28800,rate=43.2,amplitude=280,beat-error=0.3",
    );
    let sound = bench.read("watch.flac");
    tokio::runtime::Runtime::new().unwrap().block_on(async {
        let Made { store, by, .. } = with_a_job(bench, "Ada Berg", b"\xff\xd8\xff\xe0").await;
        let job = store.job_numbered(1).await.unwrap().unwrap().id;
        for bytes in [Some(sound), Some(b"fLaC and no more".to_vec()), None] {
            let sound = match bytes {
                Some(bytes) => Some(store.put_media(Bytes::from(bytes)).await.unwrap()),
                None => None,
            };
            let reading = Reading {
                job,
                position: None,
                wind: String::new(),
                taken: by.at,
                duration_s: 20.0,
                device: String::new(),
                settings: ReadingSettings::default(),
                program: "0".into(),
                sound,
                balances: vec![],
                relation: None,
                lost_samples: 0,
                warnings: vec![],
                note: String::new(),
            };
            store.create(&by, reading).await.unwrap();
        }
        store.close().await;
    });
}

#[test]
fn series_behind_the_readings_come_out_as_tables() {
    let bench = Bench::new();
    read_three_times(&bench);
    bench.done("archive write --everything --out all.zip");
    let said = bench.run("archive series all.zip --out series --format json");
    assert_eq!(said.status, 3, "one sound is none: {}", said.err);
    let said = said.json();
    assert_eq!(said["schema"], "endshake.series_written/1");
    let counted = [&said["readings"], &said["without_sound"], &said["unheard"][1]];
    assert_eq!(counted, [&json!(1), &json!(1), &json!(null)]);
    assert!(said["unheard"][0]["error"].as_str().unwrap().contains("cannot be read"), "{said}");

    let text = String::from_utf8(bench.read("series/beats-0001.csv")).unwrap();
    let rows: Vec<Vec<&str>> = text.lines().map(|line| line.split(',').collect()).collect();
    assert_eq!(rows[0].join(","), "reading_id,balance,time_s,gain_ms,residual_ms,side,used");
    assert_eq!(rows.len() as u64 - 1, said["beats"].as_u64().unwrap());
    // Eight beats a second for 20 s, as was put in; the first and the last may be cut.
    assert!((155..=161).contains(&(rows.len() - 1)), "{}", rows.len());
    // The slope of the gain by least squares is the rate that was put in: 43.2 s/d is 0.5 ms a second. The
    // jitter of a simulated beat, some 10 us, leaves a slope known to 10 us / (20 s * sqrt(160 / 12)), which
    // is 0.00014 ms/s; the bound is ten times that.
    let points: Vec<(f64, f64)> =
        rows[1..].iter().map(|row| (row[2].parse().unwrap(), row[3].parse().unwrap())).collect();
    let n = points.len() as f64;
    let (mean_s, mean_ms) =
        points.iter().fold((0.0, 0.0), |(s, ms), point| (s + point.0 / n, ms + point.1 / n));
    let (mut up, mut across) = (0.0, 0.0);
    for (s, ms) in points {
        up += (s - mean_s) * (ms - mean_ms);
        across += (s - mean_s).powi(2);
    }
    assert!((up / across - 0.5).abs() < 0.0014, "{} ms/s", up / across);
    // Parquet, by the first and last bytes of the format.
    let parquet = bench.read("series/beats-0001.parquet");
    assert!(parquet.starts_with(b"PAR1") && parquet.ends_with(b"PAR1"));
    let course = String::from_utf8(bench.read("series/courses-0001.csv")).unwrap();
    assert!(course.contains(",A,amplitude_deg,"), "{course}");

    // Nothing is written over, and what failed leaves nothing.
    let again = bench.run("archive series all.zip --out series");
    assert_eq!((again.status, again.out.as_str()), (2, ""));
    assert!(again.sentence().contains("is there already"), "{}", again.err);
    bench.write("words.zip", b"no archive");
    assert_eq!(bench.run("archive series words.zip --out more").status, 3);
    assert_eq!(bench.names(), ["all.zip", "data", "series", "watch.flac", "words.zip"]);
}

#[test]
fn what_is_no_archive_is_refused_and_nothing_is_begun() {
    let bench = Bench::new();
    furnish(&bench);
    bench.done("archive write --everything --out good.zip");
    let good = bench.read("good.zip");
    bench.write("words.zip", b"These are words and no archive at all.\n");
    bench.write("half.zip", &good[..good.len() / 2]);
    let mut changed = good.clone();
    let photo = good.windows(9).position(|nine| nine == b"a picture").unwrap();
    changed[photo] = b'A';
    bench.write("changed.zip", &changed);
    for (file, said) in [
        ("words.zip", "This is no archive: it is not a zip file."),
        ("half.zip", "is cut short or damaged"),
        ("changed.zip", "copy it once more from where it came."),
        ("nowhere.zip", "cannot be read"),
        ("data", "this is a folder"),
    ] {
        for line in [format!("archive check {file}"), format!("archive read {file} --data there")] {
            let refused = bench.run(&line);
            assert_eq!((refused.status, refused.out.as_str()), (3, ""), "{line}: {}", refused.err);
            assert!(refused.sentence().contains(said), "{line}: {}", refused.err);
        }
    }
    assert!(!bench.path("there").exists(), "no database is begun for them");
}

#[test]
fn older_paper_records_come_in_all_or_none() {
    let bench = Bench::new();
    let head = "owner,watch,serial,in,out,complaint,done,price,currency,CH,6H,rate_sd\n";
    let good = "Ada Stone,steel wristwatch,A-123,1998-03-02,1998-03-20,loses,cleaned,120.50,EUR,+4,-2.5,1.5\n";
    bench.write("book.csv", format!("{head}{good}").as_bytes());
    bench.write(
        "bad.csv",
        format!("{head}{good}Ada Stone,steel wristwatch,A-123,last spring,,,,,,,,\n").as_bytes(),
    );
    let refused = bench.run("archive paper-records bad.csv");
    assert_eq!(refused.status, 3);
    assert!(refused.out.contains("line 3: "), "{}{}", refused.out, refused.err);
    let looked = bench.done("archive paper-records book.csv --dry-run");
    assert!(looked.contains("Would be added: 1 visit"), "{looked}");
    assert!(!bench.path("data").exists(), "nothing is begun only to look");
    assert!(bench.done("archive paper-records book.csv").contains("1 visit"));
    let looked = bench.run("archive paper-records book.csv --dry-run --format json").json();
    assert_eq!(looked["schema"], "endshake.paper_records/1");
    assert_eq!((&looked["dry_run"], &looked["visits"]), (&json!(true), &json!(0)));
    let again = bench.run("archive paper-records book.csv --format json").json();
    assert_eq!((&again["visits"], &again["there"]), (&json!(0), &json!(1)));
    // What was taken in goes out again: both rates are readings, since it is known how good they are.
    let written = bench.run("archive write --everything --out all.zip --format json").json();
    let counts = &written["counts"];
    assert_eq!(
        (&counts["job"], &counts["reading"], &counts["estimate"]),
        (&json!(1), &json!(2), &json!(1))
    );
    // And its rate sheet is one: as the paper has it, CH gains 4 s/d and 6H loses 2.5.
    let sheet = Command::new("unzip")
        .arg("-p")
        .arg(bench.path("all.zip"))
        .arg("tables/rates-0001.csv")
        .output();
    bench.write("rates.csv", &sheet.unwrap().stdout);
    let rates = bench.run("rates rates.csv --format json").json().to_string();
    assert!(rates.contains("\"CH\"") && rates.contains("-2.5"), "{rates}");
}
