use super::{Stored, day, row::Row};
use crate::entity::bottle;
use crate::error::Result;
use crate::kept::{Kept, Present};
use jobs::Bottle;
use uuid::Uuid;

impl Row for Bottle {
    type Model = bottle::Model;
    type ActiveModel = bottle::ActiveModel;
    type Entity = bottle::Entity;

    fn row(&self, id: Uuid) -> Result<bottle::Model> {
        let Self { class, name, opened, expires, note, used_up } = self.clone();
        Ok(bottle::Model {
            id,
            class,
            name,
            opened: opened.map(|day| day.to_string()),
            expires: expires.map(|day| day.to_string()),
            note,
            used_up,
        })
    }

    fn from_row(row: bottle::Model, _parent: Option<Uuid>) -> Result<Self> {
        let bottle::Model { id: _, class, name, opened, expires, note, used_up } = row;
        Ok(Self {
            class,
            name,
            opened: opened.as_deref().map(day).transpose()?,
            expires: expires.as_deref().map(day).transpose()?,
            note,
            used_up,
        })
    }
}

impl Stored for Bottle {
    fn present(kept: Kept<Self>) -> Present {
        Present::Bottle(kept)
    }
}
