//! Pictures of a reading: `plot`'s inputs filled from what `beats` gives. The command line, the
//! server and reports draw the same pictures through these.

mod beats_of;
mod drift;
mod series;

pub use beats_of::{amplitude_scale, beats};
pub use drift::{drift, scatter, scatter_where_hidden};
pub use series::{courses, periodogram, periodograms};

use plot::Value;
use quantities::Measured;

/// A measured value as `plot` takes it.
#[must_use]
pub fn value(measured: Measured) -> Value {
    Value::new(measured.value, measured.sd)
}

fn side(side: beats::Side) -> plot::Side {
    match side {
        beats::Side::Tick => plot::Side::Tick,
        beats::Side::Tock => plot::Side::Tock,
    }
}
