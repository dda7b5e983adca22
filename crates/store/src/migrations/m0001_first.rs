//! The first schema.

use sea_orm::DbBackend;
use sea_orm_migration::prelude::*;
use sea_orm_migration::sea_query::{ColumnType, Table, TableCreateStatement};

pub(crate) struct Step;

impl MigrationName for Step {
    fn name(&self) -> &'static str {
        "0001_first"
    }
}

#[async_trait::async_trait]
impl MigrationTrait for Step {
    async fn up(&self, schema: &SchemaManager) -> Result<(), DbErr> {
        schema.create_table(record()).await?;
        for kind in [owner(), watch(), job(), part(), estimate(), photo(), reading()] {
            schema.create_table(kind).await?;
        }
        let sqlite = schema.get_database_backend() == DbBackend::Sqlite;
        for table in [change(), word(sqlite), counter(), device(), join_code(), clock(), setting()]
        {
            schema.create_table(table).await?;
        }
        for (table, columns, unique) in INDEXES {
            let mut index = Index::create();
            index.name(format!("{table}_by_{}", columns.join("_"))).table(Alias::new(*table));
            for column in *columns {
                index.col(Alias::new(*column));
            }
            if *unique {
                index.unique();
            }
            schema.create_index(index.to_owned()).await?;
        }
        schema.create_index(one_estimate_a_job()).await?;
        for name in ["change", "doc", "job"] {
            let row = Query::insert()
                .into_table(Alias::new("counter"))
                .columns([Alias::new("name"), Alias::new("value")])
                .values_panic([name.into(), 0_i64.into()])
                .to_owned();
            schema.exec_stmt(row).await?;
        }
        Ok(())
    }
}

/// Table, columns, whether each may stand once only.
const INDEXES: &[(&str, &[&str], bool)] = &[
    ("record", &["kind", "deleted_ms", "changed_ms"], false),
    ("record", &["kind", "deleted_ms", "created_ms"], false),
    ("record", &["kind", "deleted_ms", "title"], false),
    ("record", &["parent", "kind", "deleted_ms", "created_ms"], false),
    ("record", &["deleted_with"], false),
    ("record", &["deleted_ms", "doc"], false),
    ("record", &["doc"], true),
    ("job", &["number"], false),
    ("job", &["handed_over_ms", "due"], false),
    ("part", &["state"], false),
    ("photo", &["media"], false),
    ("reading", &["sound"], false),
    ("word", &["doc"], false),
    ("change", &["subject_id", "seq"], false),
    ("device", &["token_hash"], true),
    ("clock", &["device", "found_ms"], false),
];

/// A job has one estimate, and has it still while that lies in the bin.
fn one_estimate_a_job() -> IndexCreateStatement {
    Index::create()
        .name("record_estimate_by_parent")
        .table(Alias::new("record"))
        .col(Alias::new("parent"))
        .unique()
        .and_where(Expr::col(Alias::new("kind")).eq("estimate"))
        .to_owned()
}

fn table(name: &str) -> TableCreateStatement {
    Table::create().table(Alias::new(name)).to_owned()
}

fn column(name: &str, of: ColumnType) -> ColumnDef {
    ColumnDef::new_with_type(Alias::new(name), of).not_null().to_owned()
}

fn text(name: &str) -> ColumnDef {
    column(name, ColumnType::Text)
}

fn whole(name: &str) -> ColumnDef {
    column(name, ColumnType::BigInteger)
}

fn number(name: &str) -> ColumnDef {
    column(name, ColumnType::Double)
}

fn uuid(name: &str) -> ColumnDef {
    column(name, ColumnType::Uuid)
}

/// A column that may hold nothing.
fn maybe(name: &str, of: ColumnType) -> ColumnDef {
    ColumnDef::new_with_type(Alias::new(name), of).null().to_owned()
}

fn maybe_whole(name: &str) -> ColumnDef {
    maybe(name, ColumnType::BigInteger)
}

fn with(name: &str, columns: impl IntoIterator<Item = ColumnDef>) -> TableCreateStatement {
    let mut table = table(name);
    for mut column in columns {
        table.col(&mut column);
    }
    table
}

fn record() -> TableCreateStatement {
    let mut table = with(
        "record",
        [
            uuid("id").primary_key().to_owned(),
            text("kind"),
            maybe("parent", ColumnType::Uuid),
            whole("version"),
            whole("created_ms"),
            whole("changed_ms"),
            maybe_whole("deleted_ms"),
            maybe("deleted_with", ColumnType::Uuid),
            text("title"),
            whole("doc"),
        ],
    );
    table.foreign_key(
        ForeignKey::create()
            .name("record_parent")
            .from(Alias::new("record"), Alias::new("parent"))
            .to(Alias::new("record"), Alias::new("id")),
    );
    table
}

