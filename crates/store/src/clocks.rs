//! The clocks of sound devices: how far each is off, and how that was found. None is ever
//! replaced; the latest counts.

use crate::by::By;
use crate::entity::clock;
use crate::error::{Error, Result};
use crate::history::{Action, Subject};
use crate::store::Store;
use crate::write::Told;
use jobs::{Difference, Invalid, Moment, Problem, limit};
use quantities::Measured;
use sea_orm::{
    ActiveModelTrait, ColumnTrait, EntityTrait, IntoActiveModel, QueryFilter, QueryOrder,
};
use uuid::Uuid;

/// What was found of the clock of a sound device.
#[derive(Debug, Clone, PartialEq)]
pub struct Clock {
    /// Name of the device.
    pub device: String,
    /// Its error, parts per million: `true sample rate = nominal (1 + ppm/1e6)`.
    pub error_ppm: f64,
    /// Standard uncertainty of that, parts per million.
    pub sd_ppm: f64,
    /// How it was found, in words.
    pub how: String,
}

impl Clock {
    /// Its error with the standard uncertainty of that, parts per million.
    #[must_use]
    pub fn error(&self) -> Measured {
        Measured::new(self.error_ppm, self.sd_ppm)
    }
}

/// A clock as it is kept.
#[derive(Debug, Clone, PartialEq)]
pub struct KeptClock {
    /// Its id.
    pub id: Uuid,
    /// When it was found.
    pub found: Moment,
    /// What was found.
    pub clock: Clock,
}

impl Store {
    /// Keeps what was found of a clock. It counts from now on.
    ///
    /// # Errors
    ///
    /// [`Error::Invalid`], or whatever the database says.
    pub async fn keep_clock(&self, by: &By, clock: Clock) -> Result<KeptClock> {
        check(&clock)?;
        let mut write = self.begin().await?;
        let row = clock::Model {
            id: Uuid::now_v7(),
            device: clock.device.clone(),
            error_ppm: clock.error_ppm,
            sd_ppm: clock.sd_ppm,
            how: clock.how.clone(),
            found_ms: by.at.ms(),
        };
        row.clone().into_active_model().insert(&write.transaction).await?;
        let field = |name: &str, value: String| Difference {
            field: name.into(),
            before: None,
            after: Some(value),
        };
        let told = Told {
            action: Action::Created,
            subject: Subject::Clock,
            id: &clock.device,
            parent: None,
            title: &clock.device,
            fields: &[
                field("error in ppm", clock.error_ppm.to_string()),
                field("uncertainty in ppm", clock.sd_ppm.to_string()),
                field("how", clock.how.clone()),
            ],
        };
        write.tell(by, told).await?;
        write.commit().await?;
        Ok(from_row(row))
    }

    /// What counts of the clock of a device; nothing where it was never found.
    ///
    /// # Errors
    ///
    /// Whatever the database says.
    pub async fn clock_of(&self, device: &str) -> Result<Option<KeptClock>> {
        let latest = clock::Entity::find()
            .filter(clock::Column::Device.eq(device))
            .order_by_desc(clock::Column::FoundMs)
            .order_by_desc(clock::Column::Id);
        Ok(latest.one(self.database()).await?.map(from_row))
    }

    /// All that was ever found, by device, the latest of each first.
    ///
    /// # Errors
    ///
    /// Whatever the database says.
    pub async fn clocks(&self) -> Result<Vec<KeptClock>> {
        let all = clock::Entity::find()
            .order_by_asc(clock::Column::Device)
            .order_by_desc(clock::Column::FoundMs)
            .order_by_desc(clock::Column::Id);
        Ok(all.all(self.database()).await?.into_iter().map(from_row).collect())
    }
}

pub(crate) fn from_row(row: clock::Model) -> KeptClock {
    let clock::Model { id, device, error_ppm, sd_ppm, how, found_ms } = row;
    let clock = Clock { device, error_ppm, sd_ppm, how };
    KeptClock { id, found: Moment::from_ms(found_ms), clock }
}

fn check(clock: &Clock) -> Result<()> {
    let problem = if clock.device.trim().is_empty() {
        Problem::Empty
    } else if !clock.error_ppm.is_finite() || !clock.sd_ppm.is_finite() || clock.sd_ppm < 0.0 {
        Problem::NotANumber
    } else {
        let is = clock.device.chars().count().max(clock.how.chars().count());
        if is <= limit::LINE {
            return Ok(());
        }
        Problem::TooLong { is, limit: limit::LINE }
    };
    Err(Error::Invalid(Invalid { field: "recorder's clock".into(), problem }))
}
