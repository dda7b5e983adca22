//! What an unknown number of teeth is judged by, as one product: each thing that ought to be right
//! turns at `coefficient * x^a * y^b` times its right speed, where x and y are the unknown teeth and
//! a and b are -1, 0 or 1, since a train's ratio is a product of teeth over a product of teeth.

use super::{Refused, Unknown};
use crate::train::gearing::Gearing;
use crate::train::{Impossible, Movement, Ratio, ToothedAt};
use quantities::Rate;

/// Something that ought to be right.
pub(super) struct Condition {
    pub(super) words: String,
    /// Its speed over its right speed, were both unknowns 1.
    coefficient: Ratio,
    /// Powers of the unknowns.
    pub(super) powers: [i8; 2],
}

impl Condition {
    /// What it gains with these teeth.
    pub(super) fn rate(&self, teeth: [u32; 2]) -> Result<Rate, Impossible> {
        let mut speed = self.coefficient;
        for (teeth, power) in teeth.into_iter().zip(self.powers) {
            let teeth = Ratio::whole(u128::from(teeth)).ok_or(Impossible::RatioTooLong)?;
            speed = match power {
                1 => speed.times(teeth).ok_or(Impossible::RatioTooLong)?,
                -1 => speed.over(teeth).ok_or(Impossible::RatioTooLong)?,
                _ => speed,
            };
        }
        Ok(Rate::from_fraction(speed.relative_difference(Ratio::ONE)))
    }

    /// Teeth of the unknown of this place with which it would be right, which need not be whole.
    pub(super) fn exact(&self, place: usize, mut known: [u32; 2]) -> Result<f64, Impossible> {
        known[place] = 1;
        let speed = 1.0 + self.rate(known)?.fraction();
        Ok(if self.powers[place] > 0 { 1.0 / speed } else { speed })
    }

    /// Both unknowns are on one side: two wheels, or two pinions.
    pub(super) fn alike(&self) -> bool {
        self.powers[0] == self.powers[1]
    }
}

/// Something whose speed is known, or ought to be so much.
struct Known {
    words: String,
    arbor: usize,
    kind: Kind,
}

enum Kind {
    /// Turns per second.
    Turns(Ratio),
    /// Beats per hour of the balance on this escape wheel, and beats for each of its teeth.
    Beats(Ratio, ToothedAt, u32),
}

/// What sets the speed, in words, and all that is judged by it.
pub(super) fn conditions(
    movement: &Movement,
    unknowns: &[Unknown],
) -> Result<(String, Vec<Condition>), Refused> {
    let ones = Tried::of(movement, unknowns, [1, 1])?;
    // A product's power is seen by doubling one factor.
    let doubled = [Tried::of(movement, unknowns, [2, 1])?, Tried::of(movement, unknowns, [1, 2])?];
    let gearing = &ones.gearing;
    if !gearing.jams.is_empty() {
        return Err(Refused::Ring);
    }
    let train = gearing.train(unknowns[0].at.arbor);
    if unknowns.iter().any(|unknown| gearing.train(unknown.at.arbor) != train) {
        return Err(Refused::DifferentTrains);
    }
    let mut known = known(movement, gearing, train).into_iter();
    let Some(reference) = known.next() else {
        return Err(Refused::SpeedUnknown { name: movement.toothed_name(unknowns[0].at) });
    };
    let mut all = Vec::new();
    for judged in known {
        let coefficient = ones.speed(&reference, &judged)?;
        let mut powers = [0; 2];
        for (power, doubled) in powers.iter_mut().zip(&doubled) {
            let other = doubled.speed(&reference, &judged)?;
            *power = match other.relative_difference(coefficient) {
                more if more > 0.0 => 1,
                less if less < 0.0 => -1,
                _ => 0,
            };
        }
        if powers != [0, 0] {
            all.push(Condition { words: judged.words, coefficient, powers });
        }
    }
    for (place, unknown) in unknowns.iter().enumerate() {
        if all.iter().all(|condition| condition.powers[place] == 0) {
            return Err(Refused::NothingDepends { name: movement.toothed_name(unknown.at) });
        }
    }
    Ok((reference.words, all))
}

/// What is known of a train. A balance sets the speed where its beat is known; else the time of a
/// turn, else the first hand.
fn known(movement: &Movement, gearing: &Gearing, train: usize) -> Vec<Known> {
    let parts = movement.parts();
    let mut all = Vec::new();
    for balance in &parts.balances {
        if let Some(beats) = balance.beats_per_hour {
            all.push(Known {
                words: format!("balance {}", balance.name),
                arbor: balance.escape.arbor,
                kind: Kind::Beats(beats, balance.escape, balance.beats_per_tooth),
            });
        }
    }
    for (arbor, known) in parts.arbors.iter().enumerate() {
        if let Some(turn_s) = known.turns_in_s {
            let words = format!("the {} arbor", known.name);
            all.push(Known { words, arbor, kind: Kind::Turns(turn_s.inverse()) });
        }
    }
    for hand in &parts.hands {
        let kind = Kind::Turns(hand.ought_to_turn_in_s.inverse());
        all.push(Known { words: format!("the {} hand", hand.name), arbor: hand.on, kind });
    }
    all.retain(|known| gearing.train(known.arbor) == train);
    all
}

/// A movement with some numbers in the places of the unknowns.
struct Tried {
    movement: Movement,
    gearing: Gearing,
}

impl Tried {
    fn of(movement: &Movement, unknowns: &[Unknown], teeth: [u32; 2]) -> Result<Self, Impossible> {
        let mut movement = movement.clone();
        for (unknown, teeth) in unknowns.iter().zip(teeth) {
            movement = movement.with_teeth(unknown.at, teeth)?;
        }
        let gearing = Gearing::of(&movement)?;
        Ok(Self { movement, gearing })
    }

    /// Speed of what is judged over its right speed, where the reference has its own.
    fn speed(&self, reference: &Known, judged: &Known) -> Result<Ratio, Impossible> {
        let has = self
            .turns_per_s(reference)?
            .times(self.gearing.ratio(judged.arbor, reference.arbor)?)
            .ok_or(Impossible::RatioTooLong)?;
        has.over(self.turns_per_s(judged)?).ok_or(Impossible::RatioTooLong)
    }

    fn turns_per_s(&self, known: &Known) -> Result<Ratio, Impossible> {
        match known.kind {
            Kind::Turns(turns) => Ok(turns),
            Kind::Beats(per_hour, escape, beats_per_tooth) => {
                let teeth = u128::from(self.movement.teeth(escape));
                Ratio::whole(teeth * u128::from(beats_per_tooth) * 3600)
                    .and_then(|beats| per_hour.over(beats))
                    .ok_or(Impossible::RatioTooLong)
            }
        }
    }
}
