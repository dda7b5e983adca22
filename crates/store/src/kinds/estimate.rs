use super::{Stored, owning, row::Row};
use crate::entity::estimate;
use crate::error::Result;
use crate::kept::{Kept, Present};
use crate::nested;
use jobs::{Answer, Currency, Estimate, Moment};
use uuid::Uuid;

impl Row for Estimate {
    type Model = estimate::Model;
    type ActiveModel = estimate::ActiveModel;
    type Entity = estimate::Entity;

    fn row(&self, id: Uuid) -> Result<estimate::Model> {
        let Self { job: _, currency, lines, answer, answered } = self.clone();
        Ok(estimate::Model {
            id,
            currency: currency.to_string(),
            lines: nested::list::<_, nested::Line>(&lines)?,
            answer: answer.code().into(),
            answered_ms: answered.map(Moment::ms),
        })
    }

    fn from_row(row: estimate::Model, parent: Option<Uuid>) -> Result<Self> {
        let estimate::Model { id: _, currency, lines, answer, answered_ms } = row;
        Ok(Self {
            job: owning(parent)?,
            currency: nested::code(Currency::from_letters(&currency).ok(), &currency)?,
            lines: nested::read_list::<_, nested::Line>(&lines)?,
            answer: nested::code(Answer::from_code(&answer), &answer)?,
            answered: answered_ms.map(Moment::from_ms),
        })
    }
}

impl Stored for Estimate {
    fn present(kept: Kept<Self>) -> Present {
        Present::Estimate(kept)
    }
}
