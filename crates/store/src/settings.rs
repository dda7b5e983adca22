//! Settings: a text under a key.

use crate::by::By;
use crate::entity::setting;
use crate::error::{Error, Result};
use crate::history::{Action, Subject};
use crate::store::Store;
use crate::write::Told;
use jobs::{Difference, Invalid, Problem, limit};
use sea_orm::{ActiveModelTrait, EntityTrait, IntoActiveModel, QueryOrder};

impl Store {
    /// What a setting says; nothing where it was never made.
    ///
    /// # Errors
    ///
    /// Whatever the database says.
    pub async fn setting(&self, key: &str) -> Result<Option<String>> {
        let row = setting::Entity::find_by_id(key.to_owned()).one(self.database()).await?;
        Ok(row.map(|row| row.value))
    }

    /// All settings, by their keys.
    ///
    /// # Errors
    ///
    /// Whatever the database says.
    pub async fn settings(&self) -> Result<Vec<(String, String)>> {
        let rows = setting::Entity::find().order_by_asc(setting::Column::Key);
        Ok(rows.all(self.database()).await?.into_iter().map(|row| (row.key, row.value)).collect())
    }

    /// Makes a setting.
    ///
    /// # Errors
    ///
    /// [`Error::Invalid`] where key or value are too long, or whatever the database says.
    pub async fn set(&self, by: &By, key: &str, value: &str) -> Result<()> {
        for (text, limit) in [(key, limit::LINE), (value, limit::NOTES)] {
            let is = text.chars().count();
            if is > limit {
                let problem = Problem::TooLong { is, limit };
                return Err(Error::Invalid(Invalid { field: "setting".into(), problem }));
            }
        }
        let mut write = self.begin().await?;
        let before = setting::Entity::find_by_id(key.to_owned()).one(&write.transaction).await?;
        let before = before.map(|row| row.value);
        if before.as_deref() == Some(value) {
            return Ok(());
        }
        let row = setting::Model { key: key.into(), value: value.into(), changed_ms: by.at.ms() };
        let row = row.into_active_model().reset_all();
        if before.is_some() {
            row.update(&write.transaction).await?;
        } else {
            row.insert(&write.transaction).await?;
        }
        let action = if before.is_some() { Action::Changed } else { Action::Created };
        let after = Some(value.to_owned());
        let told = Told {
            action,
            subject: Subject::Setting,
            id: key,
            parent: None,
            title: key,
            fields: &[Difference { field: "value".into(), before, after }],
        };
        write.tell(by, told).await?;
        write.commit().await
    }
}
