use super::Fitted;
use quantities::Measured;

/// What another spring changes, each as new over old.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Replaced {
    /// Torque for each turn of winding: `h e^3 / L` of the new over the old. `None` where a height
    /// was not measured.
    pub torque: Option<Measured>,
    /// Turns, and with them running time.
    pub turns: Measured,
}

/// What the new spring does against the old one, both in one barrel and of the same kind of steel.
///
/// The uncertainties are to first order (GUM, bib:jcgm100 clause 5.1.2). What both have in common
/// counts once: the barrel's sizes, and a size of the springs that is the same in value and
/// uncertainty, which is taken for one measurement.
#[must_use]
pub fn replaced(old: &Fitted, new: &Fitted) -> Replaced {
    Replaced { torque: torque(old, new), turns: turns(old, new) }
}

fn torque(old: &Fitted, new: &Fitted) -> Option<Measured> {
    // The modulus cancels.
    let per_turn = |fitted: &Fitted| Some(fitted.torque(1.0)?.per_turn_n_mm.value);
    let value = per_turn(new)? / per_turn(old)?;
    let (before, after) = (&old.spring, &new.spring);
    let share = |power: f64, old: Measured, new: Measured| {
        both(old, new, power / old.value, power / new.value)
    };
    let sd = share(3.0, before.thickness_mm, after.thickness_mm)
        .hypot(share(1.0, before.height_mm?, after.height_mm?))
        .hypot(share(1.0, before.length_mm, after.length_mm));
    Some(Measured::new(value, value * sd))
}

fn turns(old: &Fitted, new: &Fitted) -> Measured {
    let (before, after) = (old.slopes(), new.slopes());
    let value = after.turns / before.turns;
    let share = |old_size: Measured, new_size: Measured, old_slope: f64, new_slope: f64| {
        both(old_size, new_size, old_slope / before.turns, new_slope / after.turns)
    };
    let (outer, inner) = (old.barrel.radius_mm(), old.barrel.arbor_radius_mm());
    let (one, other) = (&old.spring, &new.spring);
    let sd = share(outer, outer, before.by_outer, after.by_outer)
        .hypot(share(inner, inner, before.by_inner, after.by_inner))
        .hypot(share(one.thickness_mm, other.thickness_mm, before.by_thickness, after.by_thickness))
        .hypot(share(one.length_mm, other.length_mm, before.by_length, after.by_length));
    Measured::new(value, value * sd)
}

/// What the uncertainty of one size, in the old spring and in the new one, makes of a quotient of
/// both, relative, by the relative slopes of denominator and numerator.
fn both(old: Measured, new: Measured, old_slope: f64, new_slope: f64) -> f64 {
    if old == new {
        (new_slope - old_slope) * old.sd
    } else {
        (old_slope * old.sd).hypot(new_slope * new.sd)
    }
}
