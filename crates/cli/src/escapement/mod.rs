//! `endshake escapement`: the lever escapement by its angles.

mod told;

use crate::arguments::{EscapementWishes, MarkWish, TextOrJson};
use crate::failure::{Failure, Status};
use crate::printed;
use crate::text::Ink;
use crate::wire::{self, EscapementResult};
use clap::ColorChoice;
use horology::escapement::{
    EscapementError, LeverAngles, LeverWork, SightMark, drop_at_wheel_mm, drop_deg_from_widths,
    free_arc_deg, lift_from_amplitude_by_sight, locking_arc_deg,
};
use quantities::{LiftAngle, Measured};

/// Seconds in a millisecond.
const S_PER_MS: f64 = 1e-3;

/// Everything that was asked for.
#[derive(Default)]
pub(crate) struct Told {
    /// Amplitude that was seen and the lift angle that follows, degrees.
    pub(crate) by_sight: Option<(Measured, Measured)>,
    pub(crate) work: Option<LeverWork>,
    /// Degrees of the whole arc that are free of the fork.
    pub(crate) free_arc_deg: Option<f64>,
    pub(crate) locking_arc_deg: Option<f64>,
    pub(crate) drop_deg: Option<f64>,
    pub(crate) drop_mm: Option<f64>,
}

/// Carries the command out.
pub(crate) fn run(wishes: &EscapementWishes, color: ColorChoice) -> Result<Status, Failure> {
    let told = told(wishes)
        .map_err(|error| Failure::WrongUse(words::regulating::sentence(&error.to_string())))?;
    let Some(told) = told else {
        return Err(Failure::WrongUse(
            "Say what is known: --at with the time from unlocking to drop, the angles of the fork \
             with --lock-deg, or --teeth with --spans or the widths; --swings-deg wants --lift-angle \
             or the angles."
                .into(),
        ));
    };
    printed::whole(&match wishes.format {
        TextOrJson::Json => wire::line(&EscapementResult::of(&told)),
        TextOrJson::Text => told::text(&told, Ink::for_output(color)),
    })
}

/// Nothing where nothing was asked for that can be told.
fn told(wishes: &EscapementWishes) -> Result<Option<Told>, EscapementError> {
    let mut told = Told::default();
    let seen = wishes.at.map(|mark| match mark {
        MarkWish::HalfTurn => SightMark::HalfTurn.amplitude_deg(),
        MarkWish::ThreeQuarterTurn => SightMark::ThreeQuarterTurn.amplitude_deg(),
    });
    let seen = seen.or(wishes.amplitude_deg);
    if let (Some(seen), Some(beat), Some(ms)) =
        (seen, wishes.beats_per_hour, wishes.unlocking_to_drop_ms)
    {
        let lift = lift_from_amplitude_by_sight(seen, beat, ms.scaled(S_PER_MS))?;
        told.by_sight = Some((seen, lift));
    }
    if let (Some(lock_deg), Some(lift_on_tooth_deg), Some(lift_on_pallet_deg), Some(ratio)) =
        (wishes.lock_deg, wishes.lift_on_tooth_deg, wishes.lift_on_pallet_deg, wishes.ratio)
    {
        let run_deg = wishes.run_deg;
        let angles =
            LeverAngles { lock_deg, run_deg, lift_on_tooth_deg, lift_on_pallet_deg, ratio };
        told.work = Some(angles.work()?);
    }
    let summed = told.work.map(|work| LiftAngle::from_deg(work.balance_lift_deg.value));
    let lift = match (wishes.lift_angle, summed) {
        (Some(lift), _) => Some(lift),
        (None, Some(lift)) if wishes.swings_deg.is_some() => Some(lift?),
        _ => None,
    };
    if let (Some(amplitude), Some(lift)) = (wishes.swings_deg, lift) {
        told.free_arc_deg = Some(free_arc_deg(amplitude, lift)?);
    }
    if let Some(teeth) = wishes.teeth.map(u32::from) {
        if let Some(spans) = wishes.spans {
            told.locking_arc_deg = Some(locking_arc_deg(teeth, u32::from(spans))?);
        }
        if let (Some(tooth), Some(pallet)) = (wishes.tooth_deg, wishes.pallet_deg) {
            let drop = drop_deg_from_widths(teeth, tooth, pallet)?;
            told.drop_deg = Some(drop);
            let mm = wishes.wheel_diameter_mm.map(|diameter| drop_at_wheel_mm(diameter, drop));
            told.drop_mm = mm.transpose()?;
        }
    }
    let something = told.by_sight.is_some()
        || told.work.is_some()
        || told.free_arc_deg.is_some()
        || told.locking_arc_deg.is_some()
        || told.drop_deg.is_some();
    Ok(something.then_some(told))
}
