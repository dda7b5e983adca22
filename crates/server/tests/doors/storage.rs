//! A disk that is full or may not be written, and a database that somebody else holds: told in a
//! sentence, nothing half-written, and all well again afterwards.

use crate::bench::{Bench, Page, code, text};
use crate::disk::Disk;
use crate::listening::{Live, RATE_HZ, is};
use crate::uploads::{png, send};
use sea_orm::{ConnectionTrait, Database};
use serde_json::{Value, json};
use server::{Options, StartFailure};
use std::io::Write;
use std::path::Path;
use std::time::{Duration, Instant};
use store::{Places, Store};

/// What cannot be made shorter as a file.
fn noise(samples: usize) -> Vec<f32> {
    let mut state = 1u32;
    let mut next = || {
        // A linear congruential generator (Numerical Recipes, 3rd ed., 7.1).
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (state >> 8) as f32 / (1u32 << 23) as f32 - 1.0
    };
    (0..samples).map(|_| next()).collect()
}

/// Fills the disk to its last byte.
fn fill(file: &Path) {
    let mut ballast = std::fs::File::create(file).unwrap();
    for size in [1 << 20, 1 << 12, 1] {
        while ballast.write_all(&vec![0; size]).is_ok() {}
    }
}

fn names(folder: &Path) -> Vec<String> {
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let name = |entry: std::io::Result<std::fs::DirEntry>| entry.unwrap().file_name();
    let mut names: Vec<String> = entries.map(|entry| name(entry).into_string().unwrap()).collect();
    names.sort();
    names
}

fn refused(what: &str, (status, answer): (u16, Value), expected: (u16, &str)) {
    assert_eq!((status, code(&answer).as_str()), expected, "{what}: {answer}");
    let said = text(&answer["error"]["message"]);
    assert!(said.ends_with('.') && said.len() > 30, "{what}: {said}");
}

fn photos(page: &Page, job: &str) -> Value {
    page.get(&format!("/jobs/{job}/photos")).1["photos"].clone()
}

fn readings(page: &Page, job: &str) -> Vec<Value> {
    page.get(&format!("/jobs/{job}/readings")).1["readings"].as_array().unwrap().clone()
}

/// Longer and longer notes, until they are refused; gives the last that were kept.
fn edit_until_refused(page: &Page, at: &str) -> String {
    let mut kept = String::new();
    for n in 1..500 {
        let notes = format!("note {n} ").repeat(400);
        let version = page.get(at).1["version"].clone();
        let (status, answer) = page.patch(at, &json!({ "version": version, "notes": notes }));
        if status != 200 {
            refused("an edit", (status, answer), (507, "full_disk"));
            return kept;
        }
        kept = notes;
    }
    panic!("the disk is not full");
}

#[test]
fn a_full_disk_is_told_and_nothing_is_kept_by_halves() {
    let Some(disk) = Disk::of_mib(16) else { return };
    let data = disk.path().join("data");
    let bench = Bench::at(&data);
    let (page, job) = (bench.page(), bench.job());
    let at = format!("/jobs/{job}");
    let mut live = Live::start(&bench, &page);
    live.may_fail = true;
    let reading = format!("/live/{}/reading", live.id);
    let wish = json!({ "job_id": job, "seconds": 600.0, "note": "while the disk fills" });
    assert_eq!(page.post(&reading, &wish).0, 202);
    live.send(&noise(2 * RATE_HZ), 0);
    live.until(|f| f["taking"]["elapsed_s"].as_f64().is_some_and(|s| s > 1.5));

    let ballast = disk.path().join("ballast");
    fill(&ballast);
    let kept = edit_until_refused(&page, &at);
    // Whatever room an edit has made free is gone again.
    fill(&disk.path().join("more-ballast"));
    refused("a photo", send(&page, &job, &png(), "a.png", "image/png"), (507, "full_disk"));
    assert_eq!(photos(&page, &job), json!([]));
    // The sound of the reading ends, and that is told at once; the reading goes on.
    live.send(&noise(4 * RATE_HZ), 0);
    let told = live.until(is("failed"));
    assert!(text(&told["message"]).contains("check the folder and the free space"), "{told}");
    let goes_on = |f: &Value| f["taking"]["elapsed_s"].as_f64().is_some_and(|s| s > 5.0);
    live.until(goes_on);
    // It ends, and cannot be kept yet.
    assert_eq!(page.delete(&format!("{reading}?keep=true")).0, 204);
    let told = live.until(is("failed"));
    assert!(text(&told["message"]).contains("disk is full"), "{told}");
    let in_hand = data.join("readings-in-hand");
    let lies = names(&in_hand);
    assert_eq!(lies.len(), 2, "its sound and its note lie aside: {lies:?}");
    // No other can be begun, and nothing of it lies about.
    refused("a reading", page.post(&reading, &wish), (507, "full_disk"));
    assert_eq!(names(&in_hand), lies);
    // What was kept before is there as it was.
    assert_eq!(page.get(&at).1["notes"], kept.as_str());
    assert!(readings(&page, &job).is_empty());
    // A report wants no room.
    let report = page.agent.get(page.url(&format!("{at}/papers/report.pdf"))).call().unwrap();
    assert_eq!(report.headers()["content-type"], "application/pdf");

    for file in ["ballast", "more-ballast"] {
        std::fs::remove_file(disk.path().join(file)).unwrap();
    }
    let version = page.get(&at).1["version"].clone();
    assert_eq!(page.patch(&at, &json!({ "version": version, "notes": "room again" })).0, 200);
    assert_eq!(send(&page, &job, &png(), "a.png", "image/png").0, 201);
    // What lies aside is kept at the next start.
    let bench = bench.restarted();
    let page = bench.page();
    let began = Instant::now();
    while !names(&in_hand).is_empty() {
        assert!(began.elapsed() < Duration::from_secs(60), "it is not taken in");
        std::thread::sleep(Duration::from_millis(20));
    }
    let kept = readings(&page, &job);
    assert_eq!(kept.len(), 1, "{kept:?}");
    assert!(text(&kept[0]["note"]).starts_with("while the disk fills"), "{kept:?}");
    // What had come before the disk was full.
    assert!(kept[0]["duration_s"].as_f64().unwrap() > 1.0, "{kept:?}");
    let checked = bench.ended_and_checked();
    assert_eq!((checked.faults, checked.left_over), (vec![], vec![]));
    assert_eq!(checked.media, 2);
}

