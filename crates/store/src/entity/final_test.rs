use super::beside_record;
use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "final_test")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub id: Uuid,
    pub balance: String,
    pub tested: String,
    pub way: Option<String>,
    pub standard: String,
    pub what: String,
    pub instrument: String,
    pub conditions: String,
    pub done_ms: i64,
    pub figures: String,
    pub signs: String,
    pub photos: String,
    pub readings: String,
    pub outcome: String,
    pub note: String,
}

beside_record!();
