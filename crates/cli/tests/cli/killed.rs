//! `endshake serve` killed at any moment in the midst of the day's work: what was acknowledged is
//! there afterwards, and what was not is not there by halves.

use crate::bench::Bench;
use crate::served::{Live, Page, Served, text};
use image::{ImageFormat, Rgb, RgbImage};
use serde_json::{Value, json};
use std::io::Cursor;
use std::path::{Path, PathBuf};
use std::process::Stdio;
use std::sync::LazyLock;
use std::sync::mpsc::{Sender, channel};
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};
use truth::{Balance, Scenario, Sound};

/// Kills in all where the environment variable ENDSHAKE_KILLS says nothing else.
const KILLS: usize = 200;
/// Programs at work side by side, each in a folder of its own.
const AT_ONCE: usize = 4;
/// As few samples as may be, so that the disk and not the arithmetic is at work.
const RATE_HZ: u32 = 8_000;
/// A killed program loses the last block of the sound, 4,096 samples, and what waits to be coded.
const SURELY_KEPT_S: f64 = 1.5;

static WATCH: LazyLock<Vec<f32>> = LazyLock::new(|| {
    let scenario = Scenario {
        sample_rate_hz: RATE_HZ,
        duration_s: 4.0,
        balances: vec![Balance::default()],
        ..Scenario::new(9)
    };
    Sound::new(&scenario).unwrap().rest()
});

/// What the program has said that it has.
#[derive(Debug, Clone)]
enum Acknowledged {
    /// The job at this version has these notes.
    Edit { job: String, version: i64, notes: String },
    /// A photo and the name of its picture.
    Photo { id: String, media: String },
    /// Of the reading with this note enough sound has come that it must be taken in.
    Begun { job: String, note: String },
    /// A reading was kept.
    Kept { id: String, note: String },
}

/// A moment that nobody chose.
fn some_moment(most: Duration) -> Duration {
    let now = SystemTime::now().duration_since(UNIX_EPOCH).unwrap();
    // Multiplied so that two moments that lie close together become far apart.
    let spread = now.subsec_nanos().wrapping_mul(2_654_435_761) >> 8;
    most.mul_f64(f64::from(spread % 10_000) / 10_000.0)
}

/// One job's notes, over and over; each change names the version that it is based on.
fn edit(page: &Page, job: &str, tell: &Sender<Acknowledged>) -> Option<()> {
    let at = format!("/jobs/{job}");
    let mut version = page.get(&at)?.1["version"].as_i64().unwrap();
    loop {
        let notes = format!("edit after {version}");
        let change = json!({ "version": version, "notes": notes });
        let (status, changed) = page.patch(&at, &change)?;
        assert_eq!(status, 200, "{changed}");
        version = changed["version"].as_i64().unwrap();
        tell.send(Acknowledged::Edit { job: job.to_owned(), version, notes }).ok()?;
    }
}

/// Photos, no two alike.
fn upload(page: &Page, job: &str, run: usize, tell: &Sender<Acknowledged>) -> Option<()> {
    for n in 0_usize.. {
        let image = RgbImage::from_fn(64, 48, |x, y| {
            Rgb([(run * 7 + x as usize) as u8, (n * 5 + y as usize) as u8, (run ^ n) as u8])
        });
        let mut bytes = Cursor::new(Vec::new());
        image.write_to(&mut bytes, ImageFormat::Png).unwrap();
        let (status, photo) = page.send_photo(job, bytes.get_ref())?;
        assert_eq!(status, 201, "{photo}");
        let (id, media) = (text(&photo["id"]), text(&photo["media"]));
        tell.send(Acknowledged::Photo { id, media }).ok()?;
    }
    None
}

