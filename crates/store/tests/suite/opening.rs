//! A database that another program holds, that is too new, or that cannot be written.

use crate::another::another;
use crate::disk::Disk;
use crate::given::{self, by, latest_change};
use bytes::Bytes;
use jobs::Owner;
use sea_orm::ConnectionTrait;
use std::path::Path;
use std::time::{Duration, Instant};
use store::{Database, Error, Order, Page, Places, Store, check};

fn impatient(folder: &std::path::Path) -> Places {
    Places { patience: Duration::from_millis(200), ..Places::in_folder(folder) }
}

async fn owners(store: &Store) -> u64 {
    store.list::<Owner>(None, Order::Title, Page::first(1)).await.unwrap().total
}

#[tokio::test]
async fn a_locked_database_says_so_and_works_again_afterwards() {
    let folder = tempfile::tempdir().unwrap();
    let places = impatient(folder.path());
    let store = Store::open(&places).await.unwrap();
    let other = another(&places).await;
    other.execute_unprepared("BEGIN IMMEDIATE").await.unwrap();
    let locked = store.create(&by(), given::owner("Ada")).await;
    assert!(matches!(locked, Err(Error::Locked)), "{locked:?}");
    // Who only looks is not kept waiting.
    assert_eq!(owners(&store).await, 0);
    other.execute_unprepared("ROLLBACK").await.unwrap();
    store.create(&by(), given::owner("Ada")).await.unwrap();
    assert_eq!(owners(&store).await, 1);
    store.close().await;

    other.execute_unprepared("PRAGMA locking_mode = EXCLUSIVE").await.unwrap();
    other.execute_unprepared("BEGIN EXCLUSIVE").await.unwrap();
    let locked = Store::open(&places).await;
    assert!(matches!(locked, Err(Error::Locked)), "{:?}", locked.err());
    other.close().await.unwrap();
    assert_eq!(owners(&Store::open(&places).await.unwrap()).await, 1);
}

/// Many want to write while another program holds the database: each is told in about the time of
/// one, whenever it came and wherever in the line it stands; nothing is half written, and all of it
/// can be done again afterwards.
pub(crate) async fn all_who_wait_are_told_that_it_is_locked(store: Store) {
    const MANY: usize = 24;
    let patience = Duration::from_millis(600);
    let places = Places { patience, ..store.places().clone() };
    let hasty = Store::open(&places).await.unwrap();
    let (.., job) = given::visit(&store).await;
    let before = latest_change(&store).await;
    let other = another(&places).await;
    let hold = match &places.database {
        Database::File(_) => "BEGIN IMMEDIATE",
        Database::Server(_) => "BEGIN; UPDATE counter SET value = value",
    };
    other.execute_unprepared(hold).await.unwrap();
    let write_all = || {
        let writers: Vec<_> = (0..MANY)
            .map(|n| {
                let store = hasty.clone();
                tokio::spawn(async move {
                    // Some come while others wait already.
                    tokio::time::sleep(patience / 3 * (n % 4) as u32).await;
                    let asked = Instant::now();
                    let result = match n % 3 {
                        0 => store
                            .create(&by(), given::owner(&format!("name {n}")))
                            .await
                            .map(|_| ()),
                        1 => store.create(&by(), given::part(job.id, "crown")).await.map(|_| ()),
                        _ => store.set(&by(), &format!("setting {n}"), "1").await,
                    };
                    (result, asked.elapsed())
                })
            })
            .collect();
        async move {
            let mut results = Vec::new();
            for writer in writers {
                results.push(writer.await.unwrap());
            }
            results
        }
    };
    for (result, took) in write_all().await {
        assert!(matches!(result, Err(Error::Locked)), "{result:?}");
        // One after the other they would take MANY times as long. In between lies what a busy
        // machine may add.
        assert!(took < 8 * patience, "{took:?}");
        assert!(took >= patience, "{took:?}");
    }
    // Who only looks is not kept waiting, and finds what was there.
    assert_eq!(latest_change(&hasty).await, before);
    other.execute_unprepared("ROLLBACK").await.unwrap();
    other.close().await.unwrap();
    let patient = store.clone();
    patient.set(&by(), "works", "again").await.unwrap();
    for (result, _) in write_all().await {
        result.unwrap();
    }
    assert_eq!(latest_change(&store).await, before + 1 + MANY as i64);
    let checked = check(&store, false, &mut |_| true).await.unwrap().unwrap();
    assert_eq!(checked.faults, []);
    hasty.close().await;
}

#[tokio::test]
async fn a_newer_database_is_refused_and_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let places = impatient(folder.path());
    Store::open(&places).await.unwrap().close().await;
    let other = another(&places).await;
    other
        .execute_unprepared("INSERT INTO seaql_migrations VALUES ('0999_from_the_future', 1)")
        .await
        .unwrap();
    let refused = Store::open(&places).await.err().unwrap();
    assert_eq!(
        refused.to_string(),
        "The database was written by a newer version of this program (it knows \
         \"0999_from_the_future\"). Use that version, or a backup from before it."
    );
    other
        .execute_unprepared("DELETE FROM seaql_migrations WHERE version LIKE '0999%'")
        .await
        .unwrap();
    other.close().await.unwrap();
    Store::open(&places).await.unwrap();
}

