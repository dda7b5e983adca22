//! Hears the balances in the sound of a watch: samples and settings in; balances, readings,
//! relation and warnings out. The same code reads whole files and live sound.
//!
//! This crate opens no file, reads no clock, starts no thread and knows no JSON.

mod account;
mod anatomy;
mod beat_times;
mod blend;
mod company;
mod ear;
mod listener;
mod matching;
mod onset;
mod phase_fit;
mod reading;
mod relation;
mod search;
mod settings;
mod shape;
mod shocks;
mod stretch;
mod track;
mod trains;
mod voice;
mod warning;

pub use listener::Listener;
pub use reading::{
    AveragedBeat, BalanceReading, CoursePoint, DriftPoint, Periodogram, PeriodogramPeak, Reading,
    Relation, RelationState, Side,
};
pub use settings::Settings;
pub use warning::{Warning, WarningCode};
