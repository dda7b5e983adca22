//! A program that is killed at any moment: all that it has acknowledged is there, and the rest is
//! not there by halves. And several programs that come to one fresh database at once.

// In a test, what cannot be unwrapped is the failure.
#![allow(clippy::unwrap_used, clippy::expect_used)]

#[path = "suite/another.rs"]
mod another;
#[path = "suite/given.rs"]
#[allow(dead_code)]
mod given;
#[allow(dead_code)]
#[path = "suite/older.rs"]
mod older;

use bytes::Bytes;
use jobs::{AnyId, Id, Job, JobId, Kind, MediaHash, Moment, Owner, Part, PartState, Photo, Watch};
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};
use store::{
    By, Damage, Fault, NewLogEntry, Opening, Order, Page, Places, Seen, Store, Upgrading, check,
    look,
};
use uuid::Uuid;

/// The folder in which a child works.
const FOLDER: &str = "ENDSHAKE_TEST_FOLDER";

fn by() -> By {
    By::at("child", Moment::from_ms(1_700_000_000_000))
}

fn child(name: &str, folder: &Path) -> Child {
    Command::new(std::env::current_exe().unwrap())
        .args(["--exact", name, "--ignored", "--nocapture"])
        .env(FOLDER, folder)
        .stdout(Stdio::piped())
        .stderr(Stdio::inherit())
        .spawn()
        .unwrap()
}

/// Tells the parent. A line is written whole.
fn acknowledge(words: &str) {
    println!("ack {words}");
}

fn runtime() -> tokio::runtime::Runtime {
    tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build().unwrap()
}

/// What a child does until it is killed: edits, deletions and uploads, each acknowledged once the
/// store has.
#[test]
#[ignore = "run by the other tests here, in a folder of theirs"]
fn child_that_edits() {
    let Some(folder) = std::env::var_os(FOLDER) else { return };
    runtime().block_on(async {
        let store = Store::open(&Places::in_folder(folder.as_ref())).await.unwrap();
        tokio::join!(edit(&store), upload(&store), throw_away(&store), take_down(&store));
    });
}

/// An owner whose name tells the version.
async fn edit(store: &Store) {
    loop {
        let owner = Owner { name: "version 1".into(), ..Owner::default() };
        let mut kept = store.create(&by(), owner).await.unwrap();
        acknowledge(&format!("owner {} 1", kept.id));
        for version in 2..9 {
            let mut value = kept.value.clone();
            value.name = format!("version {version}");
            kept = store.change(&by(), kept.id, kept.version, value).await.unwrap();
            acknowledge(&format!("owner {} {version}", kept.id));
        }
    }
}

/// Photos of all lengths, some in several parts, whose caption tells the length.
async fn upload(store: &Store) {
    let watch = Watch { description: "alarm watch".into(), ..Watch::default() };
    let watch = store.create(&by(), watch).await.unwrap();
    let job = store.create(&by(), Job::begun(watch.id, "", by().at)).await.unwrap();
    let mut file = tempfile::NamedTempFile::new().unwrap();
    for n in 0_usize.. {
        let length = n * 7_919 % 150_000;
        let content = Bytes::from(format!("{}{n}", "tick".repeat(length / 4)));
        let media = if n.is_multiple_of(3) {
            std::io::Write::write_all(&mut file, &content).unwrap();
            store.put_media_file(file.path()).await.unwrap()
        } else {
            store.put_media(content).await.unwrap()
        };
        acknowledge(&format!("media {media} 0"));
        let photo = Photo {
            job: job.id,
            media,
            caption: format!("photo {n}"),
            width_px: 1,
            height_px: 1,
            taken: by().at,
        };
        let photo = store.create(&by(), photo).await.unwrap();
        acknowledge(&format!("photo {} {n}", photo.id));
    }
}

