//! `endshake balance`: a balance and its spring.

mod told;

use crate::arguments::{BalanceWishes, TextOrJson};
use crate::failure::{Failure, Status};
use crate::printed;
use crate::text::Ink;
use crate::wire::{self, BalanceResult};
use clap::ColorChoice;
use horology::balance::{
    BalanceError, Completed, Knowns, MassChange, Piece, RateChange, beats_per_hour_of_period,
    inertia_change_for_rate, mass_for_rate, rate_from_masses,
};
use quantities::{BeatFrequency, Measured};

/// Kilograms in a milligram, metres in a millimetre, and so on: what is typed, in SI units.
const KG_PER_MG: f64 = 1e-6;
const M_PER_MM: f64 = 1e-3;
pub(crate) const KG_M2_PER_MG_CM2: f64 = 1e-10;
const N_M_PER_UN_M: f64 = 1e-6;
const PA_PER_GPA: f64 = 1e9;

/// Everything that is told of a balance.
pub(crate) struct Told {
    pub(crate) completed: Completed,
    /// Beats per hour, where the period is known.
    pub(crate) beats_per_hour: Option<Measured>,
    /// What masses put on, taken off and moved do to the rate.
    pub(crate) change: Option<RateChange>,
    pub(crate) wanted: Option<Wanted>,
}

/// What a wished change of the rate takes.
pub(crate) struct Wanted {
    pub(crate) s_per_d: f64,
    /// Change of the inertia, as a share of it.
    pub(crate) inertia_share: f64,
    /// Radius, mm, and the mass to put on there, kg; to take off, where negative.
    pub(crate) mass: Option<(f64, Measured)>,
}

/// Carries the command out.
pub(crate) fn run(wishes: &BalanceWishes, color: ColorChoice) -> Result<Status, Failure> {
    let told = told(wishes)?;
    printed::whole(&match wishes.format {
        TextOrJson::Json => wire::line(&BalanceResult::of(&told)),
        TextOrJson::Text => told::text(&told, Ink::for_output(color)),
    })
}

/// What cannot be, as a sentence.
pub(crate) fn impossible(error: &BalanceError) -> Failure {
    Failure::WrongUse(words::regulating::sentence(&error.to_string()))
}

fn told(wishes: &BalanceWishes) -> Result<Told, Failure> {
    let no = |error: BalanceError| impossible(&error);
    let changes = changes(wishes);
    let knowns = knowns(wishes)?;
    if knowns == Knowns::default() && wishes.wanted_s_per_d.is_none() && changes.is_empty() {
        return Err(Failure::WrongUse(
            "Say what is known of the balance: --beats-per-hour, --ring-mass-mg and \
             --ring-radius-mm, --inertia-mg-cm2, --stiffness-un-m, or the strip of the spring."
                .into(),
        ));
    }
    let completed = knowns.complete().map_err(no)?;
    let inertia = || completed.require(Piece::InertiaKgM2);
    let change = match changes.is_empty() {
        true => None,
        false => Some(inertia().and_then(|i| rate_from_masses(i, &changes)).map_err(no)?),
    };
    let wanted = wishes.wanted_s_per_d.map(|s_per_d| {
        let mass = wishes.at_radius_mm.map(|mm| {
            let mass = inertia().and_then(|i| mass_for_rate(i, mm * M_PER_MM, s_per_d))?;
            Ok((mm, mass))
        });
        let inertia_share = inertia_change_for_rate(s_per_d)?;
        Ok(Wanted { s_per_d, inertia_share, mass: mass.transpose()? })
    });
    let wanted = wanted.transpose().map_err(no)?;
    let by_period = completed.get(Piece::PeriodS).map(beats_per_hour_of_period);
    let beats_per_hour = wishes.beats_per_hour.or(by_period);
    Ok(Told { completed, beats_per_hour, change, wanted })
}

fn knowns(wishes: &BalanceWishes) -> Result<Knowns, Failure> {
    let period_s = match wishes.beats_per_hour {
        Some(beats) => {
            let beat = BeatFrequency::from_per_hour(beats.value)
                .map_err(|error| Failure::WrongUse(format!("--beats-per-hour: {error}.")))?;
            let period_s = beat.oscillation_s();
            Some(Measured::new(period_s, period_s * beats.sd / beats.value))
        }
        None => wishes.period_s,
    };
    let given = [
        (Piece::PeriodS, period_s, 1.0),
        (Piece::RingMassKg, wishes.ring_mass_mg, KG_PER_MG),
        (Piece::RingRadiusM, wishes.ring_radius_mm, M_PER_MM),
        (Piece::InertiaKgM2, wishes.inertia_mg_cm2, KG_M2_PER_MG_CM2),
        (Piece::StiffnessNMPerRad, wishes.stiffness_un_m, N_M_PER_UN_M),
        (Piece::YoungsModulusPa, wishes.modulus_gpa, PA_PER_GPA),
        (Piece::StripWidthM, wishes.strip_width_mm, M_PER_MM),
        (Piece::StripThicknessM, wishes.strip_thickness_mm, M_PER_MM),
        (Piece::StripLengthM, wishes.strip_length_mm, M_PER_MM),
    ];
    let mut given =
        given.into_iter().filter_map(|(piece, known, si)| Some((piece, known?.scaled(si))));
    given
        .try_fold(Knowns::default(), |knowns, (piece, known)| knowns.with(piece, known))
        .map_err(|error| impossible(&error))
}

fn changes(wishes: &BalanceWishes) -> Vec<MassChange> {
    let put_on = wishes.put_on.iter().map(|mass| MassChange::Added {
        mass_kg: mass.mass_mg * KG_PER_MG,
        radius_m: mass.radius_mm * M_PER_MM,
    });
    let taken = wishes.take_off.iter().map(|mass| MassChange::Taken {
        mass_kg: mass.mass_mg * KG_PER_MG,
        radius_m: mass.radius_mm * M_PER_MM,
    });
    let moved = wishes.shift.iter().map(|mass| MassChange::Moved {
        mass_kg: mass.mass_mg * KG_PER_MG,
        from_m: mass.from_mm * M_PER_MM,
        to_m: mass.to_mm * M_PER_MM,
    });
    put_on.chain(taken).chain(moved).collect()
}

/// A piece as people count it: its name, the unit, and how many of it an SI unit has.
pub(crate) fn as_people_count(piece: Piece) -> (&'static str, &'static str, f64) {
    match piece {
        Piece::PeriodS => ("period", "s", 1.0),
        Piece::InertiaKgM2 => ("inertia", "mg cm²", 1.0 / KG_M2_PER_MG_CM2),
        Piece::StiffnessNMPerRad => ("stiffness of the spring", "µN m/rad", 1.0 / N_M_PER_UN_M),
        Piece::RingMassKg => ("mass of the ring", "mg", 1.0 / KG_PER_MG),
        Piece::RingRadiusM => ("radius of the ring", "mm", 1.0 / M_PER_MM),
        Piece::YoungsModulusPa => ("Young's modulus", "GPa", 1.0 / PA_PER_GPA),
        Piece::StripWidthM => ("width of the strip", "mm", 1.0 / M_PER_MM),
        Piece::StripThicknessM => ("thickness of the strip", "mm", 1.0 / M_PER_MM),
        Piece::StripLengthM => ("active length of the strip", "mm", 1.0 / M_PER_MM),
    }
}
