//! How a movement runs: the time of every turn and tooth, beats per hour, hands, running time.

use super::gearing::Gearing;
use super::ratio::greatest_common_divisor;
use super::{Barrel, Hand, Impossible, Movement, Problem, Ratio};
use quantities::{Measured, Rate, SECONDS_PER_DAY};

/// Seconds in an hour, as a whole number.
const HOUR_S: u128 = 3600;

/// So many contradictions are told; who has mended them looks again.
const MOST_PROBLEMS: usize = 100;

/// Which way something turns, seen from the dial.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sense {
    /// As hands do.
    Clockwise,
    /// The other way.
    Anticlockwise,
}

/// An arbor that turns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ArborRuns {
    /// To which train it belongs, counted from 0: arbors that mesh, and nothing else.
    pub train: usize,
    /// Time of one turn, seconds; `None` where nothing says how fast it turns.
    pub turn_s: Option<Ratio>,
    /// Which way; `None` where no hand tells.
    pub sense: Option<Sense>,
}

/// A pair of teeth that mesh.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeshRuns {
    /// From one tooth to the next, seconds.
    pub tooth_s: Option<Ratio>,
    /// Until the same tooth meets the same tooth again, seconds.
    pub repeat_s: Option<Ratio>,
}

/// A balance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BalanceRuns {
    /// Its train.
    pub train: usize,
    /// Beats (single swings) per hour.
    pub beats_per_hour: Option<Ratio>,
}

/// A hand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HandRuns {
    /// The balance that it hangs on, as a place among the balances.
    pub balance: Option<usize>,
    /// Time of one turn, seconds.
    pub turn_s: Option<Ratio>,
    /// Which way it turns.
    pub sense: Option<Sense>,
    /// What it gains, by the train alone; exactly zero where the train is right.
    pub rate: Option<Rate>,
    /// Beats per hour of its balance at which it would be right.
    pub right_at_beats_per_hour: Option<Ratio>,
}

impl HandRuns {
    /// What this hand gains in s/d where its balance was measured at so many beats per hour:
    /// `r = 86400 (f / f_right - 1)`. `None` where no balance drives it.
    #[must_use]
    pub fn rate_s_per_d_at(&self, beats_per_hour: Measured) -> Option<Measured> {
        let right = self.right_at_beats_per_hour?.to_f64();
        let off = Measured::new(beats_per_hour.value - right, beats_per_hour.sd);
        Some(off.scaled(SECONDS_PER_DAY / right))
    }

    /// Beats per hour that its balance makes where this hand gains so much: the way back. `None`
    /// where no balance drives it, or it would stand or turn back at that rate.
    #[must_use]
    pub fn beats_per_hour_at(&self, rate: Rate) -> Option<f64> {
        let beats = self.right_at_beats_per_hour?.to_f64() * (1.0 + rate.fraction());
        (beats > 0.0).then_some(beats)
    }
}

/// A barrel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BarrelRuns {
    /// Time of one turn of the drum, seconds.
    pub turn_s: Option<Ratio>,
    /// Turns of the drum from wound up to run down, those that other barrels add included.
    pub turns: Option<Ratio>,
    /// Time from wound up to run down, seconds: a bound, since a movement stops before its spring
    /// has no power left.
    pub runs_s: Option<Ratio>,
}

/// How a movement runs. Whatever contradicts is told in `problems`, and the rest holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Running {
    /// As the movement's arbors.
    pub arbors: Vec<ArborRuns>,
    /// As the movement's meshes.
    pub meshes: Vec<MeshRuns>,
    /// As the movement's balances.
    pub balances: Vec<BalanceRuns>,
    /// As the movement's hands.
    pub hands: Vec<HandRuns>,
    /// As the movement's barrels.
    pub barrels: Vec<BarrelRuns>,
    /// What contradicts.
    pub problems: Vec<Problem>,
}

