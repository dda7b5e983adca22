//! What repeats in a train, with its name: the list in which a periodic disturbance is looked up.

use super::{Impossible, Movement, Ratio, Running};

/// What it is that repeats.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CycleKind {
    /// A turn of an arbor.
    Turn,
    /// Tooth after tooth of a pair that meshes.
    Tooth,
    /// The same two teeth of a pair meeting again.
    PairAgain,
}

impl CycleKind {
    /// Stable name for programs.
    #[must_use]
    pub fn code(self) -> &'static str {
        match self {
            Self::Turn => "turn",
            Self::Tooth => "tooth",
            Self::PairAgain => "pair_again",
        }
    }
}

/// Something that repeats while the movement runs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cycle {
    /// What it is, in words: `turn of the fourth arbor`.
    pub name: String,
    /// Of what kind.
    pub kind: CycleKind,
    /// To which train it belongs, counted from 0.
    pub train: usize,
    /// The arbors that it is of, as places among the movement's: one for a turn, two for teeth.
    pub arbors: Vec<usize>,
    /// How long it takes, seconds.
    pub period_s: Ratio,
    /// How long it takes in beats of the train's balance, where it has one.
    pub beats: Option<Ratio>,
}

impl Running {
    /// Everything that repeats at a known period, the shortest first.
    ///
    /// # Errors
    /// Where a ratio has too many figures to be exact.
    pub fn cycles(&self, movement: &Movement) -> Result<Vec<Cycle>, Impossible> {
        let mut all = Vec::new();
        for (place, arbor) in movement.parts().arbors.iter().enumerate() {
            if let Some(turn_s) = self.arbors[place].turn_s {
                let name = format!("turn of the {} arbor", arbor.name);
                all.push(self.cycle(name, CycleKind::Turn, vec![place], turn_s)?);
            }
        }
        for (mesh, runs) in movement.parts().meshes.iter().zip(&self.meshes) {
            let (Some(tooth_s), Some(repeat_s)) = (runs.tooth_s, runs.repeat_s) else { continue };
            let [one, other] = mesh.between.map(|at| movement.toothed_name(at));
            let arbors = mesh.between.map(|at| at.arbor).to_vec();
            let name = format!("teeth of the {one} and the {other}");
            all.push(self.cycle(name, CycleKind::Tooth, arbors.clone(), tooth_s)?);
            let name = format!("same teeth of the {one} and the {other}");
            all.push(self.cycle(name, CycleKind::PairAgain, arbors, repeat_s)?);
        }
        all.sort_by(|one, other| one.period_s.to_f64().total_cmp(&other.period_s.to_f64()));
        Ok(all)
    }

    fn cycle(
        &self,
        name: String,
        kind: CycleKind,
        arbors: Vec<usize>,
        period_s: Ratio,
    ) -> Result<Cycle, Impossible> {
        let train = self.arbors[arbors[0]].train;
        let balance = self.balances.iter().find(|balance| balance.train == train);
        let beats = match balance.and_then(|balance| balance.beats_per_hour) {
            Some(per_hour) => {
                let hour_s = Ratio::whole(3600).unwrap_or(Ratio::ONE);
                let beats = period_s.times(per_hour).and_then(|beats| beats.over(hour_s));
                Some(beats.ok_or(Impossible::RatioTooLong)?)
            }
            None => None,
        };
        Ok(Cycle { name, kind, train, arbors, period_s, beats })
    }
}
