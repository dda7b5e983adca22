//! The recorder's own clock, from a recording of something that is known to be right.
//!
//! `true sample rate = nominal (1 + ppm/1e6)`: a step that truly takes 1 s and takes 0.999 978
//! nominal seconds in the recording means an error of -22 ppm.
//!
//! | what there is | what to use |
//! |---|---|
//! | a stepping quartz movement, or anything that ticks with a known period | [`SteppingListener`] |
//! | two or more moments of one unbroken recording whose true times are known | [`error_from_marks`] |
//! | such moments, to be found as sharp sounds (a clap, a pip of a time signal) | [`MarkListener`] |
//! | a recording whose true length is known | [`error_from_elapsed`] |
//! | a live device, and a computer whose clock is kept right | [`ComputerComparison`] |
//!
//! A repairer does best with a quartz movement laid on the microphone for two minutes, once its own
//! rate has been followed for some weeks. Without one: a recording left running from one day to
//! the next, with the pip of a time signal or a clap on a radio-controlled clock's full minute at
//! either end; 0.1 s of reaction is 1.6 ppm over a day, and 20 ppm over two hours. Two recordings
//! that do not follow on from each other say nothing: what the recorder did between them was not
//! counted.
//!
//! # How a stepping reference is read
//!
//! 1. Short-time spectra against the noise in each band; fold at the known period, ± 1,000 ppm.
//! 2. A line in the plane of phase against time is the reference. Pulses as strong at even
//!    divisions of the period are a watch, and are refused.
//! 3. From the line: the band in which the steps stand above the noise, the two alternating kinds
//!    of step (the motor's coil is driven one way and the other), each averaged into a template.
//! 4. Each step's arrival by matched filter, to a small part of a sample; a step that resembles its
//!    template no more than the noise does is left out. The step's own sound is left out of the
//!    template that it is compared with.
//! 5. A robust line through the arrivals; its slope is the error. Where samples were lost the line
//!    is broken, not bent. The standard deviation comes from the residuals, with what slow waves in
//!    them add.
//!
//! Memory does not grow with the length of the recording but for a few numbers a step.

mod against_computer;
mod bench;
mod failure;
mod fit;
mod intake;
mod jumps;
mod lesson;
mod listener;
mod mark_listener;
mod marks;
mod novelty;
mod pulse_line;
mod reading;
mod reference;
mod spread;
mod synchronised;
mod track;
mod voice;
mod waveform;

pub use against_computer::{AgainstComputer, ComputerComparison};
pub use failure::ClockFailure;
pub use listener::SteppingListener;
pub use mark_listener::{FoundMark, MarkListener, MarkNotFound, MarkPlace};
pub use marks::{Mark, MarksFailure, MarksReading, error_from_elapsed, error_from_marks};
pub use reading::{ClockReading, ClockWarning, GOOD_SD_PPM, MOST_POINTS, StepPoint};
pub use reference::{PeriodOutOfRange, Reference, ReferencePeriod};
pub use synchronised::{SynchronisedWatch, computer_is_synchronised};
