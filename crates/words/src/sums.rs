//! What the trade's sums come to: what each number is called, and what is to know about it. The same on
//! the command line and on the page of a movement.

use horology::balance::{SpringLength, TemperatureResult};
use horology::escapement::LeverWork;
use horology::train::depth::{Addenda, Depth};
use quantities::Measured;

/// One number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sum {
    /// What it is.
    pub name: &'static str,
    /// How much; exact where its uncertainty is nought.
    pub value: Measured,
    /// Its unit; may be empty.
    pub unit: &'static str,
    /// Whether it may be either way, so that a plus is written.
    pub is_signed: bool,
}

/// Of the angles of a lever.
pub const LEVER_NOTE: &str =
    "Angle of the fork times the ratio is exact on the line of centres only.";
/// Of the lift angle by sight.
pub const SIGHT_NOTE: &str = "The lift angle's uncertainty is mostly that of the eye, and goes into \
                              every amplitude of this watch.";
/// Of a rate that was also taken between.
pub const MIDDLE_NOTE: &str = "Middle-temperature error: how much faster it is between than a straight \
                               line from cold to hot says.";
/// Of the expansion that compensates.
pub const COMPENSATING_NOTE: &str = "Negative: the masses must go inwards in heat.";

fn sum(name: &'static str, value: Measured, unit: &'static str) -> Sum {
    Sum { name, value, unit, is_signed: false }
}

fn signed(name: &'static str, value: Measured, unit: &'static str) -> Sum {
    Sum { is_signed: true, ..sum(name, value, unit) }
}

fn exactly(value: f64) -> Measured {
    Measured::new(value, 0.0)
}

/// The lift angle by sight: the amplitude as it was seen and what follows, degrees.
#[must_use]
pub fn by_sight(seen_deg: Measured, lift_deg: Measured) -> Vec<Sum> {
    vec![sum("amplitude as it was seen", seen_deg, "°"), sum("lift angle", lift_deg, "°")]
}

/// What the angles of a lever add up to.
#[must_use]
pub fn lever(work: &LeverWork) -> Vec<Sum> {
    vec![
        sum("lock and run, fork", work.total_lock_deg, "°"),
        sum("lift, fork", work.lift_deg, "°"),
        sum("banking to drop, fork", work.fork_to_drop_deg, "°"),
        sum("to unlock, balance", work.balance_to_unlock_deg, "°"),
        sum("lift angle, balance", work.balance_lift_deg, "°"),
    ]
}

/// Of the whole arc, what the balance swings free of the fork, degrees.
#[must_use]
pub fn free_arc(deg: f64) -> Sum {
    sum("free of the fork, of the whole arc", exactly(deg), "°")
}

/// The arc between the two lockings, degrees of the wheel.
#[must_use]
pub fn locking_arc(deg: f64) -> Sum {
    sum("between the two lockings, wheel", exactly(deg), "°")
}

/// The drop, degrees of the wheel, and at its rim where its diameter is known.
#[must_use]
pub fn drop(deg: f64, rim_mm: Option<f64>) -> Vec<Sum> {
    let mut all = vec![sum("drop, wheel", exactly(deg), "°")];
    all.extend(rim_mm.map(|mm| sum("drop at the rim", exactly(mm), "mm")));
    all
}

/// The full diameter of an escape wheel, from a measure over three teeth.
#[must_use]
pub fn escape_wheel(over_three_teeth_mm: Measured, full_diameter_mm: Measured) -> Vec<Sum> {
    vec![
        sum("over three teeth", over_three_teeth_mm, "mm"),
        sum("full diameter", full_diameter_mm, "mm"),
    ]
}

/// What rates at two or three temperatures say.
#[must_use]
pub fn temperature(result: &TemperatureResult) -> Vec<Sum> {
    let mut all = vec![
        signed("change of the rate", result.coefficient_s_per_d_per_deg_c, "s/d per °C"),
        signed("hot less cold", result.hot_less_cold_s_per_d, "s/d"),
    ];
    let middle = result.middle_error_s_per_d;
    all.extend(middle.map(|middle| signed("middle-temperature error", middle, "s/d")));
    all
}

/// What the materials of balance and spring make: the change of the rate where the balance's expansion
/// is known, and the expansion per °C that would make none.
#[must_use]
pub fn materials(coefficient: Option<Measured>, compensating_per_deg_c: Measured) -> Vec<Sum> {
    const PER_PPM: f64 = 1e6;
    let mut all = Vec::new();
    all.extend(coefficient.map(|c| signed("change of the rate", c, "s/d per °C")));
    let compensating = compensating_per_deg_c.scaled(PER_PPM);
    all.push(signed("balance's expansion that compensates", compensating, "ppm per °C"));
    all
}

/// What a counted trial says of a hairspring.
#[must_use]
pub fn hairspring(length: &SpringLength) -> Vec<Sum> {
    let far = length.move_mm;
    let (way, far) = match far.value < 0.0 {
        true => ("hold it further in by", far.scaled(-1.0)),
        false => ("hold it further out by", far),
    };
    vec![
        sum("beats an hour at the trial length", length.trial_beats_per_hour, ""),
        sum("active length", length.active_length_mm, "mm"),
        sum(way, far, "mm"),
    ]
}

/// What counting leaves open.
#[must_use]
pub fn hairspring_note(length: &SpringLength) -> String {
    format!(
        "Counting leaves {} s/d open: the index must be able to take that up.",
        crate::figures(length.rate_sd.s_per_d().abs(), 2)
    )
}

/// Sizes of a wheel and the pinion that it works into; their full diameters, mm.
#[must_use]
pub fn depth(depth: &Depth, wheel_full_mm: Measured, pinion_full_mm: Measured) -> Vec<Sum> {
    vec![
        sum("module", depth.module_mm(), "mm"),
        sum("centre distance", depth.centre_distance_mm(), "mm"),
        sum("wheel, pitch radius", depth.wheel_pitch_radius_mm(), "mm"),
        sum("wheel, full diameter", wheel_full_mm, "mm"),
        sum("pinion, pitch radius", depth.pinion_pitch_radius_mm(), "mm"),
        sum("pinion, full diameter", pinion_full_mm, "mm"),
    ]
}

/// By which addenda, and how far to trust them.
#[must_use]
pub fn depth_note(addenda: Addenda) -> String {
    format!(
        "Full diameters with addenda of {} and {} modules. Tables for cutters differ: measure what is \
         left of the old wheel, where there is something.",
        addenda.wheel_modules, addenda.pinion_modules
    )
}
