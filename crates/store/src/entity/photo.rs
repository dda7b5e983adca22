use super::beside_record;
use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "photo")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub id: Uuid,
    pub media: String,
    pub caption: String,
    pub width_px: i64,
    pub height_px: i64,
    pub taken_ms: i64,
}

beside_record!();