/// Entries of a log, each of which orders a part; in batches that overlap, as of a device that
/// never knows what was kept.
async fn take_down(store: &Store) {
    let watch = Watch { description: "stop watch".into(), ..Watch::default() };
    let watch = store.create(&by(), watch).await.unwrap();
    let job = store.create(&by(), Job::begun(watch.id, "", by().at)).await.unwrap();
    let by = by();
    let part_of =
        |n: u128| Id::from_uuid(Uuid::from_u128(job.id.uuid().as_u128() ^ (1 << 100) ^ n));
    for n in 0_u128.. {
        let entries: Vec<NewLogEntry> = (n.saturating_sub(2)..=n)
            .map(|n| NewLogEntry {
                id: Uuid::from_u128(job.id.uuid().as_u128() ^ (n + 1)),
                at: by.at,
                body: format!("took out {n}"),
                title: format!("took out: {n}"),
                found_by: vec![format!("number{n}")],
            })
            .collect();
        let mut together = store.together(&by).await.unwrap();
        together.append_entries(job.id, &entries).await.unwrap();
        let part = Part {
            job: job.id,
            what: format!("part {n}"),
            quantity: 1,
            supplier: String::new(),
            state: PartState::Wanted,
            cost: None,
        };
        together.create_once(part_of(n), part).await.unwrap();
        together.keep().await.unwrap();
        acknowledge(&format!("log {} {}", job.id, n + 1));
    }
}

async fn throw_away(store: &Store) {
    loop {
        let owner = Owner { name: "not for long".into(), ..Owner::default() };
        let kept = store.create(&by(), owner).await.unwrap();
        store.delete(&by(), kept.id).await.unwrap();
        store.restore(&by(), kept.id).await.unwrap();
        acknowledge(&format!("restored {} 0", kept.id));
        store.empty_bin(&by(), by().at).await.unwrap();
    }
}

/// A moment that nobody chose.
fn some_moment() -> Duration {
    let now = SystemTime::now().duration_since(UNIX_EPOCH).unwrap();
    // Multiplied so that two moments that lie close together become far apart.
    let spread = now.subsec_nanos().wrapping_mul(2_654_435_761) >> 8;
    Duration::from_micros(u64::from(spread % 200_000))
}

/// Starts a child, kills it after a while, and gives what it has acknowledged. The while begins
/// with the child, so that it may still be opening, or with its first acknowledgement, so that it
/// is at work however slow the machine.
fn kill_one(name: &str, folder: &Path, at_work: bool) -> Vec<String> {
    let mut child = child(name, folder);
    let output = BufReader::new(child.stdout.take().unwrap());
    let (begun, first) = std::sync::mpsc::channel();
    let reader = std::thread::spawn(move || {
        let mut acknowledged = Vec::new();
        for line in output.lines().map_while(Result::ok) {
            if let Some(words) = line.strip_prefix("ack ") {
                acknowledged.push(words.to_owned());
                // Nobody may be waiting for it.
                let _ = begun.send(());
            }
        }
        acknowledged
    });
    if at_work {
        first.recv_timeout(Duration::from_secs(60)).expect("the child does nothing");
    }
    std::thread::sleep(some_moment());
    assert!(child.try_wait().unwrap().is_none(), "the child has ended by itself");
    child.kill().unwrap();
    child.wait().unwrap();
    reader.join().unwrap()
}

