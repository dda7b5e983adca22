//! The averaged beats as the reading shows them.

use crate::reading::{AveragedBeat, Side};
use crate::stretch::Picture;

/// Tick and tock, loudness relative to the loudest place of both.
pub(crate) fn averaged_beats(pictures: Option<&[Picture; 2]>) -> Vec<AveragedBeat> {
    let Some(pictures) = pictures else { return Vec::new() };
    let top =
        pictures.iter().flat_map(|p| p.mean.iter().copied()).fold(f32::MIN_POSITIVE, f32::max);
    pictures
        .iter()
        .zip([Side::Tick, Side::Tock])
        .map(|(p, side)| AveragedBeat {
            side,
            start_ms: -1e3 * p.origin * p.step_s,
            step_ms: 1e3 * p.step_s,
            mean: p.mean.iter().map(|v| f64::from((v / top).max(0.0))).collect(),
            spread: p.spread.iter().map(|v| f64::from(v / top)).collect(),
            unlocking_ms: p.marks_s[0].map(|m| 1e3 * m),
            impulse_ms: p.marks_s[1].map(|m| 1e3 * m),
            drop_ms: p.marks_s[2].map(|m| 1e3 * m),
        })
        .collect()
}
