//! The movement whose wheels are looked for in the beats.

use crate::failure::Failure;
use crate::train;
use horology::train::{Cycle, Running};
use std::path::Path;
use std::sync::Arc;

/// Everything that repeats in the movement of a file.
pub(super) fn cycles(path: &Path) -> Result<Arc<[Cycle]>, Failure> {
    let input = train::from_file(path)?;
    if let Some(unknown) = input.calibre.unknowns.first() {
        return Err(Failure::WrongUse(format!(
            "The teeth of the {} are missing: endshake missing-wheel finds them.",
            input.calibre.movement.toothed_name(unknown.at)
        )));
    }
    let movement = &input.calibre.movement;
    let cycles = Running::of(movement).and_then(|running| running.cycles(movement));
    let cycles = cycles.map_err(|impossible| Failure::Unreadable(impossible.to_string()))?;
    Ok(cycles.into())
}
