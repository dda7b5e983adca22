//! The words of groups, filled from what is there. It spells out what they are, since what a step
//! has done stays as it was even where the program later does it another way.

use sea_orm::DbBackend;
use sea_orm_migration::prelude::*;
use sea_orm_migration::sea_query::{ColumnType, Table, TableCreateStatement, UnionType};

pub(crate) struct Step;

impl MigrationName for Step {
    fn name(&self) -> &'static str {
        "0002_words_of_groups"
    }
}

#[async_trait::async_trait]
impl MigrationTrait for Step {
    async fn up(&self, schema: &SchemaManager) -> Result<(), DbErr> {
        schema.create_table(table(schema.get_database_backend() == DbBackend::Sqlite)).await?;
        let mut hanging = words_below_a_job();
        // From below: a watch has the words of its jobs, an owner those of the watches.
        for kind in ["job", "watch", "owner"] {
            let mut words = own_words(kind);
            words.union(UnionType::Distinct, hanging);
            let mut fill = Query::insert();
            fill.into_table("group_word").columns(["root", "word"]);
            fill.select_from(words).map_err(|error| DbErr::Custom(error.to_string()))?;
            schema.exec_stmt(fill).await?;
            hanging = words_of_groups(kind);
        }
        let mut index = Index::create();
        index.name("group_word_by_word_root").table("group_word").col("word").col("root");
        schema.create_index(index.to_owned()).await
    }
}

/// As the words of the search are: compared byte by byte, and in SQLite kept within the key.
fn table(sqlite: bool) -> TableCreateStatement {
    let text = if sqlite { ColumnType::Text } else { ColumnType::custom("text COLLATE \"C\"") };
    let column = |name: &'static str, of| ColumnDef::new_with_type(name, of).not_null().to_owned();
    let mut table = Table::create();
    table
        .table("group_word")
        .col(column("root", ColumnType::Uuid))
        .col(column("word", text))
        .primary_key(Index::create().col("root").col("word"))
        .foreign_key(
            ForeignKey::create()
                .from("group_word", "root")
                .to("record", "id")
                .on_delete(ForeignKeyAction::Cascade),
        );
    if sqlite {
        table.extra("WITHOUT ROWID");
    }
    table.to_owned()
}

/// Records that are not in the bin; their id or what they belong to, beside words.
fn words(of: &'static str, from: &'static str, kinds: &[&'static str]) -> SelectStatement {
    let here = if from == "word" { ("record", "doc") } else { ("record", "id") };
    let there = if from == "word" { ("word", "doc") } else { ("group_word", "root") };
    Query::select()
        .distinct()
        .column(("record", of))
        .column((from, "word"))
        .from("record")
        .join(JoinType::InnerJoin, from, Expr::col(here).equals(there))
        .and_where(Expr::col(("record", "kind")).is_in(kinds.iter().copied()))
        .and_where(Expr::col(("record", of)).is_not_null())
        .and_where(Expr::col(("record", "deleted_ms")).is_null())
        .to_owned()
}

fn own_words(kind: &'static str) -> SelectStatement {
    words("id", "word", &[kind])
}

fn words_below_a_job() -> SelectStatement {
    words("parent", "word", &["part", "estimate", "photo", "reading"])
}

fn words_of_groups(kind: &'static str) -> SelectStatement {
    words("parent", "group_word", &[kind])
}
