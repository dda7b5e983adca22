//! Every kind of record as JSON, and back. Each takes its record apart by name, so that a field that
//! is added there and forgotten here does not compile.

pub mod lists;
mod records;
mod repeats;

use jobs::{Id, MediaHash, Moment, Record};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Deserializer, Serialize};
use thiserror::Error;
use uuid::Uuid;

/// Why something that was written cannot be read. One sentence, which begins within another.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{0}")]
pub struct Unread(pub(crate) String);

/// A kind of record with its form in JSON.
pub trait Written: Record {
    /// The form.
    type Form: Serialize + DeserializeOwned;

    /// To its form.
    fn form(&self) -> Self::Form;

    /// From its form.
    ///
    /// # Errors
    ///
    /// Where it says what no record can.
    fn from_form(form: Self::Form) -> Result<Self, Unread>;

    /// The sound or picture that it names.
    fn media(&self) -> Option<MediaHash> {
        None
    }
}

/// A moment: milliseconds since 1970-01-01 00:00 UTC, of a day that a calendar has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(transparent)]
pub struct Ms(i64);

impl Ms {
    /// Of a moment.
    #[must_use]
    pub const fn of(moment: Moment) -> Self {
        Self(moment.ms())
    }

    /// The moment.
    #[must_use]
    pub const fn moment(self) -> Moment {
        Moment::from_ms(self.0)
    }
}

impl<'de> Deserialize<'de> for Ms {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let ms = i64::deserialize(from)?;
        match jiff::Timestamp::from_millisecond(ms) {
            Ok(_) => Ok(Self(ms)),
            Err(_) => Err(serde::de::Error::custom(format!(
                "{ms} ms is no moment of a calendar: the years -9999 to 9999 are read"
            ))),
        }
    }
}

/// An id as it is written: with hyphens, in small letters, so that one thing has one name.
pub(crate) mod id {
    use serde::{Deserialize, Deserializer, Serializer, de::Error};
    use uuid::Uuid;

    pub(crate) fn serialize<S: Serializer>(id: &Uuid, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(id)
    }

    pub(crate) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Uuid, D::Error> {
        let text = String::deserialize(from)?;
        let id = text.parse::<Uuid>().ok().filter(|id| id.to_string() == text);
        id.ok_or_else(|| D::Error::custom("an id is a UUID with hyphens, in small letters"))
    }
}

/// An id that may not be there.
pub(crate) mod maybe_id {
    use serde::{Deserialize, Deserializer, Serialize, Serializer};
    use uuid::Uuid;

    #[derive(Serialize, Deserialize)]
    #[serde(transparent)]
    struct Written(#[serde(with = "super::id")] Uuid);

    pub(crate) fn serialize<S: Serializer>(id: &Option<Uuid>, to: S) -> Result<S::Ok, S::Error> {
        id.map(Written).serialize(to)
    }

    pub(crate) fn deserialize<'de, D: Deserializer<'de>>(
        from: D,
    ) -> Result<Option<Uuid>, D::Error> {
        Ok(Option::<Written>::deserialize(from)?.map(|Written(id)| id))
    }
}

/// What a code stands for.
fn code<T>(found: Option<T>, code: &str) -> Result<T, Unread> {
    let short: String = code.chars().take(40).collect();
    found.ok_or_else(|| Unread(format!("\"{short}\" stands where no such word can")))
}

fn of<T>(id: Id<T>) -> Uuid {
    id.uuid()
}

fn hash(text: &str) -> Result<MediaHash, Unread> {
    text.parse().map_err(|error: jobs::NotAHash| Unread(error.to_string()))
}
