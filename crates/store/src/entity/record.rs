use super::alone;
use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "record")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub id: Uuid,
    pub kind: String,
    pub parent: Option<Uuid>,
    pub version: i64,
    pub created_ms: i64,
    pub changed_ms: i64,
    pub deleted_ms: Option<i64>,
    /// The record with which it went into the bin; nothing where it went on its own.
    pub deleted_with: Option<Uuid>,
    pub title: String,
    /// Under which number the search knows it: the higher, the more recent.
    pub doc: i64,
}

alone!();
