use super::alone;
use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "group_word")]
pub struct Model {
    /// A job, watch or owner that is not in the bin.
    #[sea_orm(primary_key, auto_increment = false)]
    pub root: Uuid,
    /// It, or something that hangs on it, is found by this.
    #[sea_orm(primary_key, auto_increment = false)]
    pub word: String,
}

alone!();
