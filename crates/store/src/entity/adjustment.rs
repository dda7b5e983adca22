use super::beside_record;
use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "adjustment")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub id: Uuid,
    pub balance: String,
    pub at_ms: i64,
    pub moved_by: String,
    pub amount: Option<f64>,
    pub note: String,
}

beside_record!();
