//! What programs read: the formats, written down once. Names here never change; more may be added.

mod measure;
mod numbers;

pub(crate) use measure::{MeasureError, MeasureResult};
