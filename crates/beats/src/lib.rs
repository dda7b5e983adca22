//! Hears the balances in the sound of a watch: samples and settings in; balances, readings,
//! relation and warnings out. The same code reads whole files and live sound.
//!
//! This crate opens no file, reads no clock, starts no thread and knows no JSON.

mod listener;
mod reading;
mod settings;
mod warning;

pub use listener::Listener;
pub use reading::{
    AveragedBeat, BalanceReading, CoursePoint, DriftPoint, Periodogram, PeriodogramPeak, Reading,
    Relation, RelationState, Side,
};
pub use settings::Settings;
pub use warning::{Warning, WarningCode};
