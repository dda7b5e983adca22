//! What turns, what it drives, and what it shows.

use super::Bare;
use crate::convert::{index, value};
use crate::wire;
use horology::train::{Impossible, Ratio};
use quantities::Measured;
use words::trains as said;

/// A number that only means something where all teeth are known.
fn known(bare: &Bare<'_>, ratio: Option<Ratio>) -> Option<f64> {
    ratio.filter(|_| bare.speeds_known).map(Ratio::to_f64)
}

fn period_words(seconds: Option<f64>) -> String {
    seconds.map_or_else(|| "–".into(), said::period)
}

pub(super) fn arbors(bare: &Bare<'_>) -> Vec<wire::ReckonedArbor> {
    let arbors = bare.movement.parts().arbors.iter().zip(&bare.running.arbors);
    let each = arbors.map(|(arbor, runs)| {
        let turn_s = known(bare, runs.turn_s);
        let balances = &bare.running.balances;
        wire::ReckonedArbor {
            name: arbor.name.clone(),
            train: index(runs.train),
            balance: balances.iter().position(|one| one.train == runs.train).map(index),
            turn_s,
            turn_words: period_words(turn_s),
            sense: runs.sense.map_or_else(String::new, |sense| said::sense(sense).into()),
        }
    });
    each.collect()
}

pub(super) fn meshes(bare: &Bare<'_>) -> Vec<wire::ReckonedMesh> {
    let parts = bare.movement.parts();
    let each = parts.meshes.iter().zip(&bare.running.meshes).map(|(mesh, runs)| {
        let repeat_s = known(bare, runs.repeat_s);
        wire::ReckonedMesh {
            arbors: mesh.between.map(|at| index(at.arbor)),
            names: mesh.between.map(|at| bare.movement.toothed_name(at)),
            teeth: mesh.between.map(|at| bare.known_teeth(at)),
            tooth_s: known(bare, runs.tooth_s),
            repeat_s,
            repeat_words: period_words(repeat_s),
        }
    });
    each.collect()
}

pub(super) fn hands(bare: &Bare<'_>, measured: &[Option<Measured>]) -> Vec<wire::ReckonedHand> {
    let hands = bare.movement.parts().hands.iter().zip(&bare.running.hands);
    let each = hands.map(|(hand, runs)| {
        let beat = runs.balance.and_then(|place| measured[place]);
        let measured = beat.and_then(|beat| runs.rate_s_per_d_at(beat));
        let measured = measured.filter(|_| bare.speeds_known);
        wire::ReckonedHand {
            name: hand.name.clone(),
            arbor: index(hand.on),
            balance: runs.balance.map(index),
            turn_words: period_words(known(bare, runs.turn_s)),
            rate_s_per_d: runs.rate.filter(|_| bare.speeds_known).map(|rate| rate.s_per_d()),
            words: if bare.speeds_known { said::verdict(runs) } else { "speed unknown".into() },
            measured_rate_s_per_d: measured.map(value),
            measured_words: measured.map_or_else(String::new, said::gains_as_measured),
            right_at_beats_per_hour: known(bare, runs.right_at_beats_per_hour),
        }
    });
    each.collect()
}

pub(super) fn barrels(bare: &Bare<'_>, turns_of_spring: &[bool]) -> Vec<wire::ReckonedBarrel> {
    let barrels = bare.movement.parts().barrels.iter().zip(&bare.running.barrels);
    let each = barrels.zip(turns_of_spring).map(|((barrel, runs), of_spring)| {
        let runs_s = known(bare, runs.runs_s);
        wire::ReckonedBarrel {
            name: barrel.name.clone(),
            drum: index(barrel.drum),
            turn_words: period_words(known(bare, runs.turn_s)),
            turns: known(bare, runs.turns),
            turns_of_spring: *of_spring,
            runs_s,
            runs_words: period_words(runs_s),
        }
    });
    each.collect()
}

pub(super) fn cycles(bare: &Bare<'_>) -> Result<Vec<wire::ReckonedCycle>, Impossible> {
    let cycles = bare.running.cycles(bare.movement)?.into_iter();
    let each = cycles.map(|cycle| {
        let period_s = cycle.period_s.to_f64();
        wire::ReckonedCycle {
            name: cycle.name,
            kind: cycle.kind.code().into(),
            train: index(cycle.train),
            period_s,
            period_words: said::period(period_s),
            beats: cycle.beats.map(Ratio::to_f64),
        }
    });
    Ok(each.collect())
}
