use super::beside_record;
use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "trial")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub id: Uuid,
    pub balance: String,
    pub size: String,
    pub begun_ms: i64,
    pub rate_sd_s_per_d: f64,
    pub days: String,
    pub note: String,
}

beside_record!();
