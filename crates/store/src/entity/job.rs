use super::beside_record;
use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "job")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub id: Uuid,
    pub number: i64,
    pub complaint: String,
    pub condition: String,
    pub notes: String,
    /// As 2026-01-31, so that it sorts.
    pub due: Option<String>,
    pub moves: String,
    pub stage: String,
    pub handed_over_ms: Option<i64>,
    pub to_watch: String,
    /// As 2031-06-15 or 2031-06.
    pub next_service: Option<String>,
}

beside_record!();