/// Readings of two seconds, no two alike, sent as fast as they are taken.
fn listen(page: &Page, _: &str, run: usize, tell: &Sender<Acknowledged>) -> Option<()> {
    let job = page.job()?;
    let mut live = Live::start(page, f64::from(RATE_HZ))?;
    for n in 0_usize.. {
        let note = format!("reading {run}-{n}");
        let gain = 1.0 - 1e-3 * (run as f32) - 1e-5 * (n as f32);
        let sound: Vec<f32> = WATCH.iter().map(|sample| sample * gain).collect();
        let wish = json!({ "job_id": job, "seconds": 2.0, "note": note });
        live.take(&wish)?;
        live.send(&sound[..5 * RATE_HZ as usize / 2])?;
        let mut told = false;
        loop {
            let frame = live.frame()?;
            assert_ne!(frame["type"], "failed", "{frame}");
            let begun_s = frame["taking"]["elapsed_s"].as_f64().unwrap_or(0.0);
            if !told && begun_s >= SURELY_KEPT_S {
                tell.send(Acknowledged::Begun { job: job.clone(), note: note.clone() }).ok()?;
                told = true;
            }
            if frame["type"] == "kept" {
                let id = text(&frame["reading_id"]);
                tell.send(Acknowledged::Kept { id, note }).ok()?;
                break;
            }
        }
    }
    None
}

const SERVE: [&str; 5] = ["serve", "--port", "0", "--data", "shop"];

/// Kills it while it starts.
fn kill_a_start(bench: &Bench) {
    let mut command = bench.command(&SERVE);
    let mut child = command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
    std::thread::sleep(some_moment(Duration::from_millis(200)));
    assert!(child.try_wait().unwrap().is_none(), "it has ended by itself");
    child.kill().unwrap();
    child.wait().unwrap();
}

/// Works at a job through a page until the program is gone, and tells what was acknowledged.
type Worker = fn(&Page, &str, usize, &Sender<Acknowledged>) -> Option<()>;

/// Starts it, looks for what the last run acknowledged, and kills it at work; gives what it has
/// acknowledged meanwhile.
fn kill_at_work(bench: &Bench, run: usize, before: &[Acknowledged]) -> Vec<Acknowledged> {
    let served = Served::start(bench, &SERVE);
    let page = served.page();
    for one in before {
        look_for(&page, one, false);
    }
    let edited = before.iter().find_map(|one| match one {
        Acknowledged::Edit { job, .. } => Some(job.clone()),
        _ => None,
    });
    let job = edited.unwrap_or_else(|| page.job().unwrap());
    let (tell, told) = channel();
    let work: [Worker; 3] = [|page, job, _, tell| edit(page, job, tell), upload, listen];
    let workers: Vec<_> = work
        .into_iter()
        .map(|work| {
            let (page, job, tell) = (page.clone(), job.clone(), tell.clone());
            std::thread::spawn(move || work(&page, &job, run, &tell))
        })
        .collect();
    drop(tell);
    let first = told.recv_timeout(Duration::from_secs(60)).expect("nothing is acknowledged");
    std::thread::sleep(some_moment(Duration::from_millis(300)));
    served.kill();
    for worker in workers {
        worker.join().unwrap();
    }
    std::iter::once(first).chain(told).collect()
}

/// `all_taken_in`: whether all that was in hand has been taken in by now.
fn look_for(page: &Page, acknowledged: &Acknowledged, all_taken_in: bool) {
    let get = |path: String| {
        let (status, found) = page.get(&path).unwrap();
        assert_eq!(status, 200, "{acknowledged:?} is gone: {found}");
        found
    };
    match acknowledged {
        Acknowledged::Edit { job, version, notes } => {
            let found = get(format!("/jobs/{job}"));
            let now = found["version"].as_i64().unwrap();
            assert!(now >= *version, "{acknowledged:?}: {found}");
            assert!(now > *version || found["notes"] == notes.as_str(), "{found}");
        }
        Acknowledged::Photo { id, media } => {
            assert_eq!(get(format!("/photos/{id}"))["media"], media.as_str());
            get(format!("/media/{media}"));
        }
        Acknowledged::Kept { id, note } => {
            assert_eq!(get(format!("/readings/{id}"))["note"], note.as_str());
        }
        Acknowledged::Begun { job, note } if all_taken_in => {
            let found = get(format!("/jobs/{job}/readings"));
            let many = readings_with(&found, note);
            assert_eq!(many, 1, "{acknowledged:?} is there {many} times");
        }
        Acknowledged::Begun { .. } => {}
    }
}

