//! What programs read: the formats, written down once. Names here never change; more may be added.

mod archive;
mod backup;
mod balance;
mod check;
mod chronometer;
mod clock;
mod depth;
mod detail;
mod disturbed;
mod doctor;
mod escapement;
mod hairspring;
#[cfg(feature = "capture")]
mod listen;
mod mainspring;
mod measure;
mod missing_wheel;
mod numbers;
mod plan;
mod rates;
mod temperature;
mod train;
mod truth;

pub(crate) use archive::{
    ArchiveChecked, ArchiveRead, ArchiveWritten, PaperRecordsResult, SeriesWritten, Unheard,
};
pub(crate) use backup::BackupResult;
pub(crate) use balance::BalanceResult;
pub(crate) use check::CheckResult;
pub(crate) use chronometer::{ChronometerResult, ScheduleResult};
pub(crate) use clock::ClockResult;
pub(crate) use depth::DepthResult;
pub(crate) use detail::side;
pub(crate) use doctor::DoctorResult;
pub(crate) use escapement::EscapementResult;
pub(crate) use hairspring::HairspringResult;
#[cfg(feature = "capture")]
pub(crate) use listen::{DevicesResult, ListenLine};
pub(crate) use mainspring::MainspringResult;
pub(crate) use measure::{MeasureError, MeasureResult, state};
pub(crate) use missing_wheel::MissingWheelResult;
pub(crate) use plan::PlanResult;
pub(crate) use rates::RatesResult;
pub(crate) use temperature::TemperatureOutcome;
pub(crate) use train::TrainResult;
pub(crate) use truth::TruthResult;

use serde::Serialize;

/// One line of JSON. Our own types always have one: no maps with odd keys are among them.
pub(crate) fn line<T: Serialize>(value: &T) -> String {
    serde_json::to_string(value).map_or_else(|_| String::new(), |json| json + "\n")
}

/// The same over several lines, for files that people look into.
pub(crate) fn lines<T: Serialize>(value: &T) -> String {
    serde_json::to_string_pretty(value).map_or_else(|_| String::new(), |json| json + "\n")
}
