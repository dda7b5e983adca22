//! A database of an earlier version: copied first, then brought to this one; or left as it was.

use crate::another::another;
use crate::disk::Disk;
use crate::given::{self, by};
use crate::older::{LAYOUTS, Older, older, older_on_server, taken, undo_on_server};
use crate::opening::fill;
use crate::postgres::Server;
use crate::postgres_line::Line;
use sea_orm::{ConnectionTrait, DbBackend, Statement};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::time::{Duration, Instant};
use store::{Error, MediaPlace, Opening, Places, Seen, Store, Upgrading, check, look};

/// What lies beside the database, but for its own files and the media.
fn copies(folder: &Path) -> Vec<PathBuf> {
    let names = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let mut copies: Vec<PathBuf> = names
        .filter(|path| {
            let name = path.file_name().unwrap().to_str().unwrap();
            name != "media" && !name.starts_with("endshake.sqlite")
        })
        .collect();
    copies.sort();
    copies
}

async fn assert_as_entered(older: &Older, store: &Store) {
    assert_eq!(store.get(older.owner.id).await.unwrap(), older.owner);
    assert_eq!(store.get(older.job.id).await.unwrap(), older.job);
    assert_eq!(store.setting("tolerance").await.unwrap().as_deref(), Some("plus 4"));
    assert_eq!(store.search("gilt", None, 9).await.unwrap().hits.len(), 1);
    let checked = check(store, false, &mut |_| true).await.unwrap().unwrap();
    assert_eq!(checked.faults, []);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn each_earlier_schema_is_copied_and_brought_up() {
    for steps in 1..=LAYOUTS.len() {
        let folder = tempfile::tempdir().unwrap();
        let older = older(folder.path(), steps, 0).await;
        let told = Mutex::new(Vec::new());
        let tell = |now: &Upgrading| told.lock().unwrap().push(now.clone());
        let opening = Opening { tell: &tell, ..Opening::default() };
        let store = Store::open_as(&older.places, &opening).await.unwrap();
        assert_as_entered(&older, &store).await;
        store.create(&by(), given::owner("Bo")).await.unwrap();
        store.close().await;

        let copies = copies(folder.path());
        let [copy] = &copies[..] else { panic!("{copies:?}") };
        let name = copy.file_name().unwrap().to_str().unwrap();
        assert!(name.starts_with(&format!("endshake.schema-{steps:04}.20")), "{name}");
        assert!(name.ends_with(".sqlite"), "{name}");
        let before: Vec<_> = LAYOUTS[..steps].iter().map(|(name, _)| (*name).to_owned()).collect();
        assert_eq!(taken(copy).await, before, "the copy is of before");
        // It can be used as it is, and is what the other was.
        let again = tempfile::tempdir().unwrap();
        std::fs::copy(copy, again.path().join("endshake.sqlite")).unwrap();
        let places = store::Places::in_folder(again.path());
        let store = Store::open(&places).await.unwrap();
        assert_as_entered(&older, &store).await;
        store.close().await;

        let told = told.into_inner().unwrap();
        assert!(matches!(&told[0], Upgrading::Begun { from, .. } if *from == before[steps - 1]));
        assert!(told.contains(&Upgrading::Copied(copy.clone())), "{told:?}");
        assert_eq!(told.last(), Some(&Upgrading::Done));
        // Opened once more, nothing happens.
        Store::open(&older.places).await.unwrap().close().await;
        assert_eq!(self::copies(folder.path()), copies);
    }
}

/// A step that fails leaves the database as it was, for the program that wrote it; and however often it
/// is tried, there is one copy. What was entered in between is copied anew.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_step_that_fails_leaves_all_as_it_was() {
    let folder = tempfile::tempdir().unwrap();
    let older = older(folder.path(), 5, 0).await;
    let database = another(&older.places).await;
    // Somebody else's index of the name that a later step wants.
    let in_the_way = "CREATE INDEX change_by_parent_seq ON change (at_ms)";
    database.execute_unprepared(in_the_way).await.unwrap();
    for _ in 0..3 {
        let failed = Store::open(&older.places).await.err().unwrap();
        let Error::NotUpgraded { from, copy, .. } = &failed else { panic!("{failed:?}") };
        assert_eq!((from.as_str(), copy.clone()), ("0005_trials", copies(folder.path()).pop()));
        assert!(failed.to_string().contains("A copy of it is at /"), "{failed}");
    }
    assert_eq!(copies(folder.path()).len(), 1);
    let Seen::There(seen) = look(&older.places).await else { panic!() };
    assert_eq!((seen.schema.as_str(), seen.unknown), ("0005_trials", None));
    // The earlier program goes on.
    database.execute_unprepared("UPDATE counter SET value = value + 1").await.unwrap();
    assert!(Store::open(&older.places).await.is_err());
    assert_eq!(copies(folder.path()).len(), 2);
    assert!(copies(folder.path())[0].to_str().unwrap().ends_with(".2.sqlite"));
    database.execute_unprepared("DROP INDEX change_by_parent_seq").await.unwrap();
    database.close().await.unwrap();
    let store = Store::open(&older.places).await.unwrap();
    assert_eq!(store.get(older.owner.id).await.unwrap(), older.owner);
    store.close().await;
    assert_eq!(copies(folder.path()).len(), 2);
}

