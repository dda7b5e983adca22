use super::beside_record;
use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "part")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub id: Uuid,
    pub what: String,
    pub quantity: i64,
    pub supplier: String,
    pub state: String,
    pub cost_minor_units: Option<i64>,
    pub cost_currency: Option<String>,
}

beside_record!();
