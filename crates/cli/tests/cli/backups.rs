//! `endshake backup` killed at any moment: what it copies is as it was, no half copy passes for a whole
//! one, and the next one clears up.

use crate::bench::Bench;
use crate::workshop::{Made, with_a_job};
use jobs::{Job, Photo};
use std::process::Stdio;
use std::time::Instant;

const PHOTOS: usize = 40;
const KILLS: usize = 10;

/// A job with photos, where the user's data is.
fn furnish(bench: &Bench) {
    tokio::runtime::Runtime::new().unwrap().block_on(async {
        let Made { store, by, watch, .. } = with_a_job(bench, "Ada Berg", b"a picture").await;
        let job = store.create(&by, Job::begun(watch, "rings twice", by.at)).await.unwrap().id;
        for n in 1..PHOTOS {
            let media = store.put_media(format!("{n}").repeat(9_000).into()).await.unwrap();
            let (caption, taken) = (format!("photo {n}"), by.at);
            let photo = Photo { job, media, caption, width_px: 1, height_px: 1, taken };
            store.create(&by, photo).await.unwrap();
        }
        store.close().await;
    });
}

/// Names of what lies among the copies.
fn copies(bench: &Bench) -> Vec<String> {
    let entries = std::fs::read_dir(bench.path("copies")).unwrap();
    entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect()
}

/// Checked with all that belongs to it.
fn whole(bench: &Bench, what: &str) {
    let checked = bench.run(&format!("check {what} --format json")).json();
    assert_eq!(
        (&checked["well"], &checked["media_files"]),
        (&true.into(), &PHOTOS.into()),
        "{what}"
    );
}

/// Of what was not finished: folders that hold something. One that was killed in the moment between the
/// folder and what it is known by leaves an empty one, which goes after a day.
fn unfinished(bench: &Bench) -> usize {
    let left = copies(bench).into_iter().filter(|name| name.ends_with(".part"));
    left.filter(|name| bench.path("copies").join(name).join("files.json").exists()).count()
}

/// SIGKILL, which no program can catch, at moments spread over all of it.
#[test]
fn a_backup_that_is_killed_is_not_there_by_halves() {
    let bench = Bench::new();
    furnish(&bench);
    let began = Instant::now();
    bench.done("backup copies/first");
    let took = began.elapsed();
    let mut cut_short = 0;
    for n in 0..KILLS {
        let name = format!("copies/{n}");
        let mut command = bench.command(&["backup", &name]);
        let mut child = command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
        std::thread::sleep(took.mul_f64((n as f64 + 0.5) / KILLS as f64));
        let _ = child.kill();
        child.wait().unwrap();
        whole(&bench, "");
        if bench.path(&name).exists() {
            whole(&bench, &format!("--database {name}/endshake.sqlite"));
        } else {
            cut_short += unfinished(&bench);
        }
        assert!(unfinished(&bench) <= 1, "each removes what the one before has left");
    }
    assert!(cut_short >= KILLS / 3, "{cut_short} kills came in time");
    bench.done("backup copies/last");
    whole(&bench, "--database copies/last/endshake.sqlite");
    assert_eq!(unfinished(&bench), 0, "{:?}", copies(&bench));
}

/// One that is killed holds its name against nobody: not even where the next one has its number, as in a
/// container, where each program is the first.
#[test]
fn a_copy_of_the_same_name_can_be_made_afterwards() {
    let bench = Bench::new();
    furnish(&bench);
    let left = bench.path("copies/monday.endshake-1-0.part");
    std::fs::create_dir_all(left.join("media")).unwrap();
    std::fs::write(left.join("endshake.sqlite"), "SQLite for").unwrap();
    std::fs::write(left.join("files.json"), "").unwrap();
    bench.done("backup copies/monday");
    whole(&bench, "--database copies/monday/endshake.sqlite");
    #[cfg(target_os = "linux")]
    assert_eq!(copies(&bench), ["monday"]);
}
