use super::beside_record;
use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "reading")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub id: Uuid,
    pub position: Option<String>,
    pub wind: String,
    pub taken_ms: i64,
    pub duration_s: f64,
    pub device: String,
    pub settings: String,
    pub program: String,
    pub sound: Option<String>,
    pub balances: String,
    pub relation: Option<String>,
    pub lost_samples: i64,
    pub warnings: String,
    pub note: String,
}

beside_record!();
