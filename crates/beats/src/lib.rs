//! Hears the balances in the sound of a watch: samples and settings in; balances, readings,
//! relation and warnings out. The same code reads whole files and live sound.
//!
//! This crate opens no file, reads no clock, starts no thread and knows no JSON.

mod account;
mod amplitudes;
mod anatomy;
mod averaged;
mod beat_times;
mod beside;
mod blend;
mod breaks;
mod changing;
mod channels;
mod company;
mod disturbed;
mod doubled;
mod ear;
mod faint_unlocking;
mod groups;
mod intake;
mod listener;
mod matching;
mod multiples;
mod neighbours;
mod never_apart;
mod onset;
mod partition;
mod partly;
mod phase_fit;
mod place;
#[cfg(test)]
mod pretend;
mod quiet;
mod rate_course;
mod rate_fit;
mod reading;
mod relation;
mod remarks;
mod ripples;
mod search;
mod settings;
mod shape;
mod shocks;
mod side_shocks;
mod stretch;
mod told;
mod track;
mod tracks;
mod trains;
mod under_another;
mod unmix;
mod voice;
mod warning;

pub use disturbed::{Disturbed, DisturbedSeries, Repeats, usual_cycles_at};
pub use listener::{Detail, Listener};
pub use reading::{
    AveragedBeat, BalanceReading, CoursePoint, DriftPoint, Periodogram, PeriodogramPeak, Reading,
    Relation, RelationState, Side,
};
pub use search::HEARD_BEATS_PER_HOUR;
pub use settings::Settings;
pub use warning::{Warning, WarningCode};
