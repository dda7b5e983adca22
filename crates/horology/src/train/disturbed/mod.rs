//! Which wheel or mesh a disturbance of the beat may come from, and how likely chance is to have
//! made the match.
//!
//! A fault of one wheel comes back with its turn, a fault of a depth with its teeth: the interval
//! names the wheel (bib:kleinlein1920, No. 74; bib:hasluck1918, chapter 15). Periods are compared in
//! beats, so that neither the watch's rate nor the recorder's clock enters.

mod showing;
mod usual;

pub use showing::{Seen, Showing};
pub use usual::usual_cycles;

use super::{Cycle, CycleKind};
use quantities::{Measured, SECONDS_PER_DAY};
use showing::{kinds, showings};

/// A period agrees with one that is within so many standard deviations: of normal errors 3 in 1,000
/// lie beyond.
const AGREES_SD: f64 = 3.0;
/// A match that chance makes more often than this is not sure.
const CHANCE_OF_MATCH: f64 = 0.01;
/// A train whose balance beats otherwise by more than this is not the one that is heard, s/d: as far
/// as a beat may be from a standard one (`docs/design/time.md`).
const FARTHEST_S_PER_D: f64 = 1_000.0;

/// Something that repeats in the beat times or in the amplitude of a balance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Disturbance {
    /// Its period in beats (single swings), above zero, and the standard uncertainty of that.
    pub beats: Measured,
    /// Probability that chance alone made it, 0 to 1.
    pub chance: f64,
}

/// What was listened to, and how far it was searched.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Searched {
    /// Shortest and longest period that would have been found, beats.
    pub periods_beats: (f64, f64),
    /// Whether there was a value for each beat; else means of several, which show nothing that is
    /// quicker than they are.
    pub each_beat: bool,
    /// Beats per hour that are heard.
    pub beats_per_hour: f64,
}

/// A cycle that a disturbance may come from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Candidate {
    /// Its place among the cycles that were looked at.
    pub cycle: usize,
    /// How it shows in the beats.
    pub showing: Showing,
}

/// What a disturbance may come from.
#[derive(Debug, Clone, PartialEq)]
pub struct Named {
    /// The disturbance.
    pub disturbance: Disturbance,
    /// All that agree with it as directly as any does, nearest first. What would show by a part of
    /// its turn, or folded, is left out where something agrees as it is.
    pub candidates: Vec<Candidate>,
    /// Probability that a period which has nothing to do with these cycles, and is known as well as
    /// this, agrees with any of them, 0 to 1: such a period is taken to be as likely in one octave of
    /// the periods searched as in another. It holds for all cycles that were looked at together.
    pub chance_of_match: f64,
    /// How many cycles would have been seen if they disturbed the beat.
    pub looked_at: usize,
}

impl Named {
    /// The one that it comes from, where there is but one, and chance would hardly have made the
    /// match.
    #[must_use]
    pub fn sure(&self) -> Option<Candidate> {
        match self.candidates[..] {
            [only] if self.chance_of_match <= CHANCE_OF_MATCH => Some(only),
            _ => None,
        }
    }
}

/// Looks a disturbance up among cycles. Of a movement with several trains only those count whose
/// balance beats as what is heard does; cycles without a balance do not.
#[must_use]
pub fn name(disturbance: &Disturbance, searched: &Searched, cycles: &[Cycle]) -> Named {
    let found = disturbance.beats;
    let reach = AGREES_SD * found.sd / found.value;
    let mut all: Vec<Candidate> = Vec::new();
    let mut looked_at = 0;
    for (place, cycle) in cycles.iter().enumerate() {
        let Some(beats) = beats_heard(cycle, searched.beats_per_hour) else { continue };
        let mut seen = false;
        for showing in showings(beats, kinds(cycle.kind), searched) {
            seen |= showing.is_direct();
            all.push(Candidate { cycle: place, showing });
        }
        looked_at += usize::from(seen);
    }
    let off = |c: &Candidate| (c.showing.beats / found.value).ln().abs();
    let mut agreeing: Vec<Candidate> = all.iter().filter(|c| off(c) <= reach).copied().collect();
    let direct = agreeing.iter().any(|c| c.showing.is_direct());
    if direct {
        agreeing.retain(|c| c.showing.is_direct());
    }
    leave_out_what_a_turn_says(&mut agreeing, cycles);
    agreeing.sort_by(|a, b| off(a).total_cmp(&off(b)));
    let rivals = all.iter().filter(|c| !direct || c.showing.is_direct());
    let chance_of_match = share(rivals.map(|c| c.showing.beats.ln()), reach, searched);
    Named { disturbance: *disturbance, candidates: agreeing, chance_of_match, looked_at }
}

/// Beats of a cycle, where its balance may be the one that is heard.
fn beats_heard(cycle: &Cycle, beats_per_hour: f64) -> Option<f64> {
    let beats = cycle.beats?.to_f64();
    let own_per_hour = 3_600.0 * beats / cycle.period_s.to_f64();
    let off_s_per_d = SECONDS_PER_DAY * (beats_per_hour / own_per_hour - 1.0).abs();
    (off_s_per_d <= FARTHEST_S_PER_D).then_some(beats)
}

/// Where the same two teeth meet once a turn of one of their arbors, that says no more than the turn.
fn leave_out_what_a_turn_says(candidates: &mut Vec<Candidate>, cycles: &[Cycle]) {
    let turns: Vec<Candidate> =
        candidates.iter().filter(|c| cycles[c.cycle].kind == CycleKind::Turn).copied().collect();
    candidates.retain(|c| {
        let pair = &cycles[c.cycle];
        let said = |turn: &Candidate| {
            let turn = &cycles[turn.cycle];
            turn.period_s == pair.period_s && turn.arbors.iter().all(|a| pair.arbors.contains(a))
        };
        pair.kind != CycleKind::PairAgain || !turns.iter().any(said)
    });
}

/// Share of the periods searched, by their logarithm, that lies within `reach` of any of these. What
/// overlaps counts once.
fn share(ln_periods: impl Iterator<Item = f64>, reach: f64, searched: &Searched) -> f64 {
    let (from, to) = (searched.periods_beats.0.ln(), searched.periods_beats.1.ln());
    if to.is_nan() || from.is_nan() || to <= from || reach.is_nan() {
        return 1.0;
    }
    let mut windows: Vec<(f64, f64)> =
        ln_periods.map(|at| ((at - reach).clamp(from, to), (at + reach).clamp(from, to))).collect();
    windows.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mut covered, mut until) = (0.0, from);
    for (low, high) in windows {
        covered += (high - low.max(until)).max(0.0);
        until = until.max(high);
    }
    (covered / (to - from)).clamp(0.0, 1.0)
}
