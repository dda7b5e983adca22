//! The history of what hangs on a record is found without going through all that ever happened.

use sea_orm_migration::prelude::*;

pub(crate) struct Step;

impl MigrationName for Step {
    fn name(&self) -> &'static str {
        "0007_history_of_a_job"
    }
}

#[async_trait::async_trait]
impl MigrationTrait for Step {
    async fn up(&self, schema: &SchemaManager) -> Result<(), DbErr> {
        let index = Index::create()
            .name("change_by_parent_seq")
            .table("change")
            .col("parent")
            .col("seq")
            .to_owned();
        schema.create_index(index).await
    }
}
