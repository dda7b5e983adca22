//! Balances: their beat by the train, and by what is known of them.

use super::{Bare, problem, sentence};
use crate::convert::{index, value};
use crate::wire;
use calibre::{BalanceKnown, bench_unit};
use horology::balance::{
    BalanceError, Completed, Piece, beats_per_hour_of_period, gain_against_train_s_per_d,
    period_s_of_beats_per_hour,
};
use horology::train::Ratio;
use quantities::Measured;
use words::trains as said;

pub(super) fn balances(
    bare: &Bare<'_>,
    problems: &mut Vec<wire::ReckonedProblem>,
) -> Vec<wire::ReckonedBalance> {
    let balances = bare.movement.parts().balances.iter().zip(&bare.running.balances);
    let each = balances.zip(&bare.calibre.balances).map(|((balance, runs), known)| {
        let beats = runs.beats_per_hour.filter(|_| bare.speeds_known).map(Ratio::to_f64);
        let follows = Follows::of(known, beats).unwrap_or_else(|error| {
            problems.push(problem(Some(known.line), "balance", sentence(&error) + "."));
            Follows::default()
        });
        wire::ReckonedBalance {
            name: balance.name.clone(),
            escape_arbor: index(balance.escape.arbor),
            beats_per_hour: beats,
            beats_words: beats.map_or_else(|| "–".into(), said::to_four_decimals),
            lift_angle_deg: known.lift_angle_deg.map(value),
            pieces: follows.pieces,
            own_beats_per_hour: follows.own_beats_per_hour.map(value),
            own_gain_s_per_d: follows.own_gain_s_per_d.map(value),
        }
    });
    each.collect()
}

#[derive(Default)]
struct Follows {
    pieces: Vec<wire::ReckonedPiece>,
    own_beats_per_hour: Option<Measured>,
    own_gain_s_per_d: Option<Measured>,
}

impl Follows {
    /// Where inertia and stiffness make a period of their own, that is held against the train's beat;
    /// else the train's beat is the period, from which the rest follows.
    fn of(known: &BalanceKnown, train_beats: Option<f64>) -> Result<Self, BalanceError> {
        if known.is_empty() {
            return Ok(Self::default());
        }
        let by_itself = known.knowns.complete()?;
        if let Some(period) = by_itself.get(Piece::PeriodS) {
            let own = beats_per_hour_of_period(period);
            let gain = train_beats.map(|train| gain_against_train_s_per_d(own, train));
            let pieces = pieces(&by_itself);
            return Ok(Self { pieces, own_beats_per_hour: Some(own), own_gain_s_per_d: gain });
        }
        let Some(beats) = train_beats else {
            return Ok(Self { pieces: pieces(&by_itself), ..Self::default() });
        };
        let period = Measured::new(period_s_of_beats_per_hour(beats), 0.0);
        let with_train = known.knowns.clone().with(Piece::PeriodS, period)?.complete()?;
        Ok(Self { pieces: pieces(&with_train), ..Self::default() })
    }
}

fn pieces(completed: &Completed) -> Vec<wire::ReckonedPiece> {
    let each = Piece::ALL.into_iter().filter_map(|piece| {
        let (unit, si) = bench_unit(piece);
        Some(wire::ReckonedPiece {
            words: sentence(&piece),
            value: value(completed.get(piece)?.scaled(1.0 / si)),
            unit: unit.into(),
            given: completed.came_from(piece) == [piece],
        })
    });
    each.collect()
}
