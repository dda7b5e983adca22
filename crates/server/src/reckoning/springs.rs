//! Mainsprings: what they do in their barrels, and what others would.

use super::{Bare, problem};
use crate::convert::value;
use crate::wire;
use calibre::{Calibre, size_in_words};
use horology::mainspring::{Barrel, Fitted, MODULUS_N_PER_MM2, Spring, Unfit, replaced};
use horology::train::{Movement, Ratio};
use quantities::Measured;
use words::trains as said;

/// The movement in which each barrel that says nothing of its turns has those of its spring, to the
/// thousandth, and which barrels those are.
pub(super) fn with_their_turns(calibre: &Calibre, movement: Movement) -> (Movement, Vec<bool>) {
    let mut parts = movement.parts().clone();
    let mut of_spring = vec![false; parts.barrels.len()];
    for spring in &calibre.mainsprings {
        let barrel = &mut parts.barrels[spring.barrel];
        let Ok(in_barrel) = InBarrel::of(spring) else { continue };
        let turns = Ratio::from_decimal(&format!("{:.3}", in_barrel.fitted.turns().value));
        if barrel.turns.is_none() && turns.is_some() {
            barrel.turns = turns;
            of_spring[spring.barrel] = true;
        }
    }
    // Only numbers of turns have changed, and those are above zero.
    (Movement::new(parts).unwrap_or(movement), of_spring)
}

/// A spring that has room in its barrel.
struct InBarrel {
    barrel: Barrel,
    spring: Spring,
    fitted: Fitted,
    best_length_mm: f64,
    length_is_best: bool,
}

impl InBarrel {
    fn of(written: &calibre::Mainspring) -> Result<Self, Unfit> {
        let barrel = Barrel::new(
            written.inner_diameter_mm,
            written.arbor_diameter_mm,
            written.barrel_height_mm.map(|height| height.value),
        )?;
        let best_length_mm = barrel.best_length_mm(written.thickness_mm.value)?;
        let spring = Spring {
            thickness_mm: written.thickness_mm,
            length_mm: written.length_mm.unwrap_or(Measured::new(best_length_mm, 0.0)),
            height_mm: written.height_mm,
            coils_free: written.coils_free,
        };
        let fitted = barrel.fitted(&spring)?;
        let length_is_best = written.length_mm.is_none();
        Ok(Self { barrel, spring, fitted, best_length_mm, length_is_best })
    }

    fn told(&self, turn_s: Option<f64>) -> wire::ReckonedSpring {
        let Self { spring, fitted, .. } = self;
        let runs_s = turn_s.map(|turn_s| fitted.runs_s(turn_s));
        let torque = fitted.torque(MODULUS_N_PER_MM2);
        let warnings = fitted.warnings();
        wire::ReckonedSpring {
            thickness_mm: value(spring.thickness_mm),
            length_mm: value(spring.length_mm),
            length_is_best: self.length_is_best,
            height_mm: spring.height_mm.map(value),
            fill: fitted.fill(),
            coils_down: fitted.coils_down(),
            coils_up: fitted.coils_up(),
            turns: value(fitted.turns()),
            runs_s: runs_s.map(value),
            runs_words: runs_s.map_or_else(String::new, |runs| said::period(runs.value)),
            torque_up_n_mm: torque.map(|torque| value(torque.up_n_mm())),
            torque_half_n_mm: torque
                .map(|torque| value(torque.after_turns_n_mm(torque.turns / 2.0))),
            torque_down_n_mm: torque.map(|torque| value(torque.down_n_mm())),
            height_clearance_mm: fitted.height_clearance_mm(),
            warnings: warnings
                .iter()
                .map(|warning| problem(None, warning.code(), warning.to_string()))
                .collect(),
        }
    }
}

pub(super) fn mainsprings(
    bare: &Bare<'_>,
    wish: &wire::ReckonWish,
    problems: &mut Vec<wire::ReckonedProblem>,
) -> Vec<wire::ReckonedMainspring> {
    let mut all = Vec::new();
    for written in &bare.calibre.mainsprings {
        let name = &bare.movement.parts().barrels[written.barrel].name;
        let turn_s = bare.running.barrels[written.barrel].turn_s;
        let turn_s = turn_s.filter(|_| bare.speeds_known).map(Ratio::to_f64);
        let mut told = wire::ReckonedMainspring {
            barrel: name.clone(),
            spring: None,
            best_length_mm: None,
            instead: None,
            notes: Vec::new(),
        };
        match InBarrel::of(written) {
            Ok(old) => {
                told.spring = Some(old.told(turn_s));
                told.best_length_mm = Some(old.best_length_mm);
                told.notes = notes(&old, turn_s);
                let mut others = wish.instead.iter().flatten();
                if let Some(other) = others.find(|other| other.barrel == *name) {
                    match instead(&old, other, turn_s) {
                        Ok(other) => told.instead = other,
                        Err(words) => problems.push(problem(None, "instead", words)),
                    }
                }
            }
            Err(unfit) => {
                problems.push(problem(Some(written.line), "mainspring", unfit.to_string()));
            }
        }
        all.push(told);
    }
    all
}

fn notes(spring: &InBarrel, turn_s: Option<f64>) -> Vec<String> {
    let mut notes = Vec::new();
    if spring.spring.height_mm.is_some() {
        notes.push(said::torque_note(spring.spring.coils_free, MODULUS_N_PER_MM2 / 1000.0));
    }
    if turn_s.is_some() {
        notes.push(said::RUNNING_TIME_NOTE.into());
    }
    notes
}

/// Another spring in the same barrel; nothing where nothing of it differs.
fn instead(
    old: &InBarrel,
    wish: &wire::OtherSpring,
    turn_s: Option<f64>,
) -> Result<Option<wire::ReckonedOther>, String> {
    let size = |what: &str, written: &Option<String>| {
        match written.as_deref().map(str::trim) {
        None | Some("") => Ok(None),
        Some(text) => size_in_words(text).map(Some).ok_or_else(|| {
            format!("The {what} of the other spring cannot be read: write mm, like 0.10 or 0.10 ± 0.003.")
        }),
    }
    };
    let thickness = size("thickness", &wish.thickness_mm)?;
    let length = size("length", &wish.length_mm)?;
    let height = size("height", &wish.height_mm)?;
    if thickness.is_none() && length.is_none() && height.is_none() {
        return Ok(None);
    }
    let spring = Spring {
        thickness_mm: thickness.unwrap_or(old.spring.thickness_mm),
        length_mm: length.unwrap_or(old.spring.length_mm),
        height_mm: height.or(old.spring.height_mm),
        coils_free: old.spring.coils_free,
    };
    let fitted = old.barrel.fitted(&spring).map_err(|unfit| unfit.to_string())?;
    let other = InBarrel {
        barrel: old.barrel,
        spring,
        fitted,
        best_length_mm: old.best_length_mm,
        length_is_best: false,
    };
    let changes = replaced(&old.fitted, &fitted);
    Ok(Some(wire::ReckonedOther {
        spring: other.told(turn_s),
        torque_ratio: changes.torque.map(value),
        turns_ratio: value(changes.turns),
    }))
}