#[test]
fn a_folder_that_may_not_be_written_is_told_and_serves_again_afterwards() {
    let Some(disk) = Disk::of_mib(16) else { return };
    let data = disk.path().join("data");
    let bench = Bench::at(&data);
    let job = bench.job();
    let checked = bench.ended_and_checked();
    assert_eq!(checked.faults, []);
    disk.make_read_only(true);
    // The database may be elsewhere, and is well.
    let elsewhere = tempfile::tempdir().unwrap();
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let why = runtime.block_on(async {
        let store = Store::open(&Places::in_folder(elsewhere.path())).await.unwrap();
        let options = Options {
            bench: server::Bench::default(),
            port: 0,
            network_port: 0,
            folder: data.clone(),
            demo: false,
            simulated: Vec::new(),
        };
        server::serve(store, options).await.err()
    });
    assert!(matches!(why, Some(StartFailure::Folder { .. })), "{why:?}");
    let said = why.unwrap().to_string();
    assert!(said.contains("cannot be written") && said.ends_with("with --data."), "{said}");
    disk.make_read_only(false);
    let bench = Bench::at(&data);
    let page = bench.page();
    let change = json!({ "version": 1, "notes": "may be written again" });
    assert_eq!(page.patch(&format!("/jobs/{job}"), &change).0, 200);
}

/// Another program that holds the database of a folder until it is dropped.
pub(crate) struct Holder {
    runtime: tokio::runtime::Runtime,
    database: sea_orm::DatabaseConnection,
}

impl Holder {
    /// `how` is EXCLUSIVE, or IMMEDIATE, which lets others look.
    pub(crate) fn begin(folder: &Path, how: &str) -> Self {
        let runtime = tokio::runtime::Runtime::new().unwrap();
        let file = folder.join("endshake.sqlite");
        let mut options = sea_orm::ConnectOptions::new(format!("sqlite://{}", file.display()));
        options.max_connections(1);
        let database = runtime.block_on(Database::connect(options)).unwrap();
        let begin = format!("BEGIN {how}");
        runtime.block_on(database.execute_unprepared(&begin)).unwrap();
        Self { runtime, database }
    }
}

impl Drop for Holder {
    fn drop(&mut self) {
        self.runtime.block_on(self.database.execute_unprepared("ROLLBACK")).unwrap();
    }
}

/// Another program holds the database. Whoever only looks is not kept waiting; a reading that ends
/// meanwhile is kept later.
#[test]
fn a_database_that_somebody_holds_is_told_and_serves_again_afterwards() {
    let folder = tempfile::tempdir().unwrap();
    let bench = Bench::at(folder.path());
    let (page, job) = (bench.page(), bench.job());
    let at = format!("/jobs/{job}");
    let mut live = Live::start(&bench, &page);
    live.may_fail = true;
    let wish = json!({ "job_id": job, "seconds": 2.0, "note": "while it is locked" });
    assert_eq!(page.post(&format!("/live/{}/reading", live.id), &wish).0, 202);

    let other = Holder::begin(folder.path(), "EXCLUSIVE");
    let locked = (503, "locked");
    refused("an edit", page.patch(&at, &json!({ "version": 1, "notes": "x" })), locked);
    refused("a photo", send(&page, &job, &png(), "a.png", "image/png"), locked);
    live.send(&noise(3 * RATE_HZ), 0);
    let told = live.until(is("failed"));
    assert!(text(&told["message"]).contains("locked by another program"), "{told}");
    assert_eq!(page.get(&at).1["notes"], "");
    assert_eq!(photos(&page, &job), json!([]));
    drop(other);

    assert_eq!(page.patch(&at, &json!({ "version": 1, "notes": "free" })).0, 200);
    assert_eq!(send(&page, &job, &png(), "a.png", "image/png").0, 201);
    // Tried again every half minute.
    live.until(is("kept"));
    let kept = readings(&page, &job);
    assert_eq!((kept.len(), &kept[0]["note"]), (1, &json!("while it is locked")));
    let checked = bench.ended_and_checked();
    assert_eq!((checked.faults, checked.left_over), (vec![], vec![]));
}
