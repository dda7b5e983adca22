use super::beside_record;
use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "watch")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub id: Uuid,
    pub description: String,
    pub calibre: String,
    pub serial_numbers: String,
    pub balances: String,
    pub notes: String,
    pub movement: String,
    pub target_s_per_d: Option<f64>,
}

beside_record!();