/// Rows that a step loses are missed before anything is final.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_came_out_wrong_is_undone() {
    let folder = tempfile::tempdir().unwrap();
    let older = older(folder.path(), 4, 0).await;
    let database = another(&older.places).await;
    // A table that a later version does not lay out like this.
    database.execute_unprepared("DROP TABLE clock; CREATE TABLE clock (id integer)").await.unwrap();
    database.close().await.unwrap();
    let failed = Store::open(&older.places).await.err().unwrap();
    let Error::NotUpgraded { why, .. } = &failed else { panic!("{failed:?}") };
    assert!(why.contains("differs from a new one at clock"), "{why}");
    let (Seen::There(_) | Seen::Unreadable(_)) = look(&older.places).await else { panic!() };
    let store::Database::File(file) = &older.places.database else { unreachable!() };
    assert_eq!(taken(file).await.len(), 4);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_disk_without_room_for_the_copy_changes_nothing() {
    let Some(disk) = Disk::of_mib(12) else { return };
    let older = older(disk.path(), 3, 0).await;
    let failed = Store::open(&older.places).await.err().unwrap();
    assert!(matches!(failed, Error::NoRoomToUpgrade { .. }), "{failed:?}");
    let told = failed.to_string();
    assert!(told.contains("Make room, then start again; nothing was changed."), "{told}");
    assert_eq!(copies(disk.path()), [] as [PathBuf; 0]);
    let Seen::There(seen) = look(&older.places).await else { panic!() };
    assert_eq!(seen.schema, "0003_take_down_logs");
    disk.grow_to_mib(64);
    let store = Store::open(&older.places).await.unwrap();
    assert_as_entered(&older, &store).await;
    store.close().await;
}

