//! What repeats in the beats of a balance, and the wheels that it agrees with.

use beats::{BalanceReading, Disturbed, DisturbedSeries};
use horology::train::Cycle;
use horology::train::disturbed::Candidate;
use serde::Serialize;

/// One peak. Chances are probabilities.
#[derive(Debug, Serialize)]
pub(crate) struct DisturbedWire {
    series: &'static str,
    unit: &'static str,
    period_s: f64,
    period_sd_s: f64,
    period_beats: f64,
    period_sd_beats: f64,
    semi_amplitude: f64,
    /// That chance made the peak.
    chance_of_peak: f64,
    /// That a period which has nothing to do with these wheels agrees with one.
    chance_of_match: f64,
    /// `movement`, or `usual` where the movement is unknown.
    looked_up_in: &'static str,
    looked_at: usize,
    /// There is one candidate, and chance would hardly have made the match.
    sure: bool,
    candidates: Vec<CandidateWire>,
}

#[derive(Debug, Serialize)]
struct CandidateWire {
    name: String,
    kind: &'static str,
    train: usize,
    /// How often it comes within the cycle: 2 for each half turn.
    times: u32,
    /// `itself`, `folded` or `tick_against_tock`.
    seen: &'static str,
    /// The period at which it ought to show.
    period_beats: f64,
}

impl DisturbedWire {
    /// All peaks of a balance. Without a movement they are looked up among usual wheels.
    pub(crate) fn all(balance: &BalanceReading, movement: Option<&[Cycle]>) -> Vec<Self> {
        let usual = movement.is_none().then(|| balance.usual_cycles());
        let cycles = movement.or(usual.as_deref()).unwrap_or_default();
        let looked_up_in = if movement.is_some() { "movement" } else { "usual" };
        balance.disturbed(cycles).iter().map(|one| Self::of(one, cycles, looked_up_in)).collect()
    }

    fn of(one: &Disturbed, cycles: &[Cycle], looked_up_in: &'static str) -> Self {
        let (series, unit) = match one.series {
            DisturbedSeries::Timing => ("timing", "ms"),
            DisturbedSeries::Amplitude => ("amplitude", "deg"),
        };
        let beats = one.named.disturbance.beats;
        Self {
            series,
            unit,
            period_s: one.peak.period_s,
            period_sd_s: one.peak.period_sd_s,
            period_beats: beats.value,
            period_sd_beats: beats.sd,
            semi_amplitude: one.peak.semi_amplitude,
            chance_of_peak: one.named.disturbance.chance,
            chance_of_match: one.named.chance_of_match,
            looked_up_in,
            looked_at: one.named.looked_at,
            sure: one.named.sure().is_some(),
            candidates: one.named.candidates.iter().map(|c| CandidateWire::of(c, cycles)).collect(),
        }
    }
}

impl CandidateWire {
    fn of(candidate: &Candidate, cycles: &[Cycle]) -> Self {
        let cycle = &cycles[candidate.cycle];
        Self {
            name: cycle.name.clone(),
            kind: cycle.kind.code(),
            train: cycle.train,
            times: candidate.showing.times,
            seen: candidate.showing.seen.code(),
            period_beats: candidate.showing.beats,
        }
    }
}
