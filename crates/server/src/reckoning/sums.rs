//! The trade's sums, from what stands in the movement: the lever, the lift angle by sight, heat and cold,
//! a hairspring on trial, depths. Each is there where enough of it is written down.

use super::{Bare, problem, sentence, written};
use crate::convert::value;
use crate::wire;
use calibre::{BalanceCounted, BalanceKnown};
use horology::balance::{
    CountedTrial, SpringAndBalance, TemperatureRates, coefficient_s_per_d_per_deg_c,
    compensating_expansion_per_deg_c,
};
use horology::escapement::{
    LeverAngles, drop_at_wheel_mm, drop_deg_from_widths, lift_from_amplitude_by_sight,
};
use horology::train::depth::{Addenda, Depth, escape_wheel_diameter_mm};
use quantities::{BeatFrequency, Measured};
use words::regulating as said;
use words::sums::{self, Sum};

/// One in a million.
const PPM: f64 = 1e-6;
/// Seconds in a millisecond.
const S_PER_MS: f64 = 1e-3;

/// A balance and what is known of its train.
struct Of<'a> {
    name: &'a str,
    known: &'a BalanceKnown,
    escape_teeth: Option<u32>,
    beat: Option<BeatFrequency>,
}

/// What came of one sum; nothing where too little is written down for it.
type Came = Option<Result<wire::ReckonedSum, String>>;

pub(super) fn sums(
    bare: &Bare<'_>,
    problems: &mut Vec<wire::ReckonedProblem>,
) -> Vec<wire::ReckonedSum> {
    let mut all = Vec::new();
    let parts = bare.movement.parts();
    let balances = parts.balances.iter().zip(&bare.running.balances).zip(&bare.calibre.balances);
    for ((balance, runs), known) in balances {
        let beats = runs.beats_per_hour.filter(|_| bare.speeds_known);
        let of = Of {
            name: &balance.name,
            known,
            escape_teeth: bare.known_teeth(balance.escape),
            beat: beats.and_then(|beats| BeatFrequency::from_per_hour(beats.to_f64()).ok()),
        };
        let each = [by_sight, lever, drop, escape_wheel, temperature, materials, hairspring];
        for came in each.iter().filter_map(|sum| sum(&of)) {
            match came {
                Ok(sum) => all.push(sum),
                Err(why) => problems.push(problem(Some(known.line), "sum", why)),
            }
        }
    }
    for (place, (line, _)) in bare.calibre.mesh_sizes.iter().enumerate() {
        match depth(bare, place) {
            Some(Ok(sum)) => all.push(sum),
            Some(Err(why)) => problems.push(problem(Some(*line), "sum", why)),
            None => {}
        }
    }
    all
}

fn told(kind: wire::SumKind, of: &str, sums: &[Sum], notes: Vec<String>) -> wire::ReckonedSum {
    let row = |one: &Sum| wire::ReckonedRow {
        words: sentence(&one.name),
        value: value(one.value),
        unit: one.unit.into(),
        is_signed: one.is_signed,
    };
    let rows = sums.iter().map(row).collect();
    wire::ReckonedSum { kind, of: of.to_owned(), rows, notes, keep: None }
}

/// What would be written down as the lift angle.
fn as_lift_angle(lift_deg: Measured) -> wire::ReckonedKeep {
    wire::ReckonedKeep {
        key: "lift-angle-deg".into(),
        words: "lift angle".into(),
        text: written(lift_deg),
    }
}

fn by_sight(of: &Of<'_>) -> Came {
    let BalanceCounted { seen_amplitude_deg, unlocking_to_drop_ms, .. } = of.known.counted;
    let (seen, ms, beat) = (seen_amplitude_deg?, unlocking_to_drop_ms?, of.beat?);
    let lift = match lift_from_amplitude_by_sight(seen, beat, ms.scaled(S_PER_MS)) {
        Ok(lift) => lift,
        Err(error) => return Some(Err(said::sentence(&error.to_string()))),
    };
    let sums = sums::by_sight(seen, lift);
    let told = told(wire::SumKind::BySight, of.name, &sums, vec![sums::SIGHT_NOTE.into()]);
    Some(Ok(wire::ReckonedSum { keep: Some(as_lift_angle(lift)), ..told }))
}

fn lever(of: &Of<'_>) -> Came {
    let counted = &of.known.counted;
    let angles = LeverAngles {
        lock_deg: counted.lock_deg?,
        run_deg: counted.run_deg.unwrap_or(Measured::new(0.0, 0.0)),
        lift_on_tooth_deg: counted.lift_on_tooth_deg?,
        lift_on_pallet_deg: counted.lift_on_pallet_deg?,
        ratio: counted.fork_ratio?,
    };
    let work = match angles.work() {
        Ok(work) => work,
        Err(error) => return Some(Err(said::sentence(&error.to_string()))),
    };
    let told =
        told(wire::SumKind::Lever, of.name, &sums::lever(&work), vec![sums::LEVER_NOTE.into()]);
    Some(Ok(wire::ReckonedSum { keep: Some(as_lift_angle(work.balance_lift_deg)), ..told }))
}

