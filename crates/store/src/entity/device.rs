use super::alone;
use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "device")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub id: Uuid,
    pub name: String,
    pub token_hash: String,
    pub role: String,
    pub joined_ms: i64,
    pub last_seen_ms: Option<i64>,
    pub turned_out_ms: Option<i64>,
}

alone!();
