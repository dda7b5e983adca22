//! Linear filters: Butterworth designs as second-order sections, windowed-sinc FIR designs, and
//! what runs them sample by sample.
//!
//! | piece | what it is |
//! |---|---|
//! | [`butterworth`] | low-, high- and band-pass designs for a given sample rate |
//! | [`Sections`] | a designed filter; its frequency and impulse response |
//! | [`Cascade`] | runs [`Sections`] over a stream (direct form II transposed) |
//! | [`Bank`] | runs many band-passes over one stream in one go |
//! | [`fir`], [`kaiser_design`] | windowed-sinc designs, Kaiser window |
//! | [`Fir`] | runs a set of FIR taps over a stream |
//!
//! A sample that is not a finite number counts as silence everywhere in this module: one broken
//! sample of a float recording must not ring in a recursive filter for ever.

mod bank;
mod butterworth;
mod cascade;
mod fir;
mod sections;

use std::fmt;

pub use bank::Bank;
pub use butterworth::{MAX_ORDER, butterworth};
pub use cascade::Cascade;
pub use fir::{Fir, KaiserDesign, MAX_TAPS, fir, kaiser_beta, kaiser_design};
pub use sections::{Section, Sections};

/// Which frequencies pass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Pass {
    /// Below `cutoff_hz`.
    Low {
        /// Edge, hertz; -3 dB for a Butterworth design, -6 dB for a windowed sinc.
        cutoff_hz: f64,
    },
    /// Above `cutoff_hz`.
    High {
        /// Edge, hertz; -3 dB for a Butterworth design, -6 dB for a windowed sinc.
        cutoff_hz: f64,
    },
    /// Between `low_hz` and `high_hz`.
    Band {
        /// Lower edge, hertz.
        low_hz: f64,
        /// Upper edge, hertz.
        high_hz: f64,
    },
}

/// Why a filter cannot be designed.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum FilterError {
    /// The sample rate is not a positive finite number.
    SampleRate {
        /// What was given, hertz.
        sample_rate_hz: f64,
    },
    /// An edge is not between zero and half the sample rate, or the edges are in the wrong order.
    Edge {
        /// The edge that does not fit, hertz.
        edge_hz: f64,
        /// Half the sample rate, hertz.
        half_rate_hz: f64,
    },
    /// The order or the number of taps is outside what this module designs.
    Order {
        /// What was given.
        given: usize,
        /// Smallest that is allowed.
        least: usize,
        /// Largest that is allowed.
        most: usize,
    },
    /// The shape parameter of a Kaiser window is negative or absurdly large.
    WindowShape {
        /// What was given.
        given: f64,
        /// Largest that is allowed.
        most: f64,
    },
    /// A width or attenuation is not a positive finite number.
    NotPositive {
        /// What it is.
        what: &'static str,
        /// What was given.
        given: f64,
    },
}

impl fmt::Display for FilterError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Self::SampleRate { sample_rate_hz } => {
                write!(
                    f,
                    "a sample rate of {sample_rate_hz} Hz cannot be used: give a positive one"
                )
            }
            Self::Edge { edge_hz, half_rate_hz } => write!(
                f,
                "a band edge of {edge_hz} Hz does not fit: edges rise and lie between 0 and \
                 {half_rate_hz} Hz, half the sample rate"
            ),
            Self::Order { given, least, most } => {
                write!(
                    f,
                    "a filter order or length of {given} is not offered: use {least} to {most}"
                )
            }
            Self::WindowShape { given, most } => {
                write!(f, "a Kaiser window of shape {given} is not offered: use 0 to {most}")
            }
            Self::NotPositive { what, given } => {
                write!(f, "the {what} is {given}: it must be a positive number")
            }
        }
    }
}

impl std::error::Error for FilterError {}

/// Checks sample rate and edges; what every design needs first.
fn check_pass(pass: Pass, sample_rate_hz: f64) -> Result<(), FilterError> {
    if !(sample_rate_hz.is_finite() && sample_rate_hz > 0.0) {
        return Err(FilterError::SampleRate { sample_rate_hz });
    }
    let half_rate_hz = sample_rate_hz / 2.0;
    let inside = |edge_hz: f64| {
        if edge_hz > 0.0 && edge_hz < half_rate_hz {
            Ok(())
        } else {
            Err(FilterError::Edge { edge_hz, half_rate_hz })
        }
    };
    match pass {
        Pass::Low { cutoff_hz } | Pass::High { cutoff_hz } => inside(cutoff_hz),
        Pass::Band { low_hz, high_hz } => {
            inside(low_hz)?;
            inside(high_hz)?;
            if low_hz < high_hz {
                Ok(())
            } else {
                Err(FilterError::Edge { edge_hz: high_hz, half_rate_hz })
            }
        }
    }
}

/// The sample as the filters see it: what is not finite counts as silence.
#[inline(always)]
fn finite_or_zero(sample: f32) -> f64 {
    if sample.is_finite() { f64::from(sample) } else { 0.0 }
}
