//! Final tests, and what a job says to its owner when the watch goes back.

use sea_orm_migration::prelude::*;
use sea_orm_migration::sea_query::{ColumnType, Table, TableCreateStatement};

pub(crate) struct Step;

impl MigrationName for Step {
    fn name(&self) -> &'static str {
        "0006_final_tests"
    }
}

#[async_trait::async_trait]
impl MigrationTrait for Step {
    async fn up(&self, schema: &SchemaManager) -> Result<(), DbErr> {
        schema.create_table(final_test()).await?;
        // SQLite takes one column at a time.
        let job = || Table::alter().table("job").to_owned();
        let to_watch = column("to_watch", ColumnType::Text).default("").to_owned();
        schema.alter_table(job().add_column(to_watch).to_owned()).await?;
        let next_service = maybe("next_service", ColumnType::Text);
        schema.alter_table(job().add_column(next_service).to_owned()).await
    }
}

fn column(name: &'static str, of: ColumnType) -> ColumnDef {
    ColumnDef::new_with_type(name, of).not_null().to_owned()
}

fn maybe(name: &'static str, of: ColumnType) -> ColumnDef {
    ColumnDef::new_with_type(name, of).null().to_owned()
}

fn final_test() -> TableCreateStatement {
    let mut table = Table::create();
    table
        .table("final_test")
        .col(column("id", ColumnType::Uuid).primary_key())
        .col(column("balance", ColumnType::Text))
        .col(column("tested", ColumnType::Text))
        .col(maybe("way", ColumnType::Text))
        .col(column("standard", ColumnType::Text))
        .col(column("what", ColumnType::Text))
        .col(column("instrument", ColumnType::Text))
        .col(column("conditions", ColumnType::Text))
        .col(column("done_ms", ColumnType::BigInteger))
        .col(column("figures", ColumnType::Text))
        .col(column("signs", ColumnType::Text))
        .col(column("photos", ColumnType::Text))
        .col(column("readings", ColumnType::Text))
        .col(column("outcome", ColumnType::Text))
        .col(column("note", ColumnType::Text))
        .foreign_key(
            ForeignKey::create()
                .name("final_test_record")
                .from("final_test", "id")
                .to("record", "id")
                .on_delete(ForeignKeyAction::Cascade),
        );
    table.to_owned()
}
