//! The trade's formulas, each with its source: what follows from times and angles by arithmetic
//! alone.
//!
//! This crate knows nothing of sound, recordings or storage. Conventions of measure are those of
//! `docs/design/time.md`: a beat is one swing, a rate gains when positive, an amplitude runs from
//! rest to a turning point, and a beat error is half the difference of the two intervals.

mod amplitude;
pub mod balance;
mod beat_error;
pub mod chronometer;
mod clock;
pub mod escapement;
pub mod final_tests;
pub mod findings;
mod gain;
pub mod hands_apart;
pub mod isochronism;
mod least_squares;
pub mod mainspring;
pub mod on_the_wrist;
mod out_of_beat;
pub mod poise;
mod rate;
pub mod rate_sheet;
pub mod regulator;
mod slope_bound;
pub mod stance;
pub mod train;

pub use amplitude::{
    MOST_AMPLITUDE_DEG, amplitude_deg_from_measured_time, amplitude_deg_from_time,
    amplitude_sensitivity_deg_per_s, time_s_from_amplitude,
};
pub use beat_error::{
    beat_error_from_rest_offset, beat_error_ms_from_intervals, rest_offset_deg_from_beat_error,
};
pub use clock::{
    clock_error_ppm_from_reference, rate_corrected_for_clock, rate_s_per_d_with_clock,
};
pub use gain::{gain_s_after, next_coincidence_s};
pub use out_of_beat::{amplitude_factor_out_of_beat, beat_error_s_from_middles};
pub use rate::{rate_s_per_d_from_beat_time, rate_s_per_d_from_beats_per_hour};
pub use slope_bound::{beats_for_rate_sd, least_rate_sd_s_per_d};
