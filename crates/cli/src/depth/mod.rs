//! `endshake depth`: sizes of wheels.

mod told;

use crate::arguments::{DepthWishes, TextOrJson};
use crate::failure::{Failure, Status};
use crate::printed;
use crate::text::Ink;
use crate::wire::{self, DepthResult};
use clap::ColorChoice;
use horology::train::depth::{
    Addenda, BadDepth, Depth, barrel_diameter_mm, escape_wheel_diameter_mm,
};
use quantities::Measured;

/// What was asked for, in numbers.
pub(crate) enum Sizes {
    /// A wheel and a pinion.
    Pair(Pair),
    /// Full diameter of an escape wheel.
    EscapeWheel { teeth: u32, over_three_teeth_mm: Measured, full_diameter_mm: Measured },
    /// Diameter of a barrel's wheel, usual and most.
    Barrel { plate_diameter_mm: f64, usual_mm: f64, most_mm: f64 },
}

/// Sizes of a wheel and its pinion.
pub(crate) struct Pair {
    pub(crate) wheel: u32,
    pub(crate) pinion: u32,
    pub(crate) depth: Depth,
    pub(crate) addenda: Addenda,
    pub(crate) wheel_full_diameter_mm: Measured,
    pub(crate) pinion_full_diameter_mm: Measured,
}

/// Carries the command out.
pub(crate) fn run(wishes: &DepthWishes, color: ColorChoice) -> Result<Status, Failure> {
    let sizes = sizes(wishes)?;
    printed::whole(&match wishes.format {
        TextOrJson::Json => wire::line(&DepthResult::of(&sizes)),
        TextOrJson::Text => told::text(&sizes, Ink::for_output(color)),
    })
}

fn sizes(wishes: &DepthWishes) -> Result<Sizes, Failure> {
    let bad = |bad: BadDepth| Failure::WrongUse(bad.to_string());
    let measured = |mm: f64| Measured::new(mm, wishes.sd_mm);
    if let (Some(teeth), Some(over)) = (wishes.escape_teeth, wishes.over_three_teeth_mm) {
        let (teeth, over_three_teeth_mm) = (u32::from(teeth), measured(over));
        let full_diameter_mm = escape_wheel_diameter_mm(teeth, over_three_teeth_mm).map_err(bad)?;
        return Ok(Sizes::EscapeWheel { teeth, over_three_teeth_mm, full_diameter_mm });
    }
    if let Some(plate_diameter_mm) = wishes.plate_diameter_mm {
        let (usual_mm, most_mm) = barrel_diameter_mm(plate_diameter_mm).map_err(bad)?;
        return Ok(Sizes::Barrel { plate_diameter_mm, usual_mm, most_mm });
    }
    let (Some(wheel), Some(pinion)) = (wishes.wheel, wishes.pinion) else {
        return Err(Failure::WrongUse(
            "Say what is sought: the sizes of --wheel and --pinion, those of an escape wheel with \
             --escape-teeth, or the barrel for --plate-diameter-mm."
                .into(),
        ));
    };
    let (wheel, pinion) = (u32::from(wheel), u32::from(pinion));
    let depth = match (wishes.centre_distance_mm, wishes.module_mm) {
        (Some(mm), _) => Depth::from_centre_distance(wheel, pinion, measured(mm)),
        (None, Some(mm)) => Depth::from_module(wheel, pinion, measured(mm)),
        (None, None) => {
            return Err(Failure::WrongUse(
                "Wheel and pinion want a size: --centre-distance-mm, or --module-mm.".into(),
            ));
        }
    };
    let depth = depth.map_err(bad)?;
    let usual = Addenda::usual(pinion);
    let addenda = Addenda {
        wheel_modules: wishes.wheel_addendum.unwrap_or(usual.wheel_modules),
        pinion_modules: wishes.pinion_addendum.unwrap_or(usual.pinion_modules),
    };
    Ok(Sizes::Pair(Pair {
        wheel,
        pinion,
        depth,
        addenda,
        wheel_full_diameter_mm: depth.wheel_full_diameter_mm(addenda).map_err(bad)?,
        pinion_full_diameter_mm: depth.pinion_full_diameter_mm(addenda).map_err(bad)?,
    }))
}