/// There was room when it began, and is none while the copy is made, or once it is there.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_disk_that_fills_up_meanwhile_changes_nothing() {
    const OWNERS: usize = 2_000;
    let Some(disk) = Disk::of_mib(64) else { return };
    let older = older(disk.path(), 1, OWNERS).await;
    let ballast = disk.path().join("media/ballast");
    let beside = || copies(disk.path());
    let more = disk.path().join("media/more");
    for is_early in [true, false] {
        // Most of what is more than wanted is taken already, so that the rest is soon.
        let free = store::free_bytes(disk.path()).unwrap().unwrap();
        std::fs::write(&ballast, vec![0; usize::try_from(free).unwrap() - (40 << 20)]).unwrap();
        std::thread::scope(|scope| {
            let filling = Mutex::new(None);
            let fill_soon = || {
                let began = Instant::now();
                let is_copying =
                    || beside().iter().any(|path| path.extension().is_some_and(|e| e == "part"));
                while !is_copying() && began.elapsed() < Duration::from_secs(60) {
                    std::thread::sleep(Duration::from_micros(50));
                }
                fill(&more);
            };
            let tell = |now: &Upgrading| match now {
                Upgrading::Begun { .. } if is_early => {
                    *filling.lock().unwrap() = Some(scope.spawn(fill_soon));
                }
                // Where the copy was faster it is full before the steps.
                Upgrading::Copied(_) => match filling.lock().unwrap().take() {
                    Some(filling) => filling.join().unwrap(),
                    None => fill(&more),
                },
                _ => {}
            };
            let opening = Opening { tell: &tell, ..Opening::default() };
            let runtime = tokio::runtime::Handle::current();
            let failed = tokio::task::block_in_place(|| {
                runtime.block_on(Store::open_as(&older.places, &opening)).err().unwrap()
            });
            let Error::NotUpgraded { from, copy, .. } = &failed else { panic!("{failed:?}") };
            assert_eq!(from, "0001_first");
            let said = failed.to_string();
            for words in ["The disk is full", "Make room", "It is as it was"] {
                assert!(said.contains(words), "{said}");
            }
            assert!(copy.iter().all(|copy| said.contains(copy.to_str().unwrap())), "{said}");
            assert_eq!(beside(), copy.iter().cloned().collect::<Vec<_>>(), "nothing unfinished");
            assert!(is_early || copy.is_some());
        });
        for file in [&ballast, &more] {
            std::fs::remove_file(file).unwrap();
        }
        let Seen::There(seen) = look(&older.places).await else { panic!() };
        assert_eq!((seen.schema.as_str(), &seen.damage), ("0001_first", &store::Damage::None));
        assert_eq!(seen.records as usize, OWNERS + 5);
    }
    let store = Store::open(&older.places).await.unwrap();
    assert_as_entered(&older, &store).await;
    store.close().await;
    assert_eq!(beside().len(), 1);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn another_program_that_writes_is_waited_for() {
    let folder = tempfile::tempdir().unwrap();
    let older = older(folder.path(), 2, 0).await;
    let other = another(&older.places).await;
    other.execute_unprepared("BEGIN IMMEDIATE").await.unwrap();
    let hasty = store::Places { patience: Duration::from_millis(200), ..older.places.clone() };
    let refused = Store::open(&hasty).await.err().unwrap();
    assert!(matches!(refused, Error::Locked), "{refused:?}");
    assert_eq!(copies(folder.path()), [] as [PathBuf; 0]);
    other.execute_unprepared("ROLLBACK").await.unwrap();
    other.close().await.unwrap();
    let store = Store::open(&older.places).await.unwrap();
    assert_as_entered(&older, &store).await;
    store.close().await;
}

/// Columns, keys and indexes of a server's database, each a line.
async fn layout_on_server(places: &Places) -> BTreeSet<String> {
    let database = another(places).await;
    let sql = "SELECT concat_ws(' ', table_name, column_name, data_type, is_nullable, column_default, \
                                collation_name) \
               FROM information_schema.columns WHERE table_schema = current_schema() \
               UNION SELECT indexdef FROM pg_indexes WHERE schemaname = current_schema() \
               UNION SELECT concat_ws(' ', conrelid::regclass, conname, pg_get_constraintdef(oid)) \
               FROM pg_constraint WHERE connamespace = current_schema()::regnamespace";
    let rows = database.query_all_raw(Statement::from_string(DbBackend::Postgres, sql)).await;
    let layout = rows.unwrap().iter().map(|row| row.try_get_by_index(0).unwrap()).collect();
    database.close().await.unwrap();
    layout
}

