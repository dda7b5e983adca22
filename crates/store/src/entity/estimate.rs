use super::beside_record;
use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "estimate")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub id: Uuid,
    pub currency: String,
    pub lines: String,
    pub answer: String,
    pub answered_ms: Option<i64>,
}

beside_record!();
