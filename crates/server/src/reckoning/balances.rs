//! Balances: their beat by the train, and by what is known of them.

use super::{Bare, problem, sentence, written};
use crate::convert::{index, value};
use crate::wire;
use calibre::{BalanceKnown, bench_unit};
use horology::balance::{
    BalanceError, Completed, Piece, beats_per_hour_of_period, gain_against_train_s_per_d,
    period_s_of_beats_per_hour,
};
use horology::escapement::{SightMark, unlocking_to_drop_s};
use horology::train::Ratio;
use quantities::{BeatFrequency, LiftAngle, Measured};
use words::trains as said;

pub(super) fn balances(
    bare: &Bare<'_>,
    wish: &wire::ReckonWish,
    problems: &mut Vec<wire::ReckonedProblem>,
) -> Vec<wire::ReckonedBalance> {
    let balances = bare.movement.parts().balances.iter().zip(&bare.running.balances);
    let each = balances.zip(&bare.calibre.balances).map(|((balance, runs), known)| {
        let beats = runs.beats_per_hour.filter(|_| bare.speeds_known).map(Ratio::to_f64);
        let follows = Follows::of(known, beats).unwrap_or_else(|error| {
            problems.push(problem(
                Some(known.line),
                "balance",
                words::regulating::sentence(&error.to_string()),
            ));
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
            sight: heard(wish, &balance.name).map(sight),
        }
    });
    each.collect()
}

/// The time from unlocking to drop in the reading of a balance, ms: that was heard, whatever lift angle
/// made an amplitude of it.
fn heard(wish: &wire::ReckonWish, name: &str) -> Option<Measured> {
    const MS_PER_S: f64 = 1e3;
    let beat = wish.measured.iter().flatten().find(|beat| beat.balance == name)?;
    let amplitude = Measured::new(beat.amplitude_deg?, beat.sd_amplitude_deg.unwrap_or(0.0));
    let lift = LiftAngle::from_deg(beat.lift_angle_deg?).ok()?;
    let per_hour = BeatFrequency::from_per_hour(beat.beats_per_hour).ok()?;
    Some(unlocking_to_drop_s(amplitude, lift, per_hour).ok()?.scaled(MS_PER_S))
}

/// As the written form wants it.
fn sight(unlocking_to_drop_ms: Measured) -> wire::ReckonedSight {
    let mark = |words: &str, mark: SightMark| wire::ReckonedMark {
        words: words.into(),
        seen_amplitude_deg: written(mark.amplitude_deg()),
    };
    wire::ReckonedSight {
        unlocking_to_drop_ms: written(unlocking_to_drop_ms),
        marks: vec![
            mark("half a turn", SightMark::HalfTurn),
            mark("three quarters of a turn", SightMark::ThreeQuarterTurn),
        ],
    }
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
