use super::beside_record;
use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "bottle")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub id: Uuid,
    pub class: String,
    pub name: String,
    pub opened: Option<String>,
    pub expires: Option<String>,
    pub note: String,
    pub used_up: bool,
}

beside_record!();
