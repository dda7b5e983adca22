use audio::Encoding;
use audio::clock::AgainstComputer;
use quantities::SampleRate;
use std::time::Duration;

/// What a source of sound is. It stays the same for as long as the source lives.
#[derive(Debug, Clone, PartialEq)]
pub struct SourceFacts {
    /// The device's name, or the file's.
    pub name: String,
    /// Nominal samples a second of each channel.
    pub sample_rate: SampleRate,
    /// Channels, at least one.
    pub channels: usize,
    /// What its samples are: those of 16 bits are kept as such, all others with 24 bits.
    pub encoding: Encoding,
}

/// What a source has to give.
#[derive(Debug, Clone, PartialEq)]
pub enum Arrived {
    /// Sound, in whole frames.
    Sound {
        /// Number of its first frame (one sample of every channel), counted since the source
        /// began. Where it is not the one that follows, frames in between were lost.
        first_frame: u64,
    },
    /// Nothing within the time that was waited.
    Nothing,
    /// The device is gone; asked again, the source says when it is back.
    Gone(String),
    /// There will be no more sound, and why where that was not to be expected.
    End(Option<String>),
}

/// Where sound comes from, block by block.
pub trait Source: Send {
    /// What it is.
    fn facts(&self) -> &SourceFacts;

    /// Puts the next interleaved samples, full scale ±1, into `into`, which is empty. Waits for them
    /// for about so long.
    fn next(&mut self, into: &mut Vec<f32>, wait: Duration) -> Arrived;

    /// What is known of its clock against the computer's, where that is kept right.
    fn against_computer(&self) -> Option<AgainstComputer> {
        None
    }
}

impl<S: Source + ?Sized> Source for Box<S> {
    fn facts(&self) -> &SourceFacts {
        (**self).facts()
    }

    fn next(&mut self, into: &mut Vec<f32>, wait: Duration) -> Arrived {
        (**self).next(into, wait)
    }

    fn against_computer(&self) -> Option<AgainstComputer> {
        (**self).against_computer()
    }
}
