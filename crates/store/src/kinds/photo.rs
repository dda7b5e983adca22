use super::{Stored, media_hash, narrow, owning, row::Row};
use crate::entity::photo;
use crate::error::Result;
use crate::kept::{Kept, Present};
use jobs::{MediaHash, Moment, Photo};
use uuid::Uuid;

impl Row for Photo {
    type Model = photo::Model;
    type ActiveModel = photo::ActiveModel;
    type Entity = photo::Entity;

    fn row(&self, id: Uuid) -> Result<photo::Model> {
        let Self { job: _, media, caption, width_px, height_px, taken } = self.clone();
        Ok(photo::Model {
            id,
            media: media.to_string(),
            caption,
            width_px: width_px.into(),
            height_px: height_px.into(),
            taken_ms: taken.ms(),
        })
    }

    fn from_row(row: photo::Model, parent: Option<Uuid>) -> Result<Self> {
        let photo::Model { id: _, media, caption, width_px, height_px, taken_ms } = row;
        Ok(Self {
            job: owning(parent)?,
            media: media_hash(&media)?,
            caption,
            width_px: narrow(width_px)?,
            height_px: narrow(height_px)?,
            taken: Moment::from_ms(taken_ms),
        })
    }

    fn media(&self) -> Option<MediaHash> {
        Some(self.media)
    }
}

impl Stored for Photo {
    fn present(kept: Kept<Self>) -> Present {
        Present::Photo(kept)
    }
}
