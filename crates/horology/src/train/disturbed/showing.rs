//! How a cycle shows in what is heard once a beat.

use super::{CycleKind, Searched};

/// A wheel with two faults, or one that is not round, shows by half its turn, one with three by a
/// third; more parts than these agree with too much.
const PARTS_OF_A_TURN: u32 = 3;

/// In which way a cycle is seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Seen {
    /// At its own period.
    Itself,
    /// It is quicker than two beats. Heard once a beat it shows more slowly: what goes round `f` times
    /// a beat, as `f` less the nearest whole number (sampling theorem, from memory).
    Folded,
    /// It moves ticks and tocks opposite ways, which turns its wave over at every beat: it shows at
    /// half a turn a beat less its own.
    TickAgainstTock,
}

impl Seen {
    /// Stable name for programs.
    #[must_use]
    pub fn code(self) -> &'static str {
        match self {
            Self::Itself => "itself",
            Self::Folded => "folded",
            Self::TickAgainstTock => "tick_against_tock",
        }
    }
}

/// How a cycle shows in the beats.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Showing {
    /// The period at which it shows, beats.
    pub beats: f64,
    /// How often it comes within the cycle: 1, or 2 for each half turn.
    pub times: u32,
    /// In which way.
    pub seen: Seen,
}

impl Showing {
    /// At its own period, once each time.
    #[must_use]
    pub fn is_direct(&self) -> bool {
        self.times == 1 && self.seen == Seen::Itself
    }
}

/// Parts by which a cycle of this kind may show.
pub(super) fn kinds(kind: CycleKind) -> u32 {
    match kind {
        CycleKind::Turn => PARTS_OF_A_TURN,
        CycleKind::Tooth | CycleKind::PairAgain => 1,
    }
}

/// All ways in which a cycle of so many beats shows within the periods searched.
pub(super) fn showings(beats: f64, parts: u32, searched: &Searched) -> Vec<Showing> {
    let (shortest, longest) = searched.periods_beats;
    let mut all = Vec::new();
    for times in 1..=parts {
        let turns_per_beat = f64::from(times) / beats;
        let folded = (turns_per_beat - turns_per_beat.round()).abs();
        let itself = if turns_per_beat <= 0.5 { Seen::Itself } else { Seen::Folded };
        for (seen, turns_per_beat) in [(itself, folded), (Seen::TickAgainstTock, 0.5 - folded)] {
            let beats = turns_per_beat.recip();
            let within = (shortest..=longest).contains(&beats);
            if within && (searched.each_beat || seen == Seen::Itself) {
                all.push(Showing { beats, times, seen });
            }
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seen(beats: f64, parts: u32, each_beat: bool) -> Vec<(f64, u32, Seen)> {
        let searched =
            Searched { periods_beats: (2.5, 1_000.0), each_beat, beats_per_hour: 18_000.0 };
        let all = showings(beats, parts, &searched);
        all.iter().map(|s| ((1e6 * s.beats).round() / 1e6, s.times, s.seen)).collect()
    }

    /// By hand: 1.25 beats are 0.8 turns a beat, seen as 0.2 of a turn the other way round, 5 beats;
    /// with tick and tock opposite 0.3 of a turn, 10/3 beats.
    #[test]
    fn what_is_quicker_than_two_beats_shows_more_slowly() {
        let opposite = (3.333_333, 1, Seen::TickAgainstTock);
        assert_eq!(seen(1.25, 1, true), [(5.0, 1, Seen::Folded), opposite]);
        assert_eq!(seen(1.25, 1, false), []);
        // A tooth of the escape wheel comes every two beats: heard once a beat it is no wave.
        assert_eq!(seen(2.0, 1, true), []);
        assert_eq!(seen(1.0, 1, true), []);
    }

    /// 30 beats: halves of 15, thirds of 10 beats; turned over at every beat 1/2 - 1/30 of a turn,
    /// 2.14 beats, is beyond what was searched here, and so are the halves (2.31) and not the thirds
    /// (1/2 - 1/10, 2.5).
    #[test]
    fn parts_of_a_turn() {
        let all = seen(30.0, 3, true);
        let itself = |beats, times| (beats, times, Seen::Itself);
        let thirds = (2.5, 3, Seen::TickAgainstTock);
        assert_eq!(all, [itself(30.0, 1), itself(15.0, 2), itself(10.0, 3), thirds]);
    }
}