fn drop(of: &Of<'_>) -> Came {
    let counted = &of.known.counted;
    let (teeth, tooth) = (of.escape_teeth?, counted.tooth_width_deg?.value);
    let pallet = counted.pallet_width_deg?.value;
    let came = drop_deg_from_widths(teeth, tooth, pallet).and_then(|deg| {
        let rim =
            counted.escape_diameter_mm.map(|mm| drop_at_wheel_mm(mm.value, deg)).transpose()?;
        Ok(told(wire::SumKind::Drop, of.name, &sums::drop(deg, rim), Vec::new()))
    });
    Some(came.map_err(|error| said::sentence(&error.to_string())))
}

fn escape_wheel(of: &Of<'_>) -> Came {
    let (teeth, over) = (of.escape_teeth?, of.known.counted.over_three_teeth_mm?);
    let came = escape_wheel_diameter_mm(teeth, over).map(|full| {
        let keep = wire::ReckonedKeep {
            key: "escape-diameter-mm".into(),
            words: "diameter of the escape wheel".into(),
            text: written(full),
        };
        let sums = sums::escape_wheel(over, full);
        let told = told(wire::SumKind::EscapeWheel, of.name, &sums, Vec::new());
        wire::ReckonedSum { keep: Some(keep), ..told }
    });
    Some(came.map_err(|error| said::sentence(&error.to_string())))
}

fn temperature(of: &Of<'_>) -> Came {
    let counted = &of.known.counted;
    let (cold, hot) = (counted.rate_cold?, counted.rate_hot?);
    let rates = TemperatureRates {
        cold_deg_c: cold.deg_c,
        cold_s_per_d: cold.s_per_d,
        hot_deg_c: hot.deg_c,
        hot_s_per_d: hot.s_per_d,
        middle: counted.rate_middle.map(|middle| (middle.deg_c, middle.s_per_d)),
    };
    let came = rates.result().map(|result| {
        let middle = result.middle_error_s_per_d.map(|_| sums::MIDDLE_NOTE.to_owned());
        let notes = middle.into_iter().collect();
        told(wire::SumKind::Temperature, of.name, &sums::temperature(&result), notes)
    });
    Some(came.map_err(|error| said::sentence(&error.to_string())))
}

fn materials(of: &Of<'_>) -> Came {
    let counted = &of.known.counted;
    let spring = counted.spring_expansion_ppm?.scaled(PPM);
    let modulus = counted.modulus_change_ppm?.scaled(PPM);
    let coefficient = counted.balance_expansion_ppm.map(|balance| {
        coefficient_s_per_d_per_deg_c(&SpringAndBalance {
            balance_expansion_per_deg_c: balance.scaled(PPM),
            spring_expansion_per_deg_c: spring,
            modulus_change_per_deg_c: modulus,
        })
    });
    let came = coefficient.transpose().and_then(|coefficient| {
        let compensating = compensating_expansion_per_deg_c(spring, modulus)?;
        let notes = vec![sums::COMPENSATING_NOTE.to_owned()];
        let sums = sums::materials(coefficient, compensating);
        Ok(told(wire::SumKind::Materials, of.name, &sums, notes))
    });
    Some(came.map_err(|error| said::sentence(&error.to_string())))
}

fn hairspring(of: &Of<'_>) -> Came {
    let counted = &of.known.counted;
    let trial = CountedTrial {
        trial_length_mm: counted.trial_length_mm?,
        beats: counted.trial_beats?.value,
        time_s: counted.trial_time_s?,
    };
    let came = trial.length_for(of.beat?, None).map(|length| {
        let keep = wire::ReckonedKeep {
            key: "spring-length-mm".into(),
            words: "length of the hairspring".into(),
            text: written(length.active_length_mm),
        };
        let notes = vec![sums::hairspring_note(&length)];
        let told = told(wire::SumKind::Hairspring, of.name, &sums::hairspring(&length), notes);
        wire::ReckonedSum { keep: Some(keep), ..told }
    });
    Some(came.map_err(|error| said::sentence(&error.to_string())))
}

/// The larger of the two is the wheel, be it that it is driven.
fn depth(bare: &Bare<'_>, place: usize) -> Came {
    let (_, size) = bare.calibre.mesh_sizes.get(place)?;
    let mesh = bare.movement.parts().meshes.get(place)?;
    let [Some(one), Some(other)] = mesh.between.map(|at| bare.known_teeth(at)) else { return None };
    let (wheel, pinion) = (one.max(other), one.min(other));
    let depth = match (size.centre_distance_mm, size.module_mm) {
        (Some(mm), _) => Depth::from_centre_distance(wheel, pinion, mm),
        (None, Some(mm)) => Depth::from_module(wheel, pinion, mm),
        (None, None) => return None,
    };
    let name = mesh.between.map(|at| bare.movement.toothed_name(at)).join(" and ");
    if mesh.inside {
        let why = "sizes of a mesh with its teeth inside are not worked out: write none for it.";
        return Some(Err(said::sentence(why)));
    }
    let addenda = Addenda::usual(pinion);
    let came = depth.and_then(|depth| {
        let full = depth.wheel_full_diameter_mm(addenda)?;
        let sums = sums::depth(&depth, full, depth.pinion_full_diameter_mm(addenda)?);
        Ok(told(wire::SumKind::Depth, &name, &sums, vec![sums::depth_note(addenda)]))
    });
    Some(came.map_err(|error| said::sentence(&error.to_string())))
}
