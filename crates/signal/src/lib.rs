//! General signal processing over slices: spectra, shaping filters, envelopes, repetition
//! search, folding, arrival times, periodograms, line fits.
//!
//! Knows nothing of watches, files or devices.

mod comb;
mod crosstalk;
mod envelope;
mod lagged;
mod line_plane;
mod minimum_phase;
mod phase_lines;
mod shaping;
mod short_time;

pub use comb::{CombPeak, CombSpectrum};
pub use crosstalk::{Crosstalk, FilterReach, share_left};
pub use envelope::power_envelope;
pub use lagged::lagged_sums;
pub use minimum_phase::MinimumPhase;
pub use phase_lines::{PhaseLine, PhaseTime};
pub use shaping::{Symmetric, lay_on_noise, second_difference};
pub use short_time::{ShortTime, Spectrogram};

pub mod filter;
pub mod line_fit;
pub mod periodogram;
pub mod robust;
pub mod special;
