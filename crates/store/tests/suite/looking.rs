//! Looking at what is there changes nothing, whatever state it is in.

use crate::another::another;
use crate::disk::Disk;
use crate::given::{self, by};
use sea_orm::ConnectionTrait;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use store::{Damage, Error, MediaLook, Places, Seen, SeenDatabase, Store, look, look_at_media};

/// Every file with what it holds.
fn files(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut found = BTreeMap::new();
    for entry in std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()) {
        if entry.is_dir() {
            found.extend(files(&entry));
        } else {
            found.insert(entry.clone(), std::fs::read(&entry).unwrap());
        }
    }
    found
}

fn there(seen: Seen) -> SeenDatabase {
    match seen {
        Seen::There(seen) => seen,
        other => panic!("{other:?}"),
    }
}

#[tokio::test]
async fn a_closed_store_is_left_as_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let places = Places::in_folder(folder.path());
    assert!(matches!(look(&places).await, Seen::Nothing));
    assert_eq!(look_at_media(&places, None, &mut |_| true).await.unwrap(), None);
    assert_eq!(files(folder.path()).len(), 0);

    let store = Store::open(&places).await.unwrap();
    let (.., job) = given::visit(&store).await;
    let sound = given::sound(&store, "tick").await;
    let gone = given::sound(&store, "gone").await;
    store.create(&by(), given::photo(job.id, sound, "the first")).await.unwrap();
    store.create(&by(), given::photo(job.id, gone, "the second")).await.unwrap();
    let copy = tempfile::tempdir().unwrap();
    let folder_of_copy = copy.path().join("monday");
    store::backup(&store, &folder_of_copy, &mut |_| true).await.unwrap().unwrap();
    store.close().await;
    let before = files(folder.path());
    let seen = there(look(&places).await);
    assert_eq!((seen.lacks, &seen.damage, seen.log_bytes), (0, &Damage::None, None));
    assert_eq!((seen.records, seen.schema == seen.known), (5, true));
    assert!(seen.last_backup.is_some());
    let whole = look_at_media(&places, None, &mut |_| true).await.unwrap().unwrap();
    assert_eq!(whole, MediaLook { named: 2, gone: 0, summed: 2, changed: 0 });
    assert_eq!(files(folder.path()), before);

    let name = sound.to_string();
    std::fs::write(Places::media_in(folder.path()).join(&name[..2]).join(&name), "tock").unwrap();
    let name = gone.to_string();
    std::fs::remove_file(Places::media_in(folder.path()).join(&name[..2]).join(&name)).unwrap();
    let bad = look_at_media(&places, Some(9), &mut |_| true).await.unwrap().unwrap();
    assert_eq!(bad, MediaLook { named: 2, gone: 1, summed: 1, changed: 1 });
}

/// While a program has it open, what it has not yet put into the file itself counts too.
#[tokio::test]
async fn a_store_in_use_is_seen_as_it_is_now() {
    let folder = tempfile::tempdir().unwrap();
    let places = Places::in_folder(folder.path());
    let store = Store::open(&places).await.unwrap();
    store.create(&by(), given::owner("Ada")).await.unwrap();
    let seen = there(look(&places).await);
    assert_eq!((seen.records, seen.damage), (1, Damage::None));
    assert!(seen.log_bytes.is_some_and(|bytes| bytes > 0));
    store.create(&by(), given::owner("Bo")).await.unwrap();
    assert_eq!(there(look(&places).await).records, 2);
    store.close().await;
}

#[tokio::test]
async fn what_is_wrong_is_seen() {
    let folder = tempfile::tempdir().unwrap();
    let places = Places::in_folder(folder.path());
    let file = folder.path().join("endshake.sqlite");
    std::fs::write(&file, "These are words and no database at all.\n").unwrap();
    let seen = look(&places).await;
    assert!(matches!(seen, Seen::Unreadable(Error::Damaged(_))), "{seen:?}");
    std::fs::remove_file(&file).unwrap();

    let store = Store::open(&places).await.unwrap();
    for n in 0..300 {
        store.create(&by(), given::owner(&format!("Ada {n}"))).await.unwrap();
    }
    store.close().await;
    // Pages in the midst of it written over with nothing, as by a disk that fails; the first page, where
    // the layout stands, is sound.
    let mut bytes = std::fs::read(&file).unwrap();
    let middle = bytes.len() / 2;
    let whole = bytes.clone();
    bytes[middle..middle + 40_000].fill(0);
    std::fs::write(&file, &bytes).unwrap();
    match look(&places).await {
        Seen::There(seen) => assert!(matches!(seen.damage, Damage::Found(_)), "{seen:?}"),
        Seen::Unreadable(Error::Damaged(_)) => {}
        other => panic!("{other:?}"),
    }
    std::fs::write(&file, whole).unwrap();

    let other = another(&places).await;
    let row = "INSERT INTO seaql_migrations VALUES ('0999_from_the_future', 1)";
    other.execute_unprepared(row).await.unwrap();
    other.close().await.unwrap();
    let seen = there(look(&places).await);
    assert_eq!(seen.unknown.as_deref(), Some("0999_from_the_future"));
}

#[tokio::test]
async fn a_folder_that_cannot_be_written_is_looked_at_all_the_same() {
    let Some(disk) = Disk::of_mib(16) else { return };
    let places = Places::in_folder(&disk.path().join("data"));
    let store = Store::open(&places).await.unwrap();
    store.create(&by(), given::owner("Ada")).await.unwrap();
    store.close().await;
    disk.make_read_only(true);
    assert_eq!(there(look(&places).await).records, 1);
    disk.make_read_only(false);
}
