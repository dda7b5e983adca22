use super::{Stored, row::Row};
use crate::entity::watch;
use crate::error::Result;
use crate::kept::{Kept, Present};
use crate::nested;
use jobs::{Id, Watch};
use uuid::Uuid;

impl Row for Watch {
    type Model = watch::Model;
    type ActiveModel = watch::ActiveModel;
    type Entity = watch::Entity;

    fn row(&self, id: Uuid) -> Result<watch::Model> {
        let Self {
            owner: _,
            description,
            calibre,
            serial_numbers,
            balances,
            target_s_per_d,
            movement,
            notes,
        } = self.clone();
        Ok(watch::Model {
            id,
            description,
            calibre,
            serial_numbers: nested::text(&serial_numbers)?,
            balances: nested::list::<_, nested::Balance>(&balances)?,
            notes,
            movement,
            target_s_per_d,
        })
    }

    fn from_row(row: watch::Model, parent: Option<Uuid>) -> Result<Self> {
        let watch::Model {
            id: _,
            description,
            calibre,
            serial_numbers,
            balances,
            notes,
            movement,
            target_s_per_d,
        } = row;
        Ok(Self {
            owner: parent.map(Id::from_uuid),
            description,
            calibre,
            serial_numbers: nested::read(&serial_numbers)?,
            balances: nested::read_list::<_, nested::Balance>(&balances)?,
            target_s_per_d,
            movement,
            notes,
        })
    }
}

impl Stored for Watch {
    fn present(kept: Kept<Self>) -> Present {
        Present::Watch(kept)
    }
}
