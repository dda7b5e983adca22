use super::{Stored, narrow, owning, row::Row};
use crate::entity::part;
use crate::error::Result;
use crate::kept::{Kept, Present};
use crate::nested;
use jobs::{Currency, Money, Part, PartState};
use uuid::Uuid;

impl Row for Part {
    type Model = part::Model;
    type ActiveModel = part::ActiveModel;
    type Entity = part::Entity;

    fn row(&self, id: Uuid) -> Result<part::Model> {
        let Self { job: _, what, quantity, supplier, state, cost } = self.clone();
        Ok(part::Model {
            id,
            what,
            quantity: quantity.into(),
            supplier,
            state: state.code().into(),
            cost_minor_units: cost.map(|cost| cost.minor_units),
            cost_currency: cost.map(|cost| cost.currency.to_string()),
        })
    }

    fn from_row(row: part::Model, parent: Option<Uuid>) -> Result<Self> {
        let part::Model { id: _, what, quantity, supplier, state, cost_minor_units, cost_currency } =
            row;
        let cost = match (cost_minor_units, cost_currency) {
            (Some(minor_units), Some(letters)) => {
                let currency = nested::code(Currency::from_letters(&letters).ok(), &letters)?;
                Some(Money { minor_units, currency })
            }
            _ => None,
        };
        Ok(Self {
            job: owning(parent)?,
            what,
            quantity: narrow(quantity)?,
            supplier,
            state: nested::code(PartState::from_code(&state), &state)?,
            cost,
        })
    }
}

impl Stored for Part {
    fn present(kept: Kept<Self>) -> Present {
        Present::Part(kept)
    }
}
