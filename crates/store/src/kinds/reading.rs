use super::{Stored, media_hash, narrow, owning, row::Row};
use crate::entity::reading;
use crate::error::Result;
use crate::kept::{Kept, Present};
use crate::nested;
use jobs::{MediaHash, Moment, Reading};
use quantities::Position;
use uuid::Uuid;

impl Row for Reading {
    type Model = reading::Model;
    type ActiveModel = reading::ActiveModel;
    type Entity = reading::Entity;

    fn row(&self, id: Uuid) -> Result<reading::Model> {
        let relation = self.relation.as_ref().map(nested::Related::from);
        Ok(reading::Model {
            id,
            position: self.position.map(|position| position.symbol().to_owned()),
            wind: self.wind.clone(),
            taken_ms: self.taken.ms(),
            duration_s: self.duration_s,
            device: self.device.clone(),
            settings: nested::text(&nested::Settings::from(&self.settings))?,
            program: self.program.clone(),
            sound: self.sound.map(|sound| sound.to_string()),
            balances: nested::list::<_, nested::BalanceRead>(&self.balances)?,
            relation: relation.as_ref().map(nested::text).transpose()?,
            lost_samples: i64::try_from(self.lost_samples).unwrap_or(i64::MAX),
            warnings: nested::list::<_, nested::Warned>(&self.warnings)?,
            note: self.note.clone(),
        })
    }

    fn from_row(row: reading::Model, parent: Option<Uuid>) -> Result<Self> {
        let relation = row.relation.as_deref().map(nested::read::<nested::Related>).transpose()?;
        Ok(Self {
            job: owning(parent)?,
            position: row.position.as_deref().map(position).transpose()?,
            wind: row.wind,
            taken: Moment::from_ms(row.taken_ms),
            duration_s: row.duration_s,
            device: row.device,
            settings: nested::read::<nested::Settings>(&row.settings)?.into(),
            program: row.program,
            sound: row.sound.as_deref().map(media_hash).transpose()?,
            balances: nested::read_list::<_, nested::BalanceRead>(&row.balances)?,
            relation: relation.map(TryInto::try_into).transpose()?,
            lost_samples: narrow(row.lost_samples)?,
            warnings: nested::read_list::<_, nested::Warned>(&row.warnings)?,
            note: row.note,
        })
    }

    fn media(&self) -> Option<MediaHash> {
        self.sound
    }
}

fn position(symbol: &str) -> Result<Position> {
    nested::code(Position::of_symbol(symbol), symbol)
}

impl Stored for Reading {
    fn present(kept: Kept<Self>) -> Present {
        Present::Reading(kept)
    }
}