/// How many have this note, be it that they were cut short.
fn readings_with(listed: &Value, note: &str) -> usize {
    let cut_short = format!("{note} Cut short when the program ended.");
    let readings = listed["readings"].as_array().unwrap();
    readings.iter().filter(|r| r["note"] == note || r["note"] == cut_short.as_str()).count()
}

fn files_below(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(files_below(&path));
        } else {
            found.push(path);
        }
    }
    found
}

/// Kills in one folder, one after the other; gives how much was acknowledged.
fn kill_in_one_folder(kills: usize) -> usize {
    let bench = Bench::new();
    let (mut all, mut last) = (Vec::new(), Vec::new());
    for run in 0..kills {
        if run % 4 == 0 {
            kill_a_start(&bench);
        } else {
            let new = kill_at_work(&bench, run, &last);
            all.append(&mut last);
            last = new;
        }
    }
    all.append(&mut last);

    let served = Served::start(&bench, &SERVE);
    let in_hand = bench.path("shop/readings-in-hand");
    let left = || {
        let all = std::fs::read_dir(&in_hand).into_iter().flatten().map(Result::unwrap);
        all.map(|file| (file.file_name(), file.metadata().map(|about| about.len()).ok()))
            .collect::<Vec<_>>()
    };
    let began = Instant::now();
    while !left().is_empty() {
        let waited = began.elapsed() < Duration::from_secs(60);
        assert!(waited, "it was in hand, and is not taken in: {:?}", left());
        std::thread::sleep(Duration::from_millis(20));
    }
    let page = served.page();
    for one in &all {
        look_for(&page, one, true);
    }
    assert_eq!(served.end(), Some(0));

    let checked = bench.run("check --data shop --format json").json();
    assert_eq!(checked["well"], true, "{checked}");
    // What no record names is left over once it is a day old: after that there is nothing among the
    // media that a check does not count.
    let media = bench.path("shop/media");
    let two_days_ago = SystemTime::now() - Duration::from_secs(2 * 86_400);
    for file in files_below(&media) {
        let file = std::fs::File::options().append(true).open(file).unwrap();
        file.set_modified(two_days_ago).unwrap();
    }
    let swept = bench.run("check --data shop --sweep --format json").json();
    assert_eq!((&swept["well"], &swept["swept"]), (&true.into(), &true.into()), "{swept}");
    assert_eq!(swept["media_files"], files_below(&media).len(), "{swept}");
    let mut names: Vec<_> = std::fs::read_dir(bench.path("shop"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    assert_eq!(names, ["endshake.sqlite", "media", "readings-in-hand", "serving.lock"]);
    all.len()
}

/// A quarter of the kills while it starts, the others while it is at work.
#[test]
fn nothing_acknowledged_is_lost_when_it_is_killed() {
    let kills = std::env::var("ENDSHAKE_KILLS").map_or(KILLS, |many| many.parse().unwrap());
    let each = kills.div_ceil(AT_ONCE);
    let lanes: Vec<_> =
        (0..AT_ONCE).map(|_| std::thread::spawn(move || kill_in_one_folder(each))).collect();
    // All of them, so that one that fails leaves no program of another behind.
    let ended: Vec<_> = lanes.into_iter().map(std::thread::JoinHandle::join).collect();
    let acknowledged: usize = ended.into_iter().map(Result::unwrap).sum();
    println!("{} kills, {acknowledged} acknowledged", AT_ONCE * each);
    // Each that was killed at work had acknowledged something.
    assert!(acknowledged >= AT_ONCE * each / 2, "{acknowledged}");
}