async fn look_for(store: &Store, acknowledged: &str) {
    let words: Vec<&str> = acknowledged.split(' ').collect();
    let [what, id, number] = words[..] else { panic!("{acknowledged}") };
    match what {
        "owner" => {
            let id: Id<Owner> = id.parse().unwrap();
            let owner = store.get(id).await.unwrap();
            assert!(owner.version >= number.parse().unwrap(), "{acknowledged}: {owner:?}");
            assert_eq!(owner.value.name, format!("version {}", owner.version));
        }
        "media" => {
            let hash: MediaHash = id.parse().unwrap();
            assert!(!store.media(&hash).await.unwrap().is_empty(), "{acknowledged}");
        }
        "photo" => {
            let photo = store.get::<Photo>(id.parse().unwrap()).await.unwrap();
            assert_eq!(photo.value.caption, format!("photo {number}"));
        }
        // Each entry once and in order, no less than was acknowledged, and with each its part.
        "log" => {
            let job: JobId = id.parse().unwrap();
            let log = store.entries_of(job).await.unwrap();
            let bodies: Vec<String> = log.into_iter().map(|entry| entry.body).collect();
            let expected: Vec<_> = (0..bodies.len()).map(|n| format!("took out {n}")).collect();
            assert_eq!(bodies, expected);
            assert!(bodies.len() >= number.parse().unwrap(), "{acknowledged}: {}", bodies.len());
            let of = Some(AnyId { kind: Kind::Job, uuid: job.uuid() });
            let parts = store.list::<Part>(of, Order::Title, Page::first(1)).await.unwrap();
            assert_eq!(parts.total, bodies.len() as u64);
        }
        // Nobody deletes it again; emptying the bin must leave it alone.
        "restored" => {
            let owner = store.get::<Owner>(id.parse().unwrap()).await.unwrap();
            assert_eq!(owner.deleted, None, "{acknowledged}");
        }
        other => panic!("{other}"),
    }
}

/// Kills in a folder, one after the other; gives how much was acknowledged.
fn kill_in_one_folder(kills: usize) -> usize {
    let folder = tempfile::tempdir().unwrap();
    let mut acknowledged = Vec::new();
    for n in 0..kills {
        let new = kill_one("child_that_edits", folder.path(), n % 2 == 1);
        runtime().block_on(async {
            let store = Store::open(&Places::in_folder(folder.path())).await.unwrap();
            for words in &new {
                look_for(&store, words).await;
            }
            store.close().await;
        });
        acknowledged.extend(new);
    }
    runtime().block_on(async {
        let store = Store::open(&Places::in_folder(folder.path())).await.unwrap();
        for words in &acknowledged {
            look_for(&store, words).await;
        }
        let checked = check(&store, false, &mut |_| true).await.unwrap().unwrap();
        assert_eq!(checked.faults, [] as [Fault; 0]);
        // What nobody acknowledged and nobody names is too young to be called left over.
        assert_eq!(checked.left_over, [] as [&Path; 0]);
        store.close().await;
    });
    acknowledged.len()
}

/// 200 kills, in fresh folders now and then so that those of an opening and of a first schema are
/// among them.
#[test]
fn nothing_acknowledged_is_lost_when_killed() {
    const AT_ONCE: usize = 4;
    const FOLDERS: usize = 5;
    const KILLS: usize = 10;
    let threads: Vec<_> = (0..AT_ONCE)
        .map(|_| {
            std::thread::spawn(|| (0..FOLDERS).map(|_| kill_in_one_folder(KILLS)).sum::<usize>())
        })
        .collect();
    let acknowledged: usize = threads.into_iter().map(|thread| thread.join().unwrap()).sum();
    println!("{} kills, {acknowledged} acknowledged", AT_ONCE * FOLDERS * KILLS);
    // Each child that was seen at work had done something worth losing.
    assert!(acknowledged >= AT_ONCE * FOLDERS * KILLS / 2, "{acknowledged}");
}

/// Reads the archive beside its folder in, again and again under other stores, and writes each out.
#[test]
#[ignore = "run by the other tests here, in a folder of theirs"]
fn child_that_archives() {
    let Some(folder) = std::env::var_os(FOLDER) else { return };
    let folder = Path::new(&folder);
    runtime().block_on(async {
        for n in 0.. {
            acknowledge("begun");
            let store =
                Store::open(&Places::in_folder(&folder.join(format!("{n}")))).await.unwrap();
            let file = std::fs::File::open(folder.join("all.zip")).unwrap();
            let mut reader = archive::Reader::open(file).unwrap();
            let wishes = store::ReadWishes::default();
            store::read_archive(&store, &by(), &mut reader, wishes, &mut |_| true).await.unwrap();
            acknowledge(&format!("read {n}"));
            let out = folder.join(format!("{n}.zip"));
            write_all(&store, &out).await;
            acknowledge(&format!("written {n}"));
            store.close().await;
        }
    });
}

