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
}

beside_record!();
