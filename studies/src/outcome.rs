//! What became of a recording of several balances, in one word.

use crate::hearing::Heard;
use crate::verdict::Verdict;
use beats::RelationState;

/// One word for a recording.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) enum Outcome {
    /// Every balance is there with rate, amplitude and beat error, all within the limits.
    Right,
    /// Every balance is there and nothing is wrong, but a value is withheld or its own
    /// uncertainty says that it is coarse.
    Coarse,
    /// A balance is missing, and the reading says so (missing or not to be told apart).
    Admitted,
    /// A balance is missing, and the reading does not say so.
    Unsaid,
    /// A value is wrong and claimed with a small uncertainty, or a balance is not there.
    Wrong,
}

impl Outcome {
    pub(crate) const ALL: [Self; 5] =
        [Self::Right, Self::Coarse, Self::Admitted, Self::Unsaid, Self::Wrong];

    pub(crate) fn of(verdict: &Verdict) -> Self {
        let all_there = verdict.matching.pairs.len() == verdict.laid_down;
        match () {
            () if verdict.is_wrong_and_sure() => Self::Wrong,
            () if verdict.is_right() => Self::Right,
            () if all_there => Self::Coarse,
            () if verdict.admits => Self::Admitted,
            () => Self::Unsaid,
        }
    }

    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Right => "right",
            Self::Coarse => "coarse",
            Self::Admitted => "says unresolved or missing",
            Self::Unsaid => "one missing, not said",
            Self::Wrong => "wrong and sure",
        }
    }
}

/// How many recordings came out in each way.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Outcomes([u64; 5]);

impl Outcomes {
    pub(crate) fn add(&mut self, outcome: Outcome) {
        self.0[outcome as usize] += 1;
    }

    pub(crate) fn of(self, outcome: Outcome) -> u64 {
        self.0[outcome as usize]
    }

    pub(crate) fn total(self) -> u64 {
        self.0.iter().sum()
    }
}

impl FromIterator<Outcome> for Outcomes {
    fn from_iter<I: IntoIterator<Item = Outcome>>(outcomes: I) -> Self {
        let mut counts = Self::default();
        outcomes.into_iter().for_each(|o| counts.add(o));
        counts
    }
}

/// Whether what is said of the relation of two balances contradicts what was laid down. Balances
/// that differ by less than this cannot be told from locked ones by any recording of a minute:
/// they drift by less than half a microsecond a second.
const NEARLY_LOCKED_S_PER_D: f64 = 0.04;

/// What is said of the relation, if anything, and whether that is false.
pub(crate) fn relation(heard: &Heard) -> Option<(RelationState, bool)> {
    let state = heard.reading.relation.as_ref()?.state;
    let [one, other] = heard.truth.balances.as_slice() else {
        return Some((state, false));
    };
    let same_beat = one.beats_per_hour == other.beats_per_hour;
    let difference = (one.rate_by_slope_s_per_d - other.rate_by_slope_s_per_d).abs();
    let differ = !same_beat || difference > NEARLY_LOCKED_S_PER_D;
    let false_claim = match state {
        RelationState::Independent => !differ,
        RelationState::Locked => differ,
        RelationState::Unresolved => false,
    };
    Some((state, false_claim))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts() {
        let counts: Outcomes =
            [Outcome::Right, Outcome::Wrong, Outcome::Right].into_iter().collect();
        assert_eq!((counts.of(Outcome::Right), counts.of(Outcome::Wrong)), (2, 1));
        assert_eq!(counts.total(), 3);
    }
}
