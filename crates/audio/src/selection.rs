use crate::error::AudioError;

/// Which part of a recording to read.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Selection {
    /// Where to start, seconds from the start of the file; rounded to the nearest sample.
    pub start_s: f64,
    /// How much to read, seconds, rounded to the nearest sample; `None` for all that follows.
    pub length_s: Option<f64>,
    /// Which channels.
    pub channels: Channels,
}

/// Which channels of a recording to read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Channels {
    /// All of them, interleaved as in the file.
    #[default]
    All,
    /// One, counted from 0.
    One(usize),
    /// The mean of all, as one channel.
    Mix,
}

/// Longest start and length that can be asked for: ten years, so that sample counts stay far from
/// the ends of their integers.
const LONGEST_S: f64 = 10.0 * 366.0 * 86_400.0;

impl Selection {
    /// Frames to leave out and frames to read, at `rate_hz`.
    pub(crate) fn in_frames(&self, rate_hz: f64) -> Result<(u64, Option<u64>), AudioError> {
        let frames = |name: &str, seconds: f64| {
            if (0.0..=LONGEST_S).contains(&seconds) {
                // In range by the line above.
                Ok((seconds * rate_hz).round() as u64)
            } else {
                Err(AudioError::Selection(format!(
                    "The {name} of {seconds} s cannot be used: give zero or more seconds."
                )))
            }
        };
        let length = match self.length_s {
            Some(seconds) => Some(frames("length", seconds)?),
            None => None,
        };
        if length == Some(0) {
            return Err(AudioError::Selection(
                "A length of nothing was asked for: give more than zero seconds.".into(),
            ));
        }
        Ok((frames("start", self.start_s)?, length))
    }
}

impl Channels {
    /// Channels that come out of `in_file` channels.
    pub(crate) fn count(self, in_file: usize) -> Result<usize, AudioError> {
        match self {
            Self::All => Ok(in_file),
            Self::Mix => Ok(1),
            Self::One(index) if index < in_file => Ok(1),
            Self::One(index) => Err(AudioError::Selection(format!(
                "Channel {} was asked for but the recording has {in_file}: choose one of those.",
                index.saturating_add(1),
            ))),
        }
    }

    /// Appends the chosen channels of `frames` (interleaved, `in_file` channels) to `into`.
    pub(crate) fn pick(self, frames: &[f32], in_file: usize, into: &mut Vec<f32>) {
        match self {
            Self::All => into.extend_from_slice(frames),
            Self::One(index) => into.extend(frames.iter().skip(index).step_by(in_file)),
            Self::Mix => {
                let share = 1.0 / in_file as f32;
                into.extend(frames.chunks_exact(in_file).map(|f| f.iter().sum::<f32>() * share));
            }
        }
    }
}
