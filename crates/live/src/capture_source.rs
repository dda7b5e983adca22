use crate::source::{Arrived, Source, SourceFacts};
use audio::capture::{Capture, CaptureError, CaptureWish, Captured};
use audio::clock::{AgainstComputer, ComputerComparison, SynchronisedWatch};
use std::time::{Duration, Instant};

/// The line through the moments is laid this often.
const COMPARE_AGAIN: Duration = Duration::from_secs(10);

/// A device of the system, as a source. Compares its clock with the computer's meanwhile, while
/// that is kept right by time servers.
pub struct CaptureSource {
    capture: Capture,
    facts: SourceFacts,
    begin: Instant,
    /// `None` where the system could not start to watch it.
    watch: Option<SynchronisedWatch>,
    comparison: ComputerComparison,
    compared: Instant,
    against_computer: Option<AgainstComputer>,
}

impl CaptureSource {
    /// Opens a device.
    ///
    /// # Errors
    /// As [`Capture::open`].
    pub fn open(wish: &CaptureWish) -> Result<Self, CaptureError> {
        let capture = Capture::open(wish)?;
        let facts = SourceFacts {
            name: capture.name().to_owned(),
            sample_rate: capture.sample_rate(),
            channels: capture.channels(),
            encoding: capture.encoding(),
        };
        let now = Instant::now();
        let comparison = ComputerComparison::new(facts.sample_rate);
        let watch = SynchronisedWatch::start().ok();
        Ok(Self {
            capture,
            facts,
            begin: now,
            watch,
            comparison,
            compared: now,
            against_computer: None,
        })
    }

    fn compare(&mut self, frames: u64, at: Instant, counted: bool) {
        let synchronised = self.watch.as_ref().is_some_and(SynchronisedWatch::synchronised);
        if !synchronised || !counted {
            self.comparison.clear();
            self.against_computer = None;
        }
        if !synchronised {
            return;
        }
        self.comparison.push(frames, at.duration_since(self.begin).as_secs_f64());
        if self.compared.elapsed() >= COMPARE_AGAIN {
            self.compared = Instant::now();
            self.against_computer = self.comparison.reading();
        }
    }
}

impl Source for CaptureSource {
    fn facts(&self) -> &SourceFacts {
        &self.facts
    }

    fn next(&mut self, into: &mut Vec<f32>, wait: Duration) -> Arrived {
        match self.capture.next(into, wait) {
            Captured::Sound { first_frame, at, counted } => {
                let frames = first_frame + (into.len() / self.facts.channels) as u64;
                self.compare(frames, at, counted);
                Arrived::Sound { first_frame }
            }
            Captured::Nothing => Arrived::Nothing,
            Captured::Gone(why) => Arrived::Gone(why),
        }
    }

    fn against_computer(&self) -> Option<AgainstComputer> {
        self.against_computer
    }
}
