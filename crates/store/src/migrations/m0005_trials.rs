//! Trials of fifteen days.

use sea_orm_migration::prelude::*;
use sea_orm_migration::sea_query::{ColumnType, Table, TableCreateStatement};

pub(crate) struct Step;

impl MigrationName for Step {
    fn name(&self) -> &'static str {
        "0005_trials"
    }
}

#[async_trait::async_trait]
impl MigrationTrait for Step {
    async fn up(&self, schema: &SchemaManager) -> Result<(), DbErr> {
        schema.create_table(trial()).await
    }
}

fn column(name: &'static str, of: ColumnType) -> ColumnDef {
    ColumnDef::new_with_type(name, of).not_null().to_owned()
}

fn trial() -> TableCreateStatement {
    let mut table = Table::create();
    table
        .table("trial")
        .col(column("id", ColumnType::Uuid).primary_key())
        .col(column("balance", ColumnType::Text))
        .col(column("size", ColumnType::Text))
        .col(column("begun_ms", ColumnType::BigInteger))
        .col(column("rate_sd_s_per_d", ColumnType::Double))
        .col(column("days", ColumnType::Text))
        .col(column("note", ColumnType::Text))
        .foreign_key(
            ForeignKey::create()
                .name("trial_record")
                .from("trial", "id")
                .to("record", "id")
                .on_delete(ForeignKeyAction::Cascade),
        );
    table.to_owned()
}