#[tokio::test]
async fn a_read_only_folder_says_so_and_works_again_afterwards() {
    let Some(disk) = Disk::of_mib(16) else { return };
    let places = impatient(&disk.path().join("data"));
    let store = Store::open(&places).await.unwrap();
    store.create(&by(), given::owner("Ada")).await.unwrap();
    store.close().await;
    disk.make_read_only(true);
    let refused = Store::open(&places).await.err().unwrap();
    assert!(matches!(refused, Error::ReadOnly(_)), "{refused:?}");
    let fresh = Store::open(&impatient(&disk.path().join("other"))).await.err().unwrap();
    assert!(matches!(fresh, Error::ReadOnly(_)), "{fresh:?}");
    disk.make_read_only(false);
    let store = Store::open(&places).await.unwrap();
    store.create(&by(), given::owner("Bo")).await.unwrap();
    assert_eq!(owners(&store).await, 2);
    store.close().await;
}

#[tokio::test]
async fn a_full_disk_says_so_keeps_nothing_half_and_works_again_afterwards() {
    let Some(disk) = Disk::of_mib(4) else { return };
    let places = impatient(disk.path());
    let store = Store::open(&places).await.unwrap();
    let long =
        |n: usize| Owner { notes: format!("note {n} ").repeat(2_000), ..given::owner("Ada") };
    let mut kept = Vec::new();
    let refused = loop {
        match store.create(&by(), long(kept.len())).await {
            Ok(owner) => kept.push(owner),
            Err(error) => break error,
        }
        assert!(kept.len() < 1_000);
    };
    assert!(matches!(refused, Error::FullDisk), "{refused:?}");
    let sound = store.put_media(Bytes::from(vec![7; 3 << 20])).await.err().unwrap();
    assert!(matches!(sound, Error::FullDisk), "{sound:?}");
    let copy = store::backup(&store, &disk.path().join("copy"), &mut |_| true).await;
    assert!(matches!(copy, Err(Error::FullDisk)), "{copy:?}");

    // What was acknowledged is there, what was not is not, and nothing lies about.
    assert_eq!(owners(&store).await, kept.len() as u64);
    for owner in &kept {
        assert_eq!(&store.get(owner.id).await.unwrap(), owner);
    }
    assert_eq!(latest_change(&store).await, kept.len() as i64);
    let checked = check(&store, false, &mut |_| true).await.unwrap().unwrap();
    assert_eq!((checked.faults, checked.left_over), (vec![], vec![]));
    for below in std::fs::read_dir(disk.path().join("media")).unwrap() {
        assert_eq!(std::fs::read_dir(below.unwrap().path()).unwrap().count(), 0);
    }
    assert!(!disk.path().join("copy").exists());

    disk.grow_to_mib(32);
    store.create(&by(), long(0)).await.unwrap();
    store.put_media(Bytes::from(vec![7; 3 << 20])).await.unwrap();
    assert_eq!(owners(&store).await, kept.len() as u64 + 1);
    store.close().await;
}

/// Where the disk is full SQLite ends a transaction by itself. What is acknowledged once there is room
/// again must be there when the store is opened anew, however often it failed before.
#[tokio::test]
async fn what_is_acknowledged_after_a_full_disk_stays() {
    let Some(disk) = Disk::of_mib(14) else { return };
    let places = impatient(&disk.path().join("data"));
    let store = Store::open(&places).await.unwrap();
    let mut owner = store.create(&by(), given::owner("Ada")).await.unwrap();
    let filler = disk.path().join("filler");
    fill(&filler);
    let mut refused = 0;
    for n in 0..200 {
        let notes = format!("note {n} ").repeat(200);
        let failed = if n % 2 == 0 {
            store.create(&by(), Owner { notes, ..given::owner("Bo") }).await.is_err()
        } else {
            let changed = Owner { notes, ..owner.value.clone() };
            match store.change(&by(), owner.id, owner.version, changed).await {
                Ok(kept) => {
                    owner = kept;
                    false
                }
                Err(_) => true,
            }
        };
        refused += u32::from(failed);
        if refused == 8 {
            break;
        }
    }
    assert_eq!(refused, 8, "the disk was not full");
    std::fs::remove_file(&filler).unwrap();
    let mut acknowledged = Vec::new();
    for n in 0..12 {
        acknowledged.push(store.create(&by(), given::owner(&format!("room {n}"))).await.unwrap());
    }
    store.close().await;
    let store = Store::open(&places).await.unwrap();
    for kept in &acknowledged {
        assert_eq!(&store.get(kept.id).await.unwrap(), kept);
    }
    store.close().await;
}

/// Writes until there is no room left, to the last block.
pub(crate) fn fill(file: &Path) {
    use std::io::Write;
    let mut file = std::fs::File::create(file).unwrap();
    while file.write_all(&[b'x'; 4_096]).is_ok() {}
}
