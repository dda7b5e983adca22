//! The tables as SeaORM sees them. Columns say their unit; lists within a record are JSON.

// What the derives make is public within this private module.
#![allow(unreachable_pub, missing_docs)]

pub mod adjustment;
pub mod bottle;
pub mod change;
pub mod clock;
pub mod counter;
pub mod device;
pub mod estimate;
pub mod final_test;
pub mod group_word;
pub mod job;
pub mod join_code;
pub mod log_entry;
pub mod owner;
pub mod part;
pub mod photo;
pub mod reading;
pub mod record;
pub mod setting;
pub mod template;
pub mod trial;
pub mod watch;
pub mod word;

use sea_orm::{EntityTrait, RelationDef};

/// A table whose rows stand beside those of `record`, under the same ids.
pub trait BesideRecord: EntityTrait {
    /// The way from a record to its row here.
    fn from_record() -> RelationDef;
}

/// The row of a kind stands beside its row in `record`, under the same id.
macro_rules! beside_record {
    () => {
        #[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
        pub enum Relation {
            #[sea_orm(
                belongs_to = "super::record::Entity",
                from = "Column::Id",
                to = "super::record::Column::Id"
            )]
            Record,
        }
        impl super::BesideRecord for Entity {
            fn from_record() -> RelationDef {
                Relation::Record.def().rev()
            }
        }
        impl ActiveModelBehavior for ActiveModel {}
    };
}
pub(crate) use beside_record;

/// A table on its own.
macro_rules! alone {
    () => {
        #[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
        pub enum Relation {}
        impl ActiveModelBehavior for ActiveModel {}
    };
}
pub(crate) use alone;
