use super::alone;
use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "change")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub seq: i64,
    pub at_ms: i64,
    pub device: String,
    pub action: String,
    /// A kind of record, or another thing that is kept.
    pub subject: String,
    pub subject_id: String,
    pub parent: Option<Uuid>,
    pub title: String,
    pub fields: String,
}

alone!();