async fn write_all(store: &Store, out: &Path) {
    let all = store::Scope::Everything;
    store::write_archive(store, all, out, false, by().at, &mut |_| true).await.unwrap().unwrap();
}

/// What was acknowledged is there, what was not is whole or not there, and the same archive can be
/// read in after that.
#[test]
fn an_archive_is_whole_or_not_there_when_killed() {
    const KILLS: usize = 12;
    const PARTS: u64 = 40;
    let mut acknowledged = 0;
    for n in 0..KILLS {
        let place = tempfile::tempdir().unwrap();
        let folder = place.path();
        runtime().block_on(async {
            let from = tempfile::tempdir().unwrap();
            let store = Store::open(&Places::in_folder(from.path())).await.unwrap();
            let watch = Watch { description: "alarm watch".into(), ..Watch::default() };
            let watch = store.create(&by(), watch).await.unwrap();
            let job = store.create(&by(), Job::begun(watch.id, "", by().at)).await.unwrap();
            for n in 0..PARTS {
                let content =
                    [&b"\xff\xd8\xff"[..], format!("{n}").repeat(9_000).as_bytes()].concat();
                let media = store.put_media(content.into()).await.unwrap();
                let (caption, taken) = (format!("photo {n}"), by().at);
                let photo = Photo { job: job.id, media, caption, width_px: 1, height_px: 1, taken };
                store.create(&by(), photo).await.unwrap();
            }
            write_all(&store, &folder.join("all.zip")).await;
            store.close().await;
        });
        let new = kill_one("child_that_archives", folder, n % 4 != 0);
        acknowledged += new.len();
        runtime().block_on(async {
            for entry in std::fs::read_dir(folder).unwrap() {
                let path = entry.unwrap().path();
                if path.is_dir() {
                    look_at_read_in(&path, &new, PARTS).await;
                } else if path.extension().is_some_and(|name| name == "zip") {
                    let file = std::fs::File::open(&path).unwrap();
                    let mut reader = archive::Reader::open(file).unwrap();
                    archive::check(&mut reader, &mut |_, _| true).unwrap();
                }
            }
            for written in new.iter().filter_map(|words| words.strip_prefix("written ")) {
                assert!(folder.join(format!("{written}.zip")).exists());
            }
        });
    }
    assert!(acknowledged >= KILLS / 2, "{acknowledged}");
}

async fn look_at_read_in(folder: &Path, acknowledged: &[String], parts: u64) {
    let name = folder.file_name().unwrap().to_str().unwrap();
    let store = Store::open(&Places::in_folder(folder)).await.unwrap();
    let count = store.list::<Photo>(None, Order::Title, Page::first(1)).await.unwrap().total;
    let changes = store.changes_since(0).await.unwrap().len() as u64;
    let whole = count == parts && changes == parts + 2;
    assert!(whole || (count, changes) == (0, 0), "{count} photos, {changes} changes");
    assert!(whole || !acknowledged.contains(&format!("read {name}")));
    let checked = check(&store, false, &mut |_| true).await.unwrap().unwrap();
    assert_eq!(checked.faults, [] as [Fault; 0]);
    let file = std::fs::File::open(folder.with_file_name("all.zip")).unwrap();
    let mut reader = archive::Reader::open(file).unwrap();
    let wishes = store::ReadWishes::default();
    let brought = store::read_archive(&store, &by(), &mut reader, wishes, &mut |_| true).await;
    let brought = brought.unwrap().unwrap();
    let counts = if whole { brought.there } else { brought.new };
    assert_eq!(counts["photo"], parts);
    store.close().await;
}

#[test]
#[ignore = "run by the other tests here, in a folder of theirs"]
fn child_that_opens() {
    let Some(folder) = std::env::var_os(FOLDER) else { return };
    runtime().block_on(async {
        let store = Store::open(&Places::in_folder(folder.as_ref())).await.unwrap();
        for n in 0..5 {
            let name = format!("{} {n}", std::process::id());
            store.create(&by(), Owner { name, ..Owner::default() }).await.unwrap();
        }
        store.close().await;
    });
}

