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
        let Self { owner: _, description, calibre, serial_numbers, balances, notes } = self.clone();
        Ok(watch::Model {
            id,
            description,
            calibre,
            serial_numbers: nested::text(&serial_numbers)?,
            balances: nested::list::<_, nested::Balance>(&balances)?,
            notes,
        })
    }

    fn from_row(row: watch::Model, parent: Option<Uuid>) -> Result<Self> {
        let watch::Model { id: _, description, calibre, serial_numbers, balances, notes } = row;
        Ok(Self {
            owner: parent.map(Id::from_uuid),
            description,
            calibre,
            serial_numbers: nested::read(&serial_numbers)?,
            balances: nested::read_list::<_, nested::Balance>(&balances)?,
            notes,
        })
    }
}

impl Stored for Watch {
    fn present(kept: Kept<Self>) -> Present {
        Present::Watch(kept)
    }
}
