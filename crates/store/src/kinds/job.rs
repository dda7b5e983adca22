use super::{Stored, day, day_or_month, narrow, owning, row::Row};
use crate::entity::job;
use crate::error::Result;
use crate::kept::{Kept, Present};
use crate::nested;
use jobs::{Job, Moment};
use uuid::Uuid;

impl Row for Job {
    type Model = job::Model;
    type ActiveModel = job::ActiveModel;
    type Entity = job::Entity;

    fn row(&self, id: Uuid) -> Result<job::Model> {
        let stage = self.stage().code().to_owned();
        let Self {
            watch: _,
            number,
            complaint,
            condition,
            notes,
            due,
            moves,
            handed_over,
            to_watch,
            next_service,
        } = self.clone();
        Ok(job::Model {
            id,
            number: number.into(),
            complaint,
            condition: nested::list::<_, nested::Condition>(&condition)?,
            notes,
            due: due.map(|day| day.to_string()),
            moves: nested::list::<_, nested::Move>(&moves)?,
            stage,
            handed_over_ms: handed_over.map(Moment::ms),
            to_watch,
            next_service: next_service.map(|when| when.to_string()),
        })
    }

    fn from_row(row: job::Model, parent: Option<Uuid>) -> Result<Self> {
        let job::Model {
            id: _,
            number,
            complaint,
            condition,
            notes,
            due,
            moves,
            stage: _, // the last of the moves
            handed_over_ms,
            to_watch,
            next_service,
        } = row;
        Ok(Self {
            watch: owning(parent)?,
            number: narrow(number)?,
            complaint,
            condition: nested::read_list::<_, nested::Condition>(&condition)?,
            notes,
            due: due.as_deref().map(day).transpose()?,
            moves: nested::read_list::<_, nested::Move>(&moves)?,
            handed_over: handed_over_ms.map(Moment::from_ms),
            to_watch,
            next_service: next_service.as_deref().map(day_or_month).transpose()?,
        })
    }
}

impl Stored for Job {
    fn present(kept: Kept<Self>) -> Present {
        Present::Job(kept)
    }
}
