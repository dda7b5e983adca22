//! Settings: a text under a key.

use crate::by::By;
use crate::entity::setting;
use crate::error::{Error, Result};
use crate::history::{Action, Subject};
use crate::kept::Present;
use crate::store::Store;
use crate::write::{Told, Write};
use jobs::{Difference, Invalid, Moment, Problem, limit};
use sea_orm::{ActiveModelTrait, EntityTrait, IntoActiveModel, QueryOrder};

/// Under this key: the user's own words for kinds of part and their own rules, one text.
pub const OWN_RULES: &str = "own_rules";

/// Under this key: the ids of rules that the user has switched off, one a line.
pub const RULES_OFF: &str = "rules_off";

/// Under this key: the name of the picture that stands as the workshop's sign on its papers; empty
/// where it has none. The check and the backup go by it.
pub const PAPER_SIGN: &str = "paper_sign";

/// Under this key: where the last backup was put; when that was is when the setting was changed.
pub const LAST_BACKUP: &str = "last_backup";

/// A setting as it is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptSetting {
    /// Its key.
    pub key: String,
    /// Counts its changes from 1. A change says which version it is based on.
    pub version: i64,
    /// When it was last changed.
    pub changed: Moment,
    /// What it says.
    pub value: String,
}

impl Store {
    /// What a setting says; nothing where it was never made.
    ///
    /// # Errors
    ///
    /// Whatever the database says.
    pub async fn setting(&self, key: &str) -> Result<Option<String>> {
        Ok(self.kept_setting(key).await?.map(|kept| kept.value))
    }

    /// As [`Store::setting`], with its version.
    ///
    /// # Errors
    ///
    /// Whatever the database says.
    pub async fn kept_setting(&self, key: &str) -> Result<Option<KeptSetting>> {
        let row = setting::Entity::find_by_id(key.to_owned()).one(self.database()).await?;
        Ok(row.map(from_row))
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

    /// Makes a setting, whatever it said before.
    ///
    /// # Errors
    ///
    /// [`Error::Invalid`] where key or value are too long, or whatever the database says.
    pub async fn set(&self, by: &By, key: &str, value: &str) -> Result<()> {
        check(key, limit::LINE)?;
        check(value, limit::NOTES)?;
        let mut write = self.begin().await?;
        let before = find(&write, key).await?;
        put(&mut write, by, key, before, value).await?;
        write.commit().await
    }

    /// Changes a setting that was at version `based_on` when it was read; 0 where it was never
    /// made. For long texts that more than one person may have open: the user's own words and rules
    /// ([`OWN_RULES`]), the rules that are switched off ([`RULES_OFF`]). Where nothing differs, nothing happens.
    ///
    /// # Errors
    ///
    /// [`Error::Conflict`] with the present setting where it has been changed since;
    /// [`Error::NotFound`] where it was never made and `based_on` is not 0; [`Error::Invalid`]; or
    /// whatever the database says.
    pub async fn change_setting(
        &self,
        by: &By,
        key: &str,
        based_on: i64,
        value: &str,
    ) -> Result<KeptSetting> {
        check(key, limit::LINE)?;
        check(value, limit::OPAQUE)?;
        let mut write = self.begin().await?;
        let before = find(&write, key).await?;
        match &before {
            None if based_on != 0 => return Err(Error::NotFound("setting")),
            Some(there) if there.version != based_on => {
                let present = Present::Setting(from_row(there.clone()));
                return Err(Error::Conflict(Box::new(present)));
            }
            _ => {}
        }
        let kept = put(&mut write, by, key, before, value).await?;
        write.commit().await?;
        Ok(kept)
    }
}

async fn find(write: &Write<'_>, key: &str) -> Result<Option<setting::Model>> {
    Ok(setting::Entity::find_by_id(key.to_owned()).one(&write.transaction).await?)
}

async fn put(
    write: &mut Write<'_>,
    by: &By,
    key: &str,
    before: Option<setting::Model>,
    value: &str,
) -> Result<KeptSetting> {
    if let Some(same) = before.as_ref().filter(|before| before.value == value) {
        return Ok(from_row(same.clone()));
    }
    let row = setting::Model {
        key: key.into(),
        value: value.into(),
        changed_ms: by.at.ms(),
        version: before.as_ref().map_or(0, |before| before.version) + 1,
    };
    let new = row.clone().into_active_model().reset_all();
    let action = if before.is_some() {
        new.update(&write.transaction).await?;
        Action::Changed
    } else {
        new.insert(&write.transaction).await?;
        Action::Created
    };
    let (before, after) = (before.map(|before| before.value), Some(value.to_owned()));
    let told = Told {
        action,
        subject: Subject::Setting,
        id: key,
        parent: None,
        title: key,
        fields: &[Difference { field: "value".into(), before, after }],
    };
    write.tell(by, told).await?;
    Ok(from_row(row))
}

fn check(text: &str, limit: usize) -> Result<(), Invalid> {
    let is = text.chars().count();
    let problem = if is > limit {
        Problem::TooLong { is, limit }
    } else if text.contains('\0') {
        Problem::ControlCharacter { code: 0 }
    } else {
        return Ok(());
    };
    Err(Invalid { field: "setting".into(), problem })
}

fn from_row(row: setting::Model) -> KeptSetting {
    let setting::Model { key, value, changed_ms, version } = row;
    KeptSetting { key, version, changed: Moment::from_ms(changed_ms), value }
}
