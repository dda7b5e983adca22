use super::alone;
use sea_orm::entity::prelude::*;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "log_entry")]
pub struct Model {
    #[sea_orm(primary_key, auto_increment = false)]
    pub id: Uuid,
    pub job: Uuid,
    /// Its place in the order in which entries of all jobs were kept.
    pub number: i64,
    /// When it was made, as the device says.
    pub at_ms: i64,
    pub kept_ms: i64,
    pub device: String,
    /// In a form of its own, which is not read here.
    pub body: String,
    /// Texts by which the job is found, one a line.
    pub found_by: String,
}

alone!();
