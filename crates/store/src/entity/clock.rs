use super::alone;
use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "clock")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub id: Uuid,
    pub device: String,
    pub error_ppm: f64,
    pub sd_ppm: f64,
    pub how: String,
    pub found_ms: i64,
}

alone!();