impl Running {
    /// The hands that hang on the balance of this name.
    #[must_use]
    pub fn hands_on<'a>(&self, movement: &'a Movement, balance: &str) -> Vec<&'a str> {
        let parts = movement.parts();
        let balance = parts.balances.iter().position(|own| own.name == balance);
        let hands = parts.hands.iter().zip(&self.hands);
        hands
            .filter(|(_, runs)| balance.is_some() && runs.balance == balance)
            .map(|(hand, _)| hand.name.as_str())
            .collect()
    }

    /// Works out how a movement runs.
    ///
    /// Each train takes its speed from what is said of it: the time of one turn of an arbor, else
    /// the beat of its balance, else the first of its hands that is taken to be right. An arbor's
    /// speed is the driving teeth over the driven ones; beats per hour are twice the escape wheel's
    /// teeth times its turns (bib:goodrich1905, chapter XIV, counts the same way).
    ///
    /// # Errors
    /// Where a ratio has too many figures to be exact.
    pub fn of(movement: &Movement) -> Result<Self, Impossible> {
        let gearing = Gearing::of(movement)?;
        let mut working = Working { movement, gearing: &gearing, problems: Vec::new() };
        working.jams();
        let speeds = working.speeds()?;
        let arbors = working.arbors(&speeds)?;
        let meshes = working.meshes(&arbors)?;
        let balances = working.balances(&arbors)?;
        let hands = working.hands(&arbors, &balances)?;
        let barrels = working.barrels(&arbors)?;
        working.unknown(&arbors);
        Ok(Self { arbors, meshes, balances, hands, barrels, problems: working.problems })
    }
}

struct Working<'a> {
    movement: &'a Movement,
    gearing: &'a Gearing,
    problems: Vec<Problem>,
}

/// What says how fast a train turns: an arbor, its turns per second, and the words for it.
struct Said {
    arbor: usize,
    turns_per_s: Ratio,
    words: String,
}