#[test]
fn a_fresh_database_may_be_opened_by_several_programs_at_once() {
    for _ in 0..5 {
        let folder = tempfile::tempdir().unwrap();
        let children: Vec<_> = (0..6).map(|_| child("child_that_opens", folder.path())).collect();
        for one in children {
            let output = one.wait_with_output().unwrap();
            assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stdout));
        }
        runtime().block_on(async {
            let store = Store::open(&Places::in_folder(folder.path())).await.unwrap();
            let owners = store.list::<Owner>(None, Order::Title, Page::first(1)).await.unwrap();
            assert_eq!(owners.total, 30);
            assert_eq!(store.changes_since(0).await.unwrap().len(), 30);
            store.close().await;
        });
    }
}

#[test]
#[ignore = "run by the other tests here, in a folder of theirs"]
fn child_that_upgrades() {
    let Some(folder) = std::env::var_os(FOLDER) else { return };
    runtime().block_on(async {
        let tell = |now: &Upgrading| acknowledge(&format!("{now:?}"));
        let opening = Opening { tell: &tell, ..Opening::default() };
        let store = Store::open_as(&Places::in_folder(folder.as_ref()), &opening).await.unwrap();
        acknowledge("opened");
        store.close().await;
    });
}

/// Killed while the copy is made, between the steps, while they are committed: the database is of the
/// earlier version or of this one, whole, and what was left unfinished hinders nobody.
#[test]
fn nothing_is_lost_when_killed_while_it_is_brought_up() {
    const OWNERS: usize = 4_000;
    const KILLS: usize = 24;
    let made = tempfile::tempdir().unwrap();
    let older = runtime().block_on(older::older(made.path(), 1, OWNERS));
    let file = made.path().join("endshake.sqlite");
    let fresh = || {
        let folder = tempfile::tempdir().unwrap();
        std::fs::copy(&file, folder.path().join("endshake.sqlite")).unwrap();
        std::fs::create_dir(folder.path().join("media")).unwrap();
        folder
    };
    let mut folder = fresh();
    let began = Instant::now();
    let whole = child("child_that_upgrades", folder.path()).wait_with_output().unwrap();
    let took = began.elapsed();
    assert!(whole.status.success());
    let (mut behind, mut present) = (0, 0);
    folder = fresh();
    for n in 0..KILLS {
        let mut child = child("child_that_upgrades", folder.path());
        // Spread over all of it, and a little by chance.
        std::thread::sleep(took * n as u32 / KILLS as u32 + some_moment() / 10);
        child.kill().unwrap();
        child.wait().unwrap();
        let seen = runtime().block_on(look(&Places::in_folder(folder.path())));
        let Seen::There(seen) = seen else { panic!("{seen:?}") };
        assert_eq!((&seen.damage, seen.records as usize), (&Damage::None, OWNERS + 5), "{n}");
        if seen.lacks == 0 {
            present += 1;
            folder = fresh();
        } else {
            assert_eq!(seen.schema, "0001_first");
            behind += 1;
        }
    }
    println!("{KILLS} kills within {took:?}: {behind} left it as it was, {present} came too late");
    assert!(behind >= KILLS / 3, "{behind} kills came in time");
    runtime().block_on(async {
        let store = Store::open(&Places::in_folder(folder.path())).await.unwrap();
        assert_eq!(store.get(older.owner.id).await.unwrap(), older.owner);
        assert_eq!(store.get(older.job.id).await.unwrap(), older.job);
        let checked = check(&store, false, &mut |_| true).await.unwrap().unwrap();
        assert_eq!(checked.faults, [] as [Fault; 0]);
        store.close().await;
        let names = std::fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().path());
        let unfinished = names.filter(|path| path.extension().is_some_and(|e| e == "part"));
        assert_eq!(unfinished.count(), 0);
        let taken = older::taken(&folder.path().join("endshake.sqlite")).await;
        assert_eq!(taken.last(), Some(&store::schema()));
    });
}
