//! Devices that have joined, and the codes by which they do. Neither a code nor a token is ever
//! kept itself, only its SHA-256: who reads the database cannot come in by what stands there.
//! Both are long random numbers made by the caller, so that a plain hash is enough.

use crate::by::By;
use crate::entity::{device, join_code};
use crate::error::{Error, Result};
use crate::history::{Action, Subject};
use crate::media::finished;
use crate::nested;
use crate::store::Store;
use crate::write::Told;
use jobs::{Difference, Moment, check_line};
use sea_orm::sea_query::Expr;
use sea_orm::{
    ActiveModelTrait, ColumnTrait, EntityTrait, IntoActiveModel, QueryFilter, QueryOrder,
};
use sha2::{Digest, Sha256};
use thiserror::Error as ThisError;
use uuid::Uuid;

/// Id of a device.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct DeviceId(pub Uuid);

/// What a device, or the person at it, may do.
/// Who may more is the greater.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Role {
    /// Who may look.
    ReadOnly,
    /// Who works there: everything about watches, jobs and readings; nothing that holds for all of
    /// the workshop, and nothing that cannot be taken back.
    Repairer,
    /// Whose workshop it is: all of it.
    Owner,
}

impl Role {
    /// Each of them, who may most first.
    pub const ALL: [Self; 3] = [Self::Owner, Self::Repairer, Self::ReadOnly];

    /// The code under which it is kept; it never changes. What joined before there were roles is a
    /// repairer's.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::Owner => "owner",
            Self::Repairer => "joined",
            Self::ReadOnly => "read_only",
        }
    }

    /// The role with this code.
    #[must_use]
    pub fn from_code(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|role| role.code() == code)
    }

    /// In words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Owner => "owner of the workshop",
            Self::Repairer => "repairer",
            Self::ReadOnly => "read only",
        }
    }
}

/// A device that has joined.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Device {
    /// Its id.
    pub id: DeviceId,
    /// What people call it.
    pub name: String,
    /// What it may do.
    pub role: Role,
    /// When it joined.
    pub joined: Moment,
    /// When it was last seen.
    pub last_seen: Option<Moment>,
    /// Since when it may no longer come in.
    pub turned_out: Option<Moment>,
}

/// Why a device may not join.
#[derive(Debug, ThisError)]
pub enum CodeRefused {
    /// There is no such code.
    #[error("This code is not known; ask for a new one at the bench.")]
    Unknown,
    /// Its time is over.
    #[error("This code is too old; ask for a new one at the bench.")]
    Expired,
    /// Somebody has joined with it.
    #[error("This code was used already; ask for a new one at the bench.")]
    Used,
    /// Something else went wrong.
    #[error(transparent)]
    Store(#[from] Error),
}

fn hashed(secret: &str) -> String {
    finished(Sha256::new_with_prefix(secret)).to_string()
}

impl Store {
    /// Keeps a code with which one device may join until it expires. Codes that have expired are
    /// forgotten.
    ///
    /// # Errors
    ///
    /// Whatever the database says.
    pub async fn keep_join_code(
        &self,
        code: &str,
        role: Role,
        now: Moment,
        expires: Moment,
    ) -> Result<()> {
        let write = self.begin().await?;
        // A used one stays for a day, so that whoever tries it again is told why.
        const A_DAY_MS: i64 = 86_400_000;
        join_code::Entity::delete_many()
            .filter(join_code::Column::ExpiresMs.lt(now.ms() - A_DAY_MS))
            .exec(&write.transaction)
            .await?;
        let row = join_code::Model {
            code_hash: hashed(code),
            role: role.code().into(),
            expires_ms: expires.ms(),
            used_ms: None,
        };
        row.into_active_model().insert(&write.transaction).await?;
        write.commit().await
    }

    /// Lets a device join with a code, once, under a token that it shows from now on. Its name is
    /// the one in `by`.
    ///
    /// # Errors
    ///
    /// [`CodeRefused`].
    pub async fn join(&self, by: &By, code: &str, token: &str) -> Result<Device, CodeRefused> {
        check_line("name of the device", &by.device).map_err(Error::from)?;
        let mut write = self.begin().await?;
        let found = join_code::Entity::find_by_id(hashed(code))
            .one(&write.transaction)
            .await
            .map_err(Error::from)?;
        let found = found.ok_or(CodeRefused::Unknown)?;
        if found.used_ms.is_some() {
            return Err(CodeRefused::Used);
        }
        if found.expires_ms < by.at.ms() {
            return Err(CodeRefused::Expired);
        }
        join_code::Entity::update_many()
            .col_expr(join_code::Column::UsedMs, Expr::value(by.at.ms()))
            .filter(join_code::Column::CodeHash.eq(found.code_hash))
            .exec(&write.transaction)
            .await
            .map_err(Error::from)?;
        let row = device::Model {
            id: Uuid::now_v7(),
            name: by.device.clone(),
            token_hash: hashed(token),
            role: found.role,
            joined_ms: by.at.ms(),
            last_seen_ms: Some(by.at.ms()),
            turned_out_ms: None,
        };
        row.clone().into_active_model().insert(&write.transaction).await.map_err(Error::from)?;
        let role =
            Difference { field: "role".into(), before: None, after: Some(role_words(&row.role)?) };
        let told = Told {
            action: Action::Created,
            subject: Subject::Device,
            id: &row.id.to_string(),
            parent: None,
            title: &row.name,
            fields: &[role],
        };
        write.tell(by, told).await?;
        write.commit().await?;
        Ok(from_row(row)?)
    }

