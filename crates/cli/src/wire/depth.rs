//! `endshake.depth/1`: what `depth --format json` prints.

use super::numbers::WithSd;
use crate::depth::{Pair, Sizes};
use serde::Serialize;

/// Sizes of wheels.
#[derive(Debug, Serialize)]
pub(crate) struct DepthResult {
    schema: &'static str,
    #[serde(flatten)]
    sizes: SizesResult,
}

#[derive(Debug, Serialize)]
#[serde(tag = "of", rename_all = "snake_case")]
enum SizesResult {
    Pair(PairResult),
    EscapeWheel { teeth: u32, over_three_teeth_mm: WithSd, full_diameter_mm: WithSd },
    Barrel { plate_diameter_mm: f64, usual_diameter_mm: f64, most_diameter_mm: f64 },
}

#[derive(Debug, Serialize)]
struct PairResult {
    module_mm: WithSd,
    centre_distance_mm: WithSd,
    wheel: ToothedResult,
    pinion: ToothedResult,
}

#[derive(Debug, Serialize)]
struct ToothedResult {
    teeth: u32,
    pitch_radius_mm: WithSd,
    addendum_modules: f64,
    full_diameter_mm: WithSd,
}

impl DepthResult {
    pub(crate) fn of(sizes: &Sizes) -> Self {
        let sizes = match sizes {
            Sizes::Pair(pair) => SizesResult::Pair(PairResult::of(pair)),
            Sizes::EscapeWheel { teeth, over_three_teeth_mm, full_diameter_mm } => {
                SizesResult::EscapeWheel {
                    teeth: *teeth,
                    over_three_teeth_mm: (*over_three_teeth_mm).into(),
                    full_diameter_mm: (*full_diameter_mm).into(),
                }
            }
            Sizes::Barrel { plate_diameter_mm, usual_mm, most_mm } => SizesResult::Barrel {
                plate_diameter_mm: *plate_diameter_mm,
                usual_diameter_mm: *usual_mm,
                most_diameter_mm: *most_mm,
            },
        };
        Self { schema: "endshake.depth/1", sizes }
    }
}

impl PairResult {
    fn of(pair: &Pair) -> Self {
        let depth = &pair.depth;
        Self {
            module_mm: depth.module_mm().into(),
            centre_distance_mm: depth.centre_distance_mm().into(),
            wheel: ToothedResult {
                teeth: pair.wheel,
                pitch_radius_mm: depth.wheel_pitch_radius_mm().into(),
                addendum_modules: pair.addenda.wheel_modules,
                full_diameter_mm: pair.wheel_full_diameter_mm.into(),
            },
            pinion: ToothedResult {
                teeth: pair.pinion,
                pitch_radius_mm: depth.pinion_pitch_radius_mm().into(),
                addendum_modules: pair.addenda.pinion_modules,
                full_diameter_mm: pair.pinion_full_diameter_mm.into(),
            },
        }
    }
}
