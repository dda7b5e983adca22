use super::alone;
use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "word")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub word: String,
    #[sea_orm(primary_key, auto_increment = false)]
    pub doc: i64,
}

alone!();
