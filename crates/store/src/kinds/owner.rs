use super::{Stored, row::Row};
use crate::entity::owner;
use crate::error::Result;
use crate::kept::{Kept, Present};
use crate::nested;
use jobs::Owner;
use uuid::Uuid;

impl Row for Owner {
    type Model = owner::Model;
    type ActiveModel = owner::ActiveModel;
    type Entity = owner::Entity;

    fn row(&self, id: Uuid) -> Result<owner::Model> {
        let Self { name, contact, notes } = self.clone();
        Ok(owner::Model { id, name, contact: nested::text(&contact)?, notes })
    }

    fn from_row(row: owner::Model, _parent: Option<Uuid>) -> Result<Self> {
        let owner::Model { id: _, name, contact, notes } = row;
        Ok(Self { name, contact: nested::read(&contact)?, notes })
    }
}

impl Stored for Owner {
    fn present(kept: Kept<Self>) -> Present {
        Present::Owner(kept)
    }
}