/// Each earlier schema on a server: refused until somebody says so, copied as the sentence tells, and then
/// brought up; and so is the copy, should it be wanted back.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn each_earlier_schema_of_a_server_is_brought_up_when_told() {
    let Some(server) = Server::start() else { return };
    let (media, place) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let at = |database| Places::new(database, MediaPlace::Folder(media.path().to_owned()));
    let leave = Opening { may_upgrade_server: true, ..Opening::default() };
    let fresh = at(server.fresh_database("fresh").await);
    Store::open(&fresh).await.unwrap().close().await;
    let fresh = layout_on_server(&fresh).await;
    assert!(fresh.len() > 100, "{fresh:?}");
    for steps in 1..=LAYOUTS.len() {
        let name = format!("older_{steps}");
        let older = older_on_server(at(server.fresh_database(&name).await), steps).await;
        assert_ne!(layout_on_server(&older.places).await, fresh, "{name}");
        let refused = Store::open(&older.places).await.err().unwrap();
        let Error::ServerBehind { from, .. } = &refused else { panic!("{refused:?}") };
        assert_eq!(from, LAYOUTS[steps - 1].0);
        let copy = server.dumped(&name, &place.path().join(&name));
        let store = Store::open_as(&older.places, &leave).await.unwrap();
        assert_as_entered(&older, &store).await;
        store.create(&by(), given::owner("Xanthe")).await.unwrap();
        store.close().await;
        assert_eq!(layout_on_server(&older.places).await, fresh, "{name}");
        if steps != 1 {
            continue;
        }
        let older = Older { places: at(server.restored("copy", &copy).await), ..older };
        let Seen::There(seen) = look(&older.places).await else { panic!() };
        assert_eq!((seen.schema.as_str(), seen.lacks), (LAYOUTS[0].0, LAYOUTS.len()));
        let store = Store::open_as(&older.places, &leave).await.unwrap();
        assert_as_entered(&older, &store).await;
        assert_eq!(
            store.search("xanthe", None, 9).await.unwrap().hits.len(),
            0,
            "entered afterwards"
        );
        store.close().await;
    }
}

/// Other benches may use a server's database: it is changed when somebody says so.
pub(crate) async fn a_servers_database_is_brought_up_when_told(store: Store) {
    let places = store.places().clone();
    let store::Database::Server(_) = places.database else { return };
    let owner = store.create(&by(), given::owner("Ada")).await.unwrap();
    let database = another(&places).await;
    store.close().await;
    undo_on_server(&database, LAYOUTS.len()).await;
    let refused = Store::open(&places).await.err().unwrap();
    assert!(matches!(refused, Error::ServerBehind { .. }), "{refused:?}");
    assert!(refused.to_string().contains("pg_dump"), "{refused}");
    let leave = Opening { may_upgrade_server: true, ..Opening::default() };
    let store = Store::open_as(&places, &leave).await.unwrap();
    assert_eq!(store.get(owner.id).await.unwrap(), owner);
    let Seen::There(seen) = look(&places).await else { panic!() };
    assert_eq!((seen.lacks, seen.unknown, seen.damage), (0, None, store::Damage::NotAsked));
    store.close().await;
    database.close().await.unwrap();
}

/// The line to the server is lost before the steps, or before what they did is final.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_servers_database_stays_as_it_was_where_the_line_is_cut() {
    let Some(server) = Server::start() else { return };
    let _is_there = server.fresh_database("older").await;
    let line = Line::to(&server);
    let media = tempfile::tempdir().unwrap();
    let places = line.places("older", media.path());
    let store = Store::open(&places).await.unwrap();
    let owner = store.create(&by(), given::owner("Ada")).await.unwrap();
    store.close().await;
    let database = another(&places).await;
    undo_on_server(&database, LAYOUTS.len()).await;
    database.close().await.unwrap();
    for is_at_last in [false, true] {
        let tell = |now: &Upgrading| match now {
            Upgrading::Begun { .. } if !is_at_last => line.cut(),
            Upgrading::Step { .. } if is_at_last => line.cut(),
            _ => {}
        };
        let opening = Opening { may_upgrade_server: true, tell: &tell };
        let failed = Store::open_as(&places, &opening).await.err().unwrap();
        assert!(line.is_cut() && failed.to_string().contains("cannot be reached"), "{failed}");
        line.mend();
        let Seen::There(seen) = look(&places).await else { panic!() };
        assert_eq!((seen.schema.as_str(), seen.lacks), ("0006_final_tests", 1));
    }
    let leave = Opening { may_upgrade_server: true, ..Opening::default() };
    let store = Store::open_as(&places, &leave).await.unwrap();
    assert_eq!(store.get(owner.id).await.unwrap(), owner);
    store.close().await;
}
