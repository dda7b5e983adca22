//! The workshop as PostgreSQL has it: copied row by row, which is faster than making it there.

use sea_orm::sea_query::{Alias, Expr, Query, SimpleExpr};
use sea_orm::{ConnectionTrait, Database as SeaOrm, DatabaseConnection, QueryResult, Statement};
use store::{Database, Places, Store};
use uuid::Uuid;

const TABLES: [&str; 10] = [
    "record",
    "owner",
    "watch",
    "job",
    "part",
    "estimate",
    "photo",
    "reading",
    "word",
    "group_word",
];

async fn connected(places: &Places) -> DatabaseConnection {
    let url = match &places.database {
        Database::File(file) => format!("sqlite://{}", file.display()),
        Database::Server(url) => url.clone(),
    };
    SeaOrm::connect(url).await.unwrap()
}

/// Copies what lists and searches ask for into a fresh database, and lets it count its rows.
pub(crate) async fn copy(from: &Places, to: &Places) {
    Store::open(to).await.unwrap().close().await;
    let (from, to) = (connected(from).await, connected(to).await);
    for table in TABLES {
        copy_table(&from, &to, table).await;
    }
    to.execute_unprepared("VACUUM ANALYZE").await.unwrap();
    from.close().await.unwrap();
    to.close().await.unwrap();
}

/// What a column holds, by the name that PostgreSQL has for it.
fn value(row: &QueryResult, column: &str, of: &str) -> SimpleExpr {
    match of {
        "uuid" => Expr::val(row.try_get::<Option<Uuid>>("", column).unwrap()),
        "bigint" => Expr::val(row.try_get::<Option<i64>>("", column).unwrap()),
        "double precision" => Expr::val(row.try_get::<Option<f64>>("", column).unwrap()),
        "text" => Expr::val(row.try_get::<Option<String>>("", column).unwrap()),
        other => panic!("{column} holds {other}"),
    }
}

async fn copy_table(from: &DatabaseConnection, to: &DatabaseConnection, table: &str) {
    let ask = |database: &DatabaseConnection, sql: String| {
        Statement::from_string(database.get_database_backend(), sql)
    };
    let sql = format!(
        "SELECT column_name::text, data_type::text FROM information_schema.columns \
         WHERE table_name = '{table}'"
    );
    let columns = to.query_all_raw(ask(to, sql)).await.unwrap();
    let columns: Vec<(String, String)> = columns
        .iter()
        .map(|row| (row.try_get_by_index(0).unwrap(), row.try_get_by_index(1).unwrap()))
        .collect();
    // What belongs to something was created after it.
    let order = if table == "record" { "ORDER BY id" } else { "" };
    let sql = format!("SELECT * FROM {table} {order}");
    let rows = from.query_all_raw(ask(from, sql)).await.unwrap();
    // PostgreSQL takes 65,535 values in one statement.
    for some in rows.chunks(60_000 / columns.len()) {
        let mut insert = Query::insert();
        insert.into_table(Alias::new(table));
        insert.columns(columns.iter().map(|(column, _)| Alias::new(column)));
        for row in some {
            insert.values_panic(columns.iter().map(|(column, of)| value(row, column, of)));
        }
        to.execute(&insert).await.unwrap();
    }
}
