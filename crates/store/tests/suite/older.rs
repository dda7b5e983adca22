//! A database as an earlier version of the program left it: the layout that was kept of each step, filled
//! with what this version's own store has entered.

use crate::another::another;
use crate::given::{self, by, later};
use jobs::{Job, Owner};
use sea_orm::{ConnectionTrait, DatabaseConnection, DbBackend, Statement};
use std::path::{Path, PathBuf};
use store::{Kept, Places, Store};

/// Name of each step and the layout that it left.
pub(crate) const LAYOUTS: [(&str, &str); 6] = [
    ("0001_first", include_str!("../layouts/0001_first.sql")),
    ("0002_words_of_groups", include_str!("../layouts/0002_words_of_groups.sql")),
    ("0003_take_down_logs", include_str!("../layouts/0003_take_down_logs.sql")),
    ("0004_adjustments", include_str!("../layouts/0004_adjustments.sql")),
    ("0005_trials", include_str!("../layouts/0005_trials.sql")),
    ("0006_final_tests", include_str!("../layouts/0006_final_tests.sql")),
];

/// What was entered in it.
pub(crate) struct Older {
    pub(crate) places: Places,
    pub(crate) owner: Kept<Owner>,
    pub(crate) job: Kept<Job>,
}

async fn texts(database: &DatabaseConnection, sql: &str) -> Vec<String> {
    let ask = Statement::from_string(DbBackend::Sqlite, sql.to_owned());
    let rows = database.query_all_raw(ask).await.unwrap();
    rows.iter().map(|row| row.try_get_by_index(0).unwrap()).collect()
}

/// Names of the steps that a file has taken.
pub(crate) async fn taken(file: &Path) -> Vec<String> {
    let places = Places::new(
        store::Database::File(file.to_owned()),
        store::MediaPlace::Folder(PathBuf::new()),
    );
    let database = another(&places).await;
    let taken = texts(&database, "SELECT version FROM seaql_migrations ORDER BY version").await;
    database.close().await.unwrap();
    taken
}

async fn entered(store: &Store) -> (Kept<Owner>, Kept<Job>) {
    let (owner, _, job) = given::visit(store).await;
    store.create(&by(), given::part(job.id, "crown, gilt")).await.unwrap();
    store.create(&later(1), given::reading(job.id, None)).await.unwrap();
    store.set(&later(2), "tolerance", "plus 4").await.unwrap();
    (owner, job)
}

/// What one that has taken these steps has no place for.
fn forget(job: &mut Kept<Job>, steps: usize) {
    if steps < 6 {
        job.value.to_watch.clear();
        job.value.next_service = None;
    }
}

/// What takes back what each step after the first has done to a server's database. Nothing that people
/// entered is touched.
const BACK_ON_SERVER: [(&str, &str); 6] = [
    ("0002_words_of_groups", "DROP TABLE group_word"),
    (
        "0003_take_down_logs",
        "DROP TABLE log_entry, template, bottle; DELETE FROM counter WHERE name = 'log_entry'; \
         ALTER TABLE setting DROP COLUMN version",
    ),
    (
        "0004_adjustments",
        "DROP TABLE adjustment; ALTER TABLE watch DROP COLUMN movement, DROP COLUMN target_s_per_d",
    ),
    ("0005_trials", "DROP TABLE trial"),
    (
        "0006_final_tests",
        "DROP TABLE final_test; ALTER TABLE job DROP COLUMN to_watch, DROP COLUMN next_service",
    ),
    ("0007_history_of_a_job", "DROP INDEX change_by_parent_seq"),
];

/// Leaves the first `steps` steps of a server's database.
pub(crate) async fn undo_on_server(database: &DatabaseConnection, steps: usize) {
    for (step, back) in BACK_ON_SERVER[steps - 1..].iter().rev() {
        let forgotten = format!("DELETE FROM seaql_migrations WHERE version = '{step}'");
        database.execute_unprepared(&format!("{back}; {forgotten}")).await.unwrap();
    }
}

/// One that has taken the first `steps` steps, on a server.
pub(crate) async fn older_on_server(places: Places, steps: usize) -> Older {
    let store = Store::open(&places).await.unwrap();
    let (owner, mut job) = entered(&store).await;
    store.close().await;
    let database = another(&places).await;
    undo_on_server(&database, steps).await;
    database.close().await.unwrap();
    forget(&mut job, steps);
    Older { places, owner, job }
}

/// One that has taken the first `steps` steps, in this folder; with so many more owners.
pub(crate) async fn older(folder: &Path, steps: usize, more: usize) -> Older {
    let made = folder.join("made");
    let store = Store::open(&Places::in_folder(&made)).await.unwrap();
    let (owner, mut job) = entered(&store).await;
    for some in 0..more.div_ceil(1_000) {
        let owners = (0..1_000).map(|n| given::owner(&format!("Ada {some} {n}")));
        store.create_all(&by(), owners.collect()).await.unwrap();
    }
    store.close().await;

    let places = Places::in_folder(folder);
    let store::Database::File(file) = &places.database else { unreachable!() };
    std::fs::File::create(file).unwrap();
    std::fs::create_dir(Places::media_in(folder)).unwrap();
    let database = another(&places).await;
    let (_, layout) = LAYOUTS[steps - 1];
    database.execute_unprepared(layout).await.unwrap();
    let full = made.join("endshake.sqlite");
    database
        .execute_unprepared(&format!(
            "ATTACH '{}' AS made; PRAGMA foreign_keys = OFF",
            full.display()
        ))
        .await
        .unwrap();
    let tables = "SELECT name FROM main.sqlite_master WHERE type = 'table' \
                  AND name NOT LIKE 'seaql%' AND name NOT LIKE 'sqlite%'";
    for table in texts(&database, tables).await {
        let columns =
            format!("SELECT '\"' || name || '\"' FROM pragma_table_info('{table}', 'main')");
        let columns = texts(&database, &columns).await.join(", ");
        let copy = format!(
            "INSERT INTO main.\"{table}\" ({columns}) SELECT {columns} FROM made.\"{table}\""
        );
        database.execute_unprepared(&copy).await.unwrap();
    }
    forget(&mut job, steps);
    if steps < 3 {
        let later = "DELETE FROM main.counter WHERE name = 'log_entry'";
        database.execute_unprepared(later).await.unwrap();
    }
    for (step, _) in &LAYOUTS[..steps] {
        let row = format!("INSERT INTO main.seaql_migrations VALUES ('{step}', 0)");
        database.execute_unprepared(&row).await.unwrap();
    }
    database.execute_unprepared("DETACH made; PRAGMA journal_mode = WAL").await.unwrap();
    database.close().await.unwrap();
    std::fs::remove_dir_all(made).unwrap();
    Older { places, owner, job }
}
