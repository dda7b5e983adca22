//! Logs of taking down and putting together, templates of them, bottles, and versions of settings.

use sea_orm_migration::prelude::*;
use sea_orm_migration::sea_query::{ColumnType, Table, TableCreateStatement};

pub(crate) struct Step;

impl MigrationName for Step {
    fn name(&self) -> &'static str {
        "0003_take_down_logs"
    }
}

#[async_trait::async_trait]
impl MigrationTrait for Step {
    async fn up(&self, schema: &SchemaManager) -> Result<(), DbErr> {
        for table in [log_entry(), template(), bottle()] {
            schema.create_table(table).await?;
        }
        let index = |name: &str| Index::create().name(name).table("log_entry").to_owned();
        let in_order = index("log_entry_by_number").col("number").unique().to_owned();
        schema.create_index(in_order).await?;
        let of_a_job = index("log_entry_by_job_number").col("job").col("number").to_owned();
        schema.create_index(of_a_job).await?;
        let counter = Query::insert()
            .into_table("counter")
            .columns(["name", "value"])
            .values_panic(["log_entry".into(), 0_i64.into()])
            .to_owned();
        schema.exec_stmt(counter).await?;
        let version = column("version", ColumnType::BigInteger).default(1).to_owned();
        schema.alter_table(Table::alter().table("setting").add_column(version).to_owned()).await
    }
}

fn column(name: &'static str, of: ColumnType) -> ColumnDef {
    ColumnDef::new_with_type(name, of).not_null().to_owned()
}

fn text(name: &'static str) -> ColumnDef {
    column(name, ColumnType::Text)
}

fn maybe_text(name: &'static str) -> ColumnDef {
    ColumnDef::new_with_type(name, ColumnType::Text).null().to_owned()
}

fn whole(name: &'static str) -> ColumnDef {
    column(name, ColumnType::BigInteger)
}

/// A table whose rows go with the record that `refers` names.
fn table(
    name: &'static str,
    columns: impl IntoIterator<Item = ColumnDef>,
    refers: &'static str,
) -> TableCreateStatement {
    let mut table = Table::create();
    table.table(name).col(column("id", ColumnType::Uuid).primary_key());
    for column in columns {
        table.col(column);
    }
    table.foreign_key(
        ForeignKey::create()
            .name(format!("{name}_record"))
            .from(name, refers)
            .to("record", "id")
            .on_delete(ForeignKeyAction::Cascade),
    );
    table.to_owned()
}

fn log_entry() -> TableCreateStatement {
    table(
        "log_entry",
        [
            column("job", ColumnType::Uuid),
            whole("number"),
            whole("at_ms"),
            whole("kept_ms"),
            text("device"),
            text("body"),
            text("found_by"),
        ],
        "job",
    )
}

fn template() -> TableCreateStatement {
    table("template", [text("name"), text("note"), text("log")], "id")
}

fn bottle() -> TableCreateStatement {
    table(
        "bottle",
        [
            text("class"),
            text("name"),
            maybe_text("opened"),
            maybe_text("expires"),
            text("note"),
            column("used_up", ColumnType::Boolean),
        ],
        "id",
    )
}
