//! Sound from the system's own devices.
//!
//! [`devices`] lists what can be opened; [`Capture`] opens one and hands out what comes, block by
//! block, with the number of each block's first frame. What the system could not deliver in time is
//! found by those numbers. Where a device goes, [`Capture`] waits for it and goes on.

mod devices;
mod failure;
mod format;
mod hush;
mod stream;

pub use devices::{CaptureDevice, DeviceFormat, devices};
pub use failure::CaptureError;

use crate::Encoding;
use format::Chosen;
use quantities::SampleRate;
use std::time::{Duration, Instant};
use stream::{Running, Trouble};

/// A device that is gone is looked for this often.
const LOOK_AGAIN: Duration = Duration::from_secs(1);
/// A device that gives nothing for so long is taken for gone ...
const STALLED: Duration = Duration::from_secs(4);
/// ... but for the first of it, for which some sound systems take seconds.
const NEVER_BEGAN: Duration = Duration::from_secs(15);

/// What to open. What is left open the device decides.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CaptureWish {
    /// Name of a device as [`devices`] gives it, or part of it that only one has.
    pub device: Option<String>,
    /// Samples a second of each channel; else 48,000 where the device has it.
    pub sample_rate: Option<SampleRate>,
    /// Channels; else what the device has, at most two.
    pub channels: Option<usize>,
}

/// What came from a device.
#[derive(Debug, Clone, PartialEq)]
pub enum Captured {
    /// Sound, in whole frames.
    Sound {
        /// Number of the first frame, from the start of capture, lost ones counted.
        first_frame: u64,
        /// When its last frame had come, by the system's steady clock; late by what the system
        /// took to hand it over.
        at: Instant,
        /// Whether the numbers have been counted without a break since the block before. After
        /// a break they are right to some milliseconds only.
        counted: bool,
    },
    /// Nothing within the time that was waited.
    Nothing,
    /// The device is gone, with a sentence; asked again, it is looked for again.
    Gone(String),
}

/// An open device.
pub struct Capture {
    name: String,
    chosen: Chosen,
    running: Option<Running>,
    /// Frames after the last block, and when that came.
    next_frame: u64,
    last: Option<Instant>,
    /// When the stream was started that has given nothing yet.
    begun: Option<Instant>,
    looked: Instant,
    gone: String,
}

impl Capture {
    /// Opens a device and starts it.
    ///
    /// # Errors
    /// [`CaptureError`], which says what to do.
    pub fn open(wish: &CaptureWish) -> Result<Self, CaptureError> {
        let (device, name) = devices::find(wish.device.as_deref())?;
        let chosen = format::choose(&device, &name, wish)?;
        let running = Running::start(&device, &name, &chosen)?;
        let now = Instant::now();
        Ok(Self {
            name,
            chosen,
            running: Some(running),
            next_frame: 0,
            last: None,
            begun: Some(now),
            looked: now,
            gone: String::new(),
        })
    }

    /// The device's name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Nominal samples a second of each channel.
    #[must_use]
    pub fn sample_rate(&self) -> SampleRate {
        self.chosen.sample_rate
    }

    /// Channels.
    #[must_use]
    pub fn channels(&self) -> usize {
        self.chosen.channels
    }

    /// 16 bits where the device gives 16 or fewer, else 24.
    #[must_use]
    pub fn encoding(&self) -> Encoding {
        self.chosen.encoding()
    }

    /// Puts the next block of interleaved samples, full scale ±1, into `into`, which is empty;
    /// waits for it about so long.
    pub fn next(&mut self, into: &mut Vec<f32>, wait: Duration) -> Captured {
        let Some(running) = &mut self.running else { return self.look_again(wait) };
        if let Some(block) = running.next(into, wait) {
            let frames = (into.len() / self.chosen.channels) as u64;
            let is_first = self.begun.take().is_some();
            if let (true, Some(last)) = (is_first, self.last) {
                // Each stream counts from nought. What it would have given while it was away, to some
                // milliseconds.
                let away_s = block.at.saturating_duration_since(last).as_secs_f64();
                let away = (away_s * self.chosen.sample_rate.hz()) as u64;
                running.begins_at = self.next_frame + away.saturating_sub(frames);
            }
            let first_frame = running.begins_at + block.first_frame;
            self.next_frame = first_frame + frames;
            self.last = Some(block.at);
            let counted = block.counted && !is_first;
            return Captured::Sound { first_frame, at: block.at, counted };
        }
        let why = match running.trouble() {
            Some(Trouble::Gone(why)) => why,
            None => {
                let silent = match (self.begun, self.last) {
                    (Some(begun), _) => begun.elapsed() > NEVER_BEGAN,
                    (None, Some(last)) => last.elapsed() > STALLED,
                    (None, None) => false,
                };
                if !silent {
                    return Captured::Nothing;
                }
                "it gives no sound".into()
            }
        };
        self.running = None;
        self.looked = Instant::now();
        self.gone = format!(
            "“{}” is gone ({why}): plug it in again; listening goes on when it is back.",
            self.name
        );
        Captured::Gone(self.gone.clone())
    }

    fn look_again(&mut self, wait: Duration) -> Captured {
        if self.looked.elapsed() < LOOK_AGAIN {
            std::thread::sleep(wait);
            return Captured::Gone(self.gone.clone());
        }
        self.looked = Instant::now();
        let found = devices::find_exactly(&self.name).ok();
        let found = found.and_then(|d| Running::start(&d, &self.name, &self.chosen).ok());
        let Some(running) = found else { return Captured::Gone(self.gone.clone()) };
        self.running = Some(running);
        self.begun = Some(Instant::now());
        Captured::Nothing
    }
}
