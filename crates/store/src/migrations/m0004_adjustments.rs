//! Moves made while regulating, and what is known of a watch's movement.

use sea_orm_migration::prelude::*;
use sea_orm_migration::sea_query::{ColumnType, Table, TableCreateStatement};

pub(crate) struct Step;

impl MigrationName for Step {
    fn name(&self) -> &'static str {
        "0004_adjustments"
    }
}

#[async_trait::async_trait]
impl MigrationTrait for Step {
    async fn up(&self, schema: &SchemaManager) -> Result<(), DbErr> {
        schema.create_table(adjustment()).await?;
        // SQLite takes one column at a time.
        let watch = || Table::alter().table("watch").to_owned();
        let movement = column("movement", ColumnType::Text).default("").to_owned();
        schema.alter_table(watch().add_column(movement).to_owned()).await?;
        let target = maybe("target_s_per_d", ColumnType::Double);
        schema.alter_table(watch().add_column(target).to_owned()).await
    }
}

fn column(name: &'static str, of: ColumnType) -> ColumnDef {
    ColumnDef::new_with_type(name, of).not_null().to_owned()
}

fn maybe(name: &'static str, of: ColumnType) -> ColumnDef {
    ColumnDef::new_with_type(name, of).null().to_owned()
}

fn adjustment() -> TableCreateStatement {
    let mut table = Table::create();
    table
        .table("adjustment")
        .col(column("id", ColumnType::Uuid).primary_key())
        .col(column("balance", ColumnType::Text))
        .col(column("at_ms", ColumnType::BigInteger))
        .col(column("moved_by", ColumnType::Text))
        .col(maybe("amount", ColumnType::Double))
        .col(column("note", ColumnType::Text))
        .foreign_key(
            ForeignKey::create()
                .name("adjustment_record")
                .from("adjustment", "id")
                .to("record", "id")
                .on_delete(ForeignKeyAction::Cascade),
        );
    table.to_owned()
}
