//! The families of recordings that the studies draw from. `case FAMILY SEED` looks into one.

mod edges;
mod many;
mod silent;
mod single;
mod wheels;

pub(crate) use edges::{CLOCK_KINDS, END_KINDS, level_kinds, rate_kinds};
pub(crate) use many::{CELLS, Cell, FAINTER_DB, LAGS_MS, RATE_DIFFERENCES_S_PER_D, cell};
pub(crate) use silent::SILENT_KINDS;
pub(crate) use single::{POOR_KINDS, hard_kinds};
pub(crate) use wheels::{Disturbed, disturbed};

use crate::recordings::Recording;

/// A family: its name, what it holds, and the recording of a seed.
pub(crate) struct Family {
    pub(crate) name: &'static str,
    pub(crate) about: &'static str,
    pub(crate) recording: fn(u64) -> Recording,
}

/// All of them.
pub(crate) const FAMILIES: &[Family] = &[
    Family { name: "one", about: "one balance, clear sound", recording: single::one },
    Family {
        name: "hard",
        about: "one balance, poor sound of seven kinds",
        recording: single::hard,
    },
    Family {
        name: "poor",
        about: "one balance whose lesser shocks hardly stand out of the noise",
        recording: single::poor,
    },
    Family { name: "two", about: "two balances, a cell of the map", recording: many::two },
    Family {
        name: "crossing",
        about: "beats that run through each other",
        recording: many::crossing,
    },
    Family { name: "faint", about: "a second balance 6 to 11 dB fainter", recording: many::faint },
    Family { name: "locked", about: "one rate, constant phase", recording: many::locked },
    Family { name: "together", about: "two that beat as one", recording: many::together },
    Family { name: "mixed", about: "two of different beat", recording: many::mixed },
    Family { name: "three", about: "three balances", recording: many::three },
    Family { name: "pickups", about: "a pickup at each of two balances", recording: many::pickups },
    Family { name: "dull-two", about: "two through a case", recording: many::dull_two },
    Family { name: "rates", about: "sample rates of 8 to 192 kHz", recording: edges::rates },
    Family { name: "levels", about: "quantised, faint, clipped", recording: edges::levels },
    Family { name: "ends", about: "starts or stops within", recording: edges::ends },
    Family { name: "clock", about: "recorder's clock unknown or known", recording: edges::clock },
    Family { name: "none", about: "no watch, six kinds", recording: silent::none },
];

/// The families of the study `several`.
pub(crate) const SEVERAL: [&str; 8] =
    ["crossing", "faint", "locked", "together", "mixed", "three", "pickups", "dull-two"];

/// The family of this name.
pub(crate) fn family(name: &str) -> Option<&'static Family> {
    FAMILIES.iter().find(|f| f.name == name)
}