    /// The device with this token; nothing where there is none, or it was turned out.
    ///
    /// # Errors
    ///
    /// Whatever the database says.
    pub async fn device_with_token(&self, token: &str) -> Result<Option<Device>> {
        let row = device::Entity::find()
            .filter(device::Column::TokenHash.eq(hashed(token)))
            .filter(device::Column::TurnedOutMs.is_null())
            .one(self.database())
            .await?;
        row.map(from_row).transpose()
    }

    /// All devices that ever joined, the latest first.
    ///
    /// # Errors
    ///
    /// Whatever the database says.
    pub async fn devices(&self) -> Result<Vec<Device>> {
        let rows = device::Entity::find()
            .order_by_desc(device::Column::JoinedMs)
            .order_by_desc(device::Column::Id);
        rows.all(self.database()).await?.into_iter().map(from_row).collect()
    }

    /// Notes that a device was here. Not in the history: it would hold little else.
    ///
    /// # Errors
    ///
    /// Whatever the database says.
    pub async fn device_seen(&self, id: DeviceId, at: Moment) -> Result<()> {
        let write = self.begin().await?;
        device::Entity::update_many()
            .col_expr(device::Column::LastSeenMs, Expr::value(at.ms()))
            .filter(device::Column::Id.eq(id.0))
            .exec(&write.transaction)
            .await?;
        write.commit().await
    }

    /// Gives a device another role.
    ///
    /// # Errors
    ///
    /// [`Error::NotFound`] where it never joined or was turned out, or whatever the database says.
    /// The role that it has already is no error.
    pub async fn give_role(&self, by: &By, id: DeviceId, role: Role) -> Result<Device> {
        let mut write = self.begin().await?;
        let row = device::Entity::find_by_id(id.0)
            .filter(device::Column::TurnedOutMs.is_null())
            .one(&write.transaction)
            .await?;
        let mut row = row.ok_or(Error::NotFound("device"))?;
        if row.role == role.code() {
            return from_row(row);
        }
        device::Entity::update_many()
            .col_expr(device::Column::Role, Expr::value(role.code()))
            .filter(device::Column::Id.eq(id.0))
            .exec(&write.transaction)
            .await?;
        let change = Difference {
            field: "role".into(),
            before: Some(role_words(&row.role)?),
            after: Some(role.words().into()),
        };
        let told = Told {
            action: Action::Changed,
            subject: Subject::Device,
            id: &id.0.to_string(),
            parent: None,
            title: &row.name,
            fields: &[change],
        };
        write.tell(by, told).await?;
        write.commit().await?;
        row.role = role.code().into();
        from_row(row)
    }

    /// Turns a device out: its token opens nothing any more.
    ///
    /// # Errors
    ///
    /// [`Error::NotFound`], or whatever the database says. Turning out twice is no error.
    pub async fn turn_out(&self, by: &By, id: DeviceId) -> Result<()> {
        let mut write = self.begin().await?;
        let row = device::Entity::find_by_id(id.0).one(&write.transaction).await?;
        let row = row.ok_or(Error::NotFound("device"))?;
        if row.turned_out_ms.is_some() {
            return Ok(());
        }
        device::Entity::update_many()
            .col_expr(device::Column::TurnedOutMs, Expr::value(by.at.ms()))
            .filter(device::Column::Id.eq(id.0))
            .exec(&write.transaction)
            .await?;
        let told = Told {
            action: Action::Deleted,
            subject: Subject::Device,
            id: &id.0.to_string(),
            parent: None,
            title: &row.name,
            fields: &[],
        };
        write.tell(by, told).await?;
        write.commit().await
    }
}

fn role_words(code: &str) -> Result<String> {
    let role: Role = nested::code(Role::from_code(code), code)?;
    Ok(role.words().into())
}

fn from_row(row: device::Model) -> Result<Device> {
    Ok(Device {
        id: DeviceId(row.id),
        name: row.name,
        role: nested::code(Role::from_code(&row.role), &row.role)?,
        joined: Moment::from_ms(row.joined_ms),
        last_seen: row.last_seen_ms.map(Moment::from_ms),
        turned_out: row.turned_out_ms.map(Moment::from_ms),
    })
}
