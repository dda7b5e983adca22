//! What programs read: the formats, written down once. Names here never change; more may be added.

mod clock;
mod detail;
mod measure;
mod numbers;

pub(crate) use clock::ClockResult;
pub(crate) use measure::{MeasureError, MeasureResult, state};
