use super::{Stored, owning, row::Row};
use crate::entity::trial;
use crate::error::{Error, Result};
use crate::kept::{Kept, Present};
use crate::nested;
use jobs::{Moment, Trial, TrialSize};
use uuid::Uuid;

impl Row for Trial {
    type Model = trial::Model;
    type ActiveModel = trial::ActiveModel;
    type Entity = trial::Entity;

    fn row(&self, id: Uuid) -> Result<trial::Model> {
        let Self { job: _, balance, size, begun, rate_sd_s_per_d, days, note } = self;
        let days: Vec<Option<nested::DayRate>> =
            days.iter().map(|rate| rate.as_ref().map(nested::DayRate::from)).collect();
        Ok(trial::Model {
            id,
            balance: balance.clone(),
            size: size.code().into(),
            begun_ms: begun.ms(),
            rate_sd_s_per_d: *rate_sd_s_per_d,
            days: nested::text(&days)?,
            note: note.clone(),
        })
    }

    fn from_row(row: trial::Model, parent: Option<Uuid>) -> Result<Self> {
        let trial::Model { id: _, balance, size, begun_ms, rate_sd_s_per_d, days, note } = row;
        let days: Vec<Option<nested::DayRate>> = nested::read(&days)?;
        let found = days.len();
        let days = days.into_iter().map(|rate| rate.map(Into::into)).collect::<Vec<_>>();
        Ok(Self {
            job: owning(parent)?,
            balance,
            size: nested::code(TrialSize::from_code(&size), &size)?,
            begun: Moment::from_ms(begun_ms),
            rate_sd_s_per_d,
            days: days.try_into().map_err(|_| {
                Error::Damaged(format!("a trial has {found} days; there must be {}.", Self::DAYS))
            })?,
            note,
        })
    }
}

impl Stored for Trial {
    fn present(kept: Kept<Self>) -> Present {
        Present::Trial(kept)
    }
}