impl Working<'_> {
    fn jams(&mut self) {
        for ring in &self.gearing.jams {
            self.note(Problem::Jammed { ring: self.names(ring) });
        }
    }

    fn names(&self, arbors: &[usize]) -> Vec<String> {
        arbors.iter().map(|&at| self.movement.parts().arbors[at].name.clone()).collect()
    }

    /// For each train the speed that is said of it. Whatever says otherwise is a problem.
    fn speeds(&mut self) -> Result<Vec<Option<Said>>, Impossible> {
        let mut speeds = Vec::new();
        for train in 0..self.gearing.trains() {
            self.two_balances(train);
            let mut said = self.said(train)?.into_iter();
            let first = said.next();
            if let Some(first) = &first {
                for other in said {
                    self.compare(first, &other)?;
                }
            }
            speeds.push(first.or(self.taken_from_a_hand(train)));
        }
        Ok(speeds)
    }

    fn two_balances(&mut self, train: usize) {
        let balances = &self.movement.parts().balances;
        let mut ours = balances.iter().filter(|b| self.gearing.train(b.escape.arbor) == train);
        let Some(first) = ours.next() else { return };
        for other in ours {
            let path = self.gearing.path(first.escape.arbor, other.escape.arbor);
            let hands = self.movement.parts().hands.iter();
            let hands = hands.filter(|hand| path.contains(&hand.on)).map(|h| h.name.clone());
            self.note(Problem::TwoBalances {
                balances: [first.name.clone(), other.name.clone()],
                hands: hands.collect(),
                path: self.names(&path),
            });
        }
    }

    fn said(&self, train: usize) -> Result<Vec<Said>, Impossible> {
        let parts = self.movement.parts();
        let mut all = Vec::new();
        for (arbor, known) in parts.arbors.iter().enumerate() {
            if let Some(turn_s) = known.turns_in_s.filter(|_| self.gearing.train(arbor) == train) {
                let words = format!("Arbor {} turns once in {} s", known.name, shown(turn_s));
                all.push(Said { arbor, turns_per_s: turn_s.inverse(), words });
            }
        }
        for balance in &parts.balances {
            let arbor = balance.escape.arbor;
            let beats = balance.beats_per_hour.filter(|_| self.gearing.train(arbor) == train);
            if let Some(beats) = beats {
                let beats_per_turn = self.beats_per_turn(balance)?;
                let per_s = beats
                    .over(beats_per_turn)
                    .and_then(|turns| turns.over(whole(HOUR_S)))
                    .ok_or(Impossible::RatioTooLong)?;
                let words =
                    format!("balance {} makes {} beats an hour", balance.name, shown(beats));
                all.push(Said { arbor, turns_per_s: per_s, words });
            }
        }
        Ok(all)
    }

    fn compare(&mut self, first: &Said, other: &Said) -> Result<(), Impossible> {
        let ratio = self.gearing.ratio(other.arbor, first.arbor)?;
        let expected = first.turns_per_s.times(ratio).ok_or(Impossible::RatioTooLong)?;
        if expected != other.turns_per_s {
            let path = self.gearing.path(first.arbor, other.arbor);
            let path = self.names(&path);
            let said = [first.words.clone(), other.words.clone()];
            self.note(Problem::TwoSpeeds { said, path });
        }
        Ok(())
    }

    fn taken_from_a_hand(&self, train: usize) -> Option<Said> {
        let mut hands = self.movement.parts().hands.iter();
        let hand = hands.find(|hand| self.gearing.train(hand.on) == train)?;
        let turns_per_s = hand.ought_to_turn_in_s.inverse();
        Some(Said { arbor: hand.on, turns_per_s, words: String::new() })
    }

    /// Beats of a balance in one turn of its escape wheel.
    fn beats_per_turn(&self, balance: &super::Balance) -> Result<Ratio, Impossible> {
        let teeth = u128::from(self.movement.teeth(balance.escape));
        Ratio::whole(teeth * u128::from(balance.beats_per_tooth)).ok_or(Impossible::RatioTooLong)
    }

    fn arbors(&self, speeds: &[Option<Said>]) -> Result<Vec<ArborRuns>, Impossible> {
        let mut all = Vec::new();
        for arbor in 0..self.movement.parts().arbors.len() {
            let train = self.gearing.train(arbor);
            let mut turn_s = None;
            if let Some(said) = &speeds[train] {
                let ratio = self.gearing.ratio(arbor, said.arbor)?;
                let per_s = said.turns_per_s.times(ratio).ok_or(Impossible::RatioTooLong)?;
                turn_s = Some(per_s.inverse());
            }
            all.push(ArborRuns { train, turn_s, sense: self.sense(arbor, train) });
        }
        Ok(all)
    }

    /// As the first hand of the train, which is taken to turn as it ought to.
    fn sense(&self, arbor: usize, train: usize) -> Option<Sense> {
        let mut hands = self.movement.parts().hands.iter();
        let hand = hands.find(|hand| self.gearing.train(hand.on) == train)?;
        Some(sense(self.gearing.opposite(arbor, hand.on) != hand.anticlockwise))
    }

    fn meshes(&self, arbors: &[ArborRuns]) -> Result<Vec<MeshRuns>, Impossible> {
        let mut all = Vec::new();
        for mesh in &self.movement.parts().meshes {
            let teeth = mesh.between.map(|at| u128::from(self.movement.teeth(at)));
            let Some(turn_s) = arbors[mesh.between[0].arbor].turn_s else {
                all.push(MeshRuns { tooth_s: None, repeat_s: None });
                continue;
            };
            let tooth_s = turn_s.over(whole(teeth[0])).ok_or(Impossible::RatioTooLong)?;
            // The same two teeth meet after the least common multiple of both numbers.
            let meetings = teeth[0] / greatest_common_divisor(teeth[0], teeth[1]) * teeth[1];
            let repeat_s = tooth_s.times(whole(meetings)).ok_or(Impossible::RatioTooLong)?;
            all.push(MeshRuns { tooth_s: Some(tooth_s), repeat_s: Some(repeat_s) });
        }
        Ok(all)
    }

    fn balances(&self, arbors: &[ArborRuns]) -> Result<Vec<BalanceRuns>, Impossible> {
        let mut all = Vec::new();
        for balance in &self.movement.parts().balances {
            let escape = arbors[balance.escape.arbor];
            let mut beats_per_hour = None;
            if let Some(turn_s) = escape.turn_s {
                let beats = self
                    .beats_per_turn(balance)?
                    .times(whole(HOUR_S))
                    .and_then(|beats| beats.over(turn_s));
                beats_per_hour = Some(beats.ok_or(Impossible::RatioTooLong)?);
            }
            all.push(BalanceRuns { train: escape.train, beats_per_hour });
        }
        Ok(all)
    }

    fn hands(
        &mut self,
        arbors: &[ArborRuns],
        balances: &[BalanceRuns],
    ) -> Result<Vec<HandRuns>, Impossible> {
        let mut all = Vec::new();
        for hand in &self.movement.parts().hands {
            let arbor = arbors[hand.on];
            let balance = balances.iter().position(|balance| balance.train == arbor.train);
            let rate = arbor.turn_s.map(|turn_s| {
                Rate::from_fraction(hand.ought_to_turn_in_s.relative_difference(turn_s))
            });
            let right_at = match balance {
                Some(place) => Some(self.right_at(hand, place)?),
                None => None,
            };
            all.push(HandRuns {
                balance,
                turn_s: arbor.turn_s,
                sense: arbor.sense,
                rate,
                right_at_beats_per_hour: right_at,
            });
            if arbor.sense.is_some_and(|turns| turns != sense(hand.anticlockwise)) {
                self.note(Problem::Backwards { hand: hand.name.clone() });
            }
        }
        Ok(all)
    }

    fn right_at(&self, hand: &Hand, balance: usize) -> Result<Ratio, Impossible> {
        let balance = &self.movement.parts().balances[balance];
        let turns = self.gearing.ratio(balance.escape.arbor, hand.on)?;
        self.beats_per_turn(balance)?
            .times(turns)
            .and_then(|beats| beats.times(whole(HOUR_S)))
            .and_then(|beats| beats.over(hand.ought_to_turn_in_s))
            .ok_or(Impossible::RatioTooLong)
    }

    fn barrels(&mut self, arbors: &[ArborRuns]) -> Result<Vec<BarrelRuns>, Impossible> {
        let mut all = Vec::new();
        for (place, barrel) in self.movement.parts().barrels.iter().enumerate() {
            let turn_s = arbors[barrel.drum].turn_s;
            let turns = self.drum_turns(barrel, &mut vec![place])?;
            let runs_s = match (turn_s, turns) {
                (Some(turn_s), Some(turns)) => {
                    Some(turn_s.times(turns).ok_or(Impossible::RatioTooLong)?)
                }
                _ => None,
            };
            all.push(BarrelRuns { turn_s, turns, runs_s });
        }
        Ok(all)
    }

    /// Turns of a drum until it is run down. Where another barrel turns its arbor, the turns that
    /// the arbor makes meanwhile come on top. `before` holds the barrels that lead here.
    fn drum_turns(
        &mut self,
        barrel: &Barrel,
        before: &mut Vec<usize>,
    ) -> Result<Option<Ratio>, Impossible> {
        let Some(arbor) = barrel.arbor else { return Ok(barrel.turns) };
        let barrels = &self.movement.parts().barrels;
        let feeding = barrels.iter().position(|other| {
            other.name != barrel.name && self.gearing.train(other.drum) == self.gearing.train(arbor)
        });
        let Some(feeding) = feeding else {
            self.note(Problem::BarrelArborAlone { barrel: barrel.name.clone() });
            return Ok(None);
        };
        if before.contains(&feeding) {
            self.note(Problem::BarrelsInCircle { barrel: barrel.name.clone() });
            return Ok(None);
        }
        before.push(feeding);
        let feeding = &barrels[feeding];
        let fed = self.drum_turns(feeding, before)?;
        let (Some(own), Some(fed)) = (barrel.turns, fed) else { return Ok(None) };
        let ratio = self.gearing.ratio(arbor, feeding.drum)?;
        let added = fed.times(ratio).ok_or(Impossible::RatioTooLong)?;
        own.plus(added).ok_or(Impossible::RatioTooLong).map(Some)
    }

    fn note(&mut self, problem: Problem) {
        if self.problems.len() < MOST_PROBLEMS && !self.problems.contains(&problem) {
            self.problems.push(problem);
        }
    }

    /// Arbors that turn at no known speed, train by train. One whose barrel winds another has none
    /// that is constant.
    fn unknown(&mut self, arbors: &[ArborRuns]) {
        let parts = self.movement.parts();
        for train in 0..self.gearing.trains() {
            let winds = parts
                .barrels
                .iter()
                .any(|b| b.arbor.is_some_and(|arbor| self.gearing.train(arbor) == train));
            let ours: Vec<usize> = (0..arbors.len())
                .filter(|&at| arbors[at].train == train && arbors[at].turn_s.is_none())
                .collect();
            if !ours.is_empty() && !winds {
                self.note(Problem::SpeedUnknown { arbors: self.names(&ours) });
            }
        }
    }
}

fn sense(anticlockwise: bool) -> Sense {
    if anticlockwise { Sense::Anticlockwise } else { Sense::Clockwise }
}

/// A number that cannot be zero: teeth that were checked, and an hour.
fn whole(number: u128) -> Ratio {
    Ratio::whole(number).unwrap_or(Ratio::ONE)
}

/// A ratio in a sentence: as a decimal where it is whole or long.
fn shown(ratio: Ratio) -> String {
    let value = ratio.to_f64();
    if ratio.denominator() == 1 { ratio.to_string() } else { format!("{value:.6}") }
}
