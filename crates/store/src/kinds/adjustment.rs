use super::{Stored, owning, row::Row};
use crate::entity::adjustment;
use crate::error::Result;
use crate::kept::{Kept, Present};
use crate::nested;
use jobs::{Adjustment, AdjustmentBy, Moment};
use uuid::Uuid;

impl Row for Adjustment {
    type Model = adjustment::Model;
    type ActiveModel = adjustment::ActiveModel;
    type Entity = adjustment::Entity;

    fn row(&self, id: Uuid) -> Result<adjustment::Model> {
        let Self { job: _, balance, at, by, amount, note } = self.clone();
        let (at_ms, moved_by) = (at.ms(), by.code().into());
        Ok(adjustment::Model { id, balance, at_ms, moved_by, amount, note })
    }

    fn from_row(row: adjustment::Model, parent: Option<Uuid>) -> Result<Self> {
        let adjustment::Model { id: _, balance, at_ms, moved_by, amount, note } = row;
        Ok(Self {
            job: owning(parent)?,
            balance,
            at: Moment::from_ms(at_ms),
            by: nested::code(AdjustmentBy::from_code(&moved_by), &moved_by)?,
            amount,
            note,
        })
    }
}

impl Stored for Adjustment {
    fn present(kept: Kept<Self>) -> Present {
        Present::Adjustment(kept)
    }
}