/// A table whose rows stand beside those of `record` and go with them.
fn kind(name: &str, columns: impl IntoIterator<Item = ColumnDef>) -> TableCreateStatement {
    let id = uuid("id").primary_key().to_owned();
    let mut table = with(name, std::iter::once(id).chain(columns));
    table.foreign_key(
        ForeignKey::create()
            .name(format!("{name}_record"))
            .from(Alias::new(name), Alias::new("id"))
            .to(Alias::new("record"), Alias::new("id"))
            .on_delete(ForeignKeyAction::Cascade),
    );
    table
}

fn owner() -> TableCreateStatement {
    kind("owner", [text("name"), text("contact"), text("notes")])
}

fn watch() -> TableCreateStatement {
    let lists = [text("serial_numbers"), text("balances"), text("notes")];
    kind("watch", [text("description"), text("calibre")].into_iter().chain(lists))
}

fn job() -> TableCreateStatement {
    kind(
        "job",
        [
            whole("number"),
            text("complaint"),
            text("condition"),
            text("notes"),
            maybe("due", ColumnType::Text),
            text("moves"),
            text("stage"),
            maybe_whole("handed_over_ms"),
        ],
    )
}

fn part() -> TableCreateStatement {
    kind(
        "part",
        [
            text("what"),
            whole("quantity"),
            text("supplier"),
            text("state"),
            maybe_whole("cost_minor_units"),
            maybe("cost_currency", ColumnType::Text),
        ],
    )
}

fn estimate() -> TableCreateStatement {
    let rest = [text("answer"), maybe_whole("answered_ms")];
    kind("estimate", [text("currency"), text("lines")].into_iter().chain(rest))
}

fn photo() -> TableCreateStatement {
    let size = [whole("width_px"), whole("height_px"), whole("taken_ms")];
    kind("photo", [text("media"), text("caption")].into_iter().chain(size))
}

fn reading() -> TableCreateStatement {
    kind(
        "reading",
        [
            maybe("position", ColumnType::Text),
            text("wind"),
            whole("taken_ms"),
            number("duration_s"),
            text("device"),
            text("settings"),
            text("program"),
            maybe("sound", ColumnType::Text),
            text("balances"),
            maybe("relation", ColumnType::Text),
            whole("lost_samples"),
            text("warnings"),
            text("note"),
        ],
    )
}

fn change() -> TableCreateStatement {
    with(
        "change",
        [
            whole("seq").primary_key().to_owned(),
            whole("at_ms"),
            text("device"),
            text("action"),
            text("subject"),
            text("subject_id"),
            maybe("parent", ColumnType::Uuid),
            text("title"),
            text("fields"),
        ],
    )
}

/// The words of the search. They are compared byte by byte, so that a range of words is all that
/// begin alike: SQLite's own way; PostgreSQL has to be told.
fn word(sqlite: bool) -> TableCreateStatement {
    let word = if sqlite {
        text("word")
    } else {
        column("word", ColumnType::custom("text COLLATE \"C\""))
    };
    let mut table = with("word", [word, whole("doc")]);
    table.primary_key(Index::create().col(Alias::new("word")).col(Alias::new("doc")));
    if sqlite {
        // The primary key is the whole row: no need to keep it twice.
        table.extra("WITHOUT ROWID");
    }
    table
}

fn counter() -> TableCreateStatement {
    with("counter", [text("name").primary_key().to_owned(), whole("value")])
}

fn device() -> TableCreateStatement {
    with(
        "device",
        [
            uuid("id").primary_key().to_owned(),
            text("name"),
            text("token_hash"),
            text("role"),
            whole("joined_ms"),
            maybe_whole("last_seen_ms"),
            maybe_whole("turned_out_ms"),
        ],
    )
}

fn join_code() -> TableCreateStatement {
    with(
        "join_code",
        [
            text("code_hash").primary_key().to_owned(),
            text("role"),
            whole("expires_ms"),
            maybe_whole("used_ms"),
        ],
    )
}

fn clock() -> TableCreateStatement {
    with(
        "clock",
        [
            uuid("id").primary_key().to_owned(),
            text("device"),
            number("error_ppm"),
            number("sd_ppm"),
            text("how"),
            whole("found_ms"),
        ],
    )
}

fn setting() -> TableCreateStatement {
    with("setting", [text("key").primary_key().to_owned(), text("value"), whole("changed_ms")])
}
