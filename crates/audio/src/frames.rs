use quantities::SampleRate;

use crate::MOST_CHANNELS;
use crate::damage::DamageLog;
use crate::error::AudioError;

/// What a recording is made of, known once its first block has been decoded.
#[derive(Debug, Clone)]
pub(crate) struct Shape {
    pub(crate) rate_hz: u32,
    pub(crate) channels: usize,
    /// For people, e.g. `FLAC`, `AAC in MP4`.
    pub(crate) format: String,
    /// Frames in the file as far as its header says and its size allows.
    pub(crate) frames_hint: Option<u64>,
}

impl Shape {
    /// The sample rate, where rate and channels are within what the rest of the program can use.
    pub(crate) fn check(&self) -> Result<SampleRate, AudioError> {
        let unsupported = |what: String| AudioError::Unsupported {
            what,
            instead: "record at 44.1 or 48 kHz with one or two channels",
        };
        if self.channels == 0 {
            return Err(AudioError::Damaged { what: "it says that it has no channels".into() });
        }
        if self.channels > MOST_CHANNELS {
            let channels = self.channels;
            return Err(unsupported(format!(
                "it has {channels} channels, more than {MOST_CHANNELS}"
            )));
        }
        let rate_hz = self.rate_hz;
        if rate_hz == 0 {
            return Err(AudioError::Damaged { what: "it says that its sample rate is 0".into() });
        }
        SampleRate::from_hz(f64::from(rate_hz)).map_err(|_| {
            unsupported(format!("its sample rate of {rate_hz} Hz is not between 8 and 384 kHz"))
        })
    }
}

/// A decoder of one kind of file: frames one block after the other, no gaps in time.
pub(crate) trait FrameSource: Send {
    /// What the blocks hold.
    fn shape(&self) -> &Shape;

    /// Appends the next block of interleaved samples; `false` at the end. A block is never empty.
    fn next_block(
        &mut self,
        into: &mut Vec<f32>,
        damage: &mut DamageLog,
    ) -> Result<bool, AudioError>;

    /// Moves forward to at most this frame without decoding, where that is exact and cheap.
    /// Gives the frames now behind. Called before the first block only.
    fn skip(&mut self, _frames: u64) -> Result<u64, AudioError> {
        Ok(0)
    }
}
