use crate::fields::{Field, Fields};
use crate::id::JobId;
use crate::invalid::{Invalid, Problem};
use crate::media::MediaHash;
use crate::moment::Moment;
use crate::record::{AnyId, Kind, Record};
use crate::text;

/// A photo in a job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photo {
    /// In which job.
    pub job: JobId,
    /// The picture itself.
    pub media: MediaHash,
    /// What it shows.
    pub caption: String,
    /// Width, pixels.
    pub width_px: u32,
    /// Height, pixels.
    pub height_px: u32,
    /// When it was taken.
    pub taken: Moment,
}

impl Record for Photo {
    const KIND: Kind = Kind::Photo;

    fn check(&self) -> Result<(), Invalid> {
        text::line("caption", &self.caption)?;
        for (field, size_px) in [("width", self.width_px), ("height", self.height_px)] {
            if !(1..=SIDE_PX).contains(&size_px) {
                let (is, from, to) = (size_px.to_string(), "1".into(), SIDE_PX.to_string());
                return Err(Invalid::new(field, Problem::OutOfRange { is, from, to }));
            }
        }
        Ok(())
    }

    fn fields(&self) -> Vec<Field> {
        let Self { job, media, caption, width_px, height_px, taken } = self;
        let mut fields = Fields::default();
        fields.put("job", job);
        fields.put("picture", media);
        fields.text("caption", caption);
        fields.put("width in pixels", width_px);
        fields.put("height in pixels", height_px);
        fields.put("taken", taken);
        fields.into_list()
    }

    fn title(&self) -> String {
        if self.caption.is_empty() { "photo".into() } else { self.caption.clone() }
    }

    fn found_by(&self) -> Vec<String> {
        vec![self.caption.clone()]
    }

    fn belongs_to(&self) -> Option<AnyId> {
        Some(AnyId { kind: Kind::Job, uuid: self.job.uuid() })
    }
}

/// Longest side of a picture: what the common picture formats can say in 16 bits.
const SIDE_PX: u32 = 65_535;
