use super::{moment, version};
use crate::wire;
use jobs::Photo;
use store::Kept;

pub(crate) fn photo(kept: &Kept<Photo>) -> wire::Photo {
    let Photo { job, media, caption, width_px, height_px, taken } = &kept.value;
    wire::Photo {
        id: kept.id.to_string(),
        version: version(kept.version),
        job_id: job.to_string(),
        media: media.to_string(),
        caption: caption.clone(),
        width: *width_px,
        height: *height_px,
        taken_at: moment(*taken),
    }
}
