//! Which arbors turn together, and how fast each does against the others.

use super::{Impossible, Mesh, Movement, Ratio};
use std::collections::VecDeque;

/// So many rings that cannot turn are told; who has mended them looks again.
const MOST_JAMS: usize = 20;

/// The arbors in groups that mesh, each with its speed against the first of its group.
#[derive(Debug, Clone)]
pub(crate) struct Gearing {
    turns: Vec<Turns>,
    trains: usize,
    /// The meshes that do not go with the others: arbors from one side of the mesh round to the
    /// other.
    pub(crate) jams: Vec<Vec<usize>>,
}

/// How an arbor turns against the first of its train.
#[derive(Debug, Clone, Copy)]
struct Turns {
    train: usize,
    /// Turns for one turn of the first.
    ratio: Ratio,
    /// The other way round.
    reversed: bool,
    /// From which arbor this was found; itself for the first.
    from: usize,
}

/// What one side of a mesh is to the other.
struct Step {
    to: usize,
    /// Turns of the other side for one of this side.
    ratio: Ratio,
    reverses: bool,
}

impl Gearing {
    pub(crate) fn of(movement: &Movement) -> Result<Self, Impossible> {
        let count = movement.parts().arbors.len();
        let mut steps: Vec<Vec<Step>> = (0..count).map(|_| Vec::new()).collect();
        for mesh in &movement.parts().meshes {
            for (from, step) in both_ways(movement, mesh)? {
                steps[from].push(step);
            }
        }
        let mut turns: Vec<Option<Turns>> = vec![None; count];
        let mut trains = 0;
        let mut jams: Vec<(usize, usize)> = Vec::new();
        for first in 0..count {
            if turns[first].is_some() {
                continue;
            }
            let alone = Turns { train: trains, ratio: Ratio::ONE, reversed: false, from: first };
            turns[first] = Some(alone);
            let mut queue = VecDeque::from([(first, alone)]);
            while let Some((at, here)) = queue.pop_front() {
                for step in &steps[at] {
                    let ratio = here.ratio.times(step.ratio).ok_or(Impossible::RatioTooLong)?;
                    let reversed = here.reversed != step.reverses;
                    match turns[step.to] {
                        Some(there) if (there.ratio, there.reversed) == (ratio, reversed) => {}
                        Some(_)
                            if jams.contains(&(step.to, at)) || jams.contains(&(at, step.to)) => {}
                        Some(_) if jams.len() == MOST_JAMS => {}
                        Some(_) => jams.push((at, step.to)),
                        None => {
                            let there = Turns { train: trains, ratio, reversed, from: at };
                            turns[step.to] = Some(there);
                            queue.push_back((step.to, there));
                        }
                    }
                }
            }
            trains += 1;
        }
        let turns: Vec<Turns> = turns.into_iter().flatten().collect();
        let mut gearing = Self { turns, trains, jams: Vec::new() };
        gearing.jams = jams.into_iter().map(|(one, other)| gearing.path(one, other)).collect();
        Ok(gearing)
    }

    /// How many groups of arbors mesh with nothing outside.
    pub(crate) fn trains(&self) -> usize {
        self.trains
    }

    /// To which group an arbor belongs.
    pub(crate) fn train(&self, arbor: usize) -> usize {
        self.turns[arbor].train
    }

    /// Turns of `arbor` for one turn of `of`, both of one train.
    pub(crate) fn ratio(&self, arbor: usize, of: usize) -> Result<Ratio, Impossible> {
        self.turns[arbor].ratio.over(self.turns[of].ratio).ok_or(Impossible::RatioTooLong)
    }

    /// Whether two arbors of one train turn opposite ways.
    pub(crate) fn opposite(&self, one: usize, other: usize) -> bool {
        self.turns[one].reversed != self.turns[other].reversed
    }

    /// The arbors from one to another of its train, both included, each meshing with the next.
    pub(crate) fn path(&self, one: usize, other: usize) -> Vec<usize> {
        let mut there = self.to_first(one);
        let mut back = self.to_first(other);
        // What both have in common at the first arbor's end, but for the last of it, is a detour.
        while let [.., a, _] = there[..]
            && let [.., b, _] = back[..]
            && a == b
        {
            there.pop();
            back.pop();
        }
        back.pop();
        there.extend(back.into_iter().rev());
        there
    }

    /// The arbors from this one to the first of its train.
    fn to_first(&self, arbor: usize) -> Vec<usize> {
        let mut all = vec![arbor];
        let mut at = arbor;
        while self.turns[at].from != at {
            at = self.turns[at].from;
            all.push(at);
        }
        all
    }
}

fn both_ways(movement: &Movement, mesh: &Mesh) -> Result<[(usize, Step); 2], Impossible> {
    let [one, other] = mesh.between;
    let teeth = |at| u128::from(movement.teeth(at));
    let ratio = Ratio::new(teeth(one), teeth(other)).ok_or(Impossible::RatioTooLong)?;
    let reverses = !mesh.inside;
    Ok([
        (one.arbor, Step { to: other.arbor, ratio, reverses }),
        (other.arbor, Step { to: one.arbor, ratio: ratio.inverse(), reverses }),
    ])
}
