//! `endshake mainspring`: a spring in its barrel.

mod told;

use crate::arguments::{MainspringWishes, TextOrJson};
use crate::failure::{Failure, Status};
use crate::printed;
use crate::text::Ink;
use crate::train;
use crate::wire::{self, MainspringResult};
use clap::ColorChoice;
use horology::mainspring::{
    Barrel, Fitted, Replaced, Spring, StopWork, Torque, Unfit, Warning, replaced, stop_work,
};
use horology::train::Running;
use quantities::Measured;

/// Where between run down and wound up the torque is told, in quarters of all turns.
const QUARTERS: [f64; 5] = [0.0, 0.25, 0.5, 0.75, 1.0];

/// Everything that is told of a spring.
pub(crate) struct Told {
    pub(crate) barrel: Barrel,
    pub(crate) spring: InBarrel,
    /// Whether its length was worked out, not measured.
    pub(crate) length_is_best: bool,
    /// Whether its thickness was worked out from turns that are wanted.
    pub(crate) thickness_is_found: bool,
    pub(crate) best_length_mm: f64,
    pub(crate) modulus_gpa: f64,
    /// Time of a turn of the barrel, seconds, where it is known.
    pub(crate) turn_s: Option<f64>,
    pub(crate) stop_work: Option<StopWork>,
    /// Another spring, and what it changes.
    pub(crate) new: Option<(InBarrel, Replaced)>,
}

/// A spring and what it does in the barrel.
pub(crate) struct InBarrel {
    pub(crate) spring: Spring,
    pub(crate) fitted: Fitted,
    pub(crate) torque: Option<Torque>,
    pub(crate) warnings: Vec<Warning>,
}

impl InBarrel {
    fn of(barrel: &Barrel, spring: Spring, modulus_gpa: f64) -> Result<Self, Unfit> {
        let fitted = barrel.fitted(&spring)?;
        Ok(Self {
            spring,
            fitted,
            torque: fitted.torque(1000.0 * modulus_gpa),
            warnings: fitted.warnings(),
        })
    }

    /// Turns from run down, and the torque there in N mm.
    pub(crate) fn torque_curve(&self) -> Vec<(f64, Measured)> {
        let at = |torque: &Torque, share: f64| {
            (share * torque.turns, torque.after_turns_n_mm(share * torque.turns))
        };
        self.torque.iter().flat_map(|torque| QUARTERS.map(|share| at(torque, share))).collect()
    }
}

/// Carries the command out.
pub(crate) fn run(wishes: &MainspringWishes, color: ColorChoice) -> Result<Status, Failure> {
    let turn_s = turn_s(wishes)?;
    let told = told(wishes, turn_s).map_err(|unfit| Failure::WrongUse(unfit.to_string()))?;
    let told = with_stop_work(wishes, told)?;
    printed::whole(&match wishes.format {
        TextOrJson::Json => wire::line(&MainspringResult::of(&told)),
        TextOrJson::Text => told::text(&told, Ink::for_output(color)),
    })
}

fn told(wishes: &MainspringWishes, turn_s: Option<f64>) -> Result<Told, Unfit> {
    let sds = &wishes.sds;
    let diameter = |mm: f64| Measured::new(mm, sds.diameter_sd_mm);
    let barrel = Barrel::new(
        diameter(wishes.barrel_diameter_mm),
        diameter(wishes.arbor_diameter_mm),
        wishes.barrel_height_mm,
    )?;
    let thickness_mm = match (wishes.thickness_mm, wishes.turns) {
        (Some(mm), _) => Measured::new(mm, sds.thickness_sd_mm),
        (None, turns) => {
            Measured::new(barrel.thickness_for_turns_mm(turns.unwrap_or_default())?, 0.0)
        }
    };
    let best_length_mm = barrel.best_length_mm(thickness_mm.value)?;
    let measured_length = |mm: f64| Measured::new(mm, sds.length_sd_mm);
    let height = |mm: f64| Measured::new(mm, sds.height_sd_mm);
    let spring = Spring {
        thickness_mm,
        length_mm: wishes.length_mm.map_or(Measured::new(best_length_mm, 0.0), measured_length),
        height_mm: wishes.height_mm.map(height),
        coils_free: wishes.coils_free,
    };
    let new = &wishes.new;
    let any_new = [new.new_thickness_mm, new.new_length_mm, new.new_height_mm];
    let another = any_new.iter().any(Option::is_some).then(|| Spring {
        thickness_mm: new
            .new_thickness_mm
            .map_or(spring.thickness_mm, |mm| Measured::new(mm, sds.thickness_sd_mm)),
        length_mm: new.new_length_mm.map_or(spring.length_mm, measured_length),
        height_mm: new.new_height_mm.map(height).or(spring.height_mm),
        coils_free: spring.coils_free,
    });
    let spring = InBarrel::of(&barrel, spring, wishes.modulus_gpa)?;
    let new = match another {
        Some(another) => {
            let another = InBarrel::of(&barrel, another, wishes.modulus_gpa)?;
            let changes = replaced(&spring.fitted, &another.fitted);
            Some((another, changes))
        }
        None => None,
    };
    Ok(Told {
        barrel,
        spring,
        length_is_best: wishes.length_mm.is_none(),
        thickness_is_found: wishes.thickness_mm.is_none(),
        best_length_mm,
        modulus_gpa: wishes.modulus_gpa,
        turn_s,
        stop_work: None,
        new,
    })
}

fn with_stop_work(wishes: &MainspringWishes, told: Told) -> Result<Told, Failure> {
    let (Some(allowed), Some(set_up)) = (wishes.stop_work_turns, wishes.set_up_turns) else {
        return Ok(told);
    };
    let turns = told.spring.fitted.turns().value;
    let used = stop_work(turns, allowed, set_up)
        .map_err(|too_long| Failure::WrongUse(too_long.to_string()))?;
    Ok(Told { stop_work: Some(used), ..told })
}

/// Time of a turn of the barrel, as given or from a movement.
fn turn_s(wishes: &MainspringWishes) -> Result<Option<f64>, Failure> {
    let Some(path) = &wishes.train else {
        return Ok(wishes.barrel_turns_in.map(|turn_s| turn_s.to_f64()));
    };
    let calibre = train::from_file(path)?.calibre;
    let barrels = &calibre.movement.parts().barrels;
    let place = match &wishes.barrel {
        Some(name) => barrels.iter().position(|barrel| barrel.name == *name),
        None => (barrels.len() == 1).then_some(0),
    };
    let place = place.ok_or_else(|| {
        let names: Vec<&str> = barrels.iter().map(|barrel| barrel.name.as_str()).collect();
        Failure::WrongUse(match names.is_empty() {
            true => "The movement of --train has no barrel: give --barrel-turns-in.".into(),
            false => format!("Say with --barrel which one is meant: {}.", names.join(", ")),
        })
    })?;
    if !calibre.unknowns.is_empty() {
        return Err(Failure::WrongUse(
            "Teeth are missing in the movement of --train: endshake missing-wheel finds them."
                .into(),
        ));
    }
    let running = Running::of(&calibre.movement)
        .map_err(|impossible| Failure::Unreadable(impossible.to_string()).about(path))?;
    let turn_s = running.barrels[place].turn_s.ok_or_else(|| {
        Failure::WrongUse(format!(
            "Nothing in the movement says how fast barrel {} turns: endshake train tells more.",
            barrels[place].name
        ))
    })?;
    Ok(Some(turn_s.to_f64()))
}
