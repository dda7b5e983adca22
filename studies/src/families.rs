//! The families of recordings that the studies draw from. `case FAMILY SEED` looks into one.

mod single;

pub(crate) use single::hard_kinds;

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
    Family { name: "hard", about: "one balance, poor sound of seven kinds", recording: single::hard },
];

/// The family of this name.
pub(crate) fn family(name: &str) -> Option<&'static Family> {
    FAMILIES.iter().find(|f| f.name == name)
}
