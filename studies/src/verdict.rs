//! What the engine said of one recording, against what was laid down in it.

use crate::hearing::Heard;
use beats::{BalanceReading, WarningCode};
use quantities::Measured;
use truth::BalanceTruth;
use truth::score::{
    Found, FoundBalance, Matching, Tolerance, TrueBalance, match_balances, rate_bound_s_per_d,
};

/// What is measured of a balance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) enum Quantity {
    Rate,
    Amplitude,
    BeatError,
}

impl Quantity {
    pub(crate) const ALL: [Self; 3] = [Self::Rate, Self::Amplitude, Self::BeatError];

    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Rate => "rate",
            Self::Amplitude => "amplitude",
            Self::BeatError => "beat error",
        }
    }

    pub(crate) fn unit(self) -> &'static str {
        match self {
            Self::Rate => "s/d",
            Self::Amplitude => "°",
            Self::BeatError => "ms",
        }
    }

    /// The error that matters at the bench, asked for in the aims of the project.
    pub(crate) fn limit(self) -> f64 {
        match self {
            Self::Rate => 0.3,
            Self::Amplitude => 5.0,
            Self::BeatError => 0.1,
        }
    }

    /// Digits after the point that are worth printing of an error.
    pub(crate) fn decimals(self) -> usize {
        match self {
            Self::Rate => 4,
            Self::Amplitude => 2,
            Self::BeatError => 4,
        }
    }

    pub(crate) fn of_truth(self, truth: &BalanceTruth) -> f64 {
        match self {
            Self::Rate => truth.rate_by_slope_s_per_d,
            Self::Amplitude => truth.amplitude_deg,
            Self::BeatError => truth.beat_error_ms,
        }
    }

    pub(crate) fn of_reading(self, reading: &BalanceReading) -> Option<Measured> {
        match self {
            Self::Rate => reading.rate_s_per_d,
            Self::Amplitude => reading.amplitude_deg,
            Self::BeatError => reading.beat_error_ms,
        }
    }
}

/// One value of one balance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Judged {
    pub(crate) quantity: Quantity,
    /// Index of the true balance.
    pub(crate) balance: usize,
    /// Found minus true, and the standard deviation claimed; `None` where nothing was claimed.
    pub(crate) claim: Option<(f64, f64)>,
    /// Least possible standard deviation of the rate with the jitter laid down, s/d.
    pub(crate) rate_bound_s_per_d: f64,
}

/// Errors beyond this many of their own standard deviations were claimed with too much trust.
const TOO_SURE_SD: f64 = 4.0;

impl Judged {
    /// Wrong, and sure of it: beyond four standard deviations and beyond what matters.
    pub(crate) fn is_wrong_and_sure(&self) -> bool {
        self.claim.is_some_and(|(error, sd)| {
            let too_far = self.quantity.limit().max(TOO_SURE_SD * sd);
            // A claim that is not a number is as wrong as any.
            error.is_nan() || sd.is_nan() || error.abs() > too_far
        })
    }

    /// Claimed, and right as far as the bench asks.
    pub(crate) fn is_within_limit(&self) -> bool {
        self.claim.is_some_and(|(error, _)| error.abs() <= self.quantity.limit())
    }
}

/// All that is judged of one recording.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Verdict {
    pub(crate) matching: Matching,
    /// Three values for every pair, in the order of the pairs.
    pub(crate) values: Vec<Judged>,
    /// Balances laid down.
    pub(crate) laid_down: usize,
    /// The reading admits that balances are missing or cannot be told apart.
    pub(crate) admits: bool,
}

impl Verdict {
    pub(crate) fn of(heard: &Heard) -> Self {
        let truths: Vec<TrueBalance> = heard.truth.balances.iter().map(TrueBalance::from).collect();
        let found: Vec<FoundBalance> = heard.reading.balances.iter().map(found).collect();
        let matching = match_balances(&truths, &found, &Tolerance::default());
        let values = matching
            .pairs
            .iter()
            .flat_map(|pair| {
                let truth = &heard.truth.balances[pair.truth];
                let reading = &heard.reading.balances[pair.found];
                Quantity::ALL.map(|quantity| Judged {
                    quantity,
                    balance: pair.truth,
                    claim: quantity
                        .of_reading(reading)
                        .map(|m| (m.value - quantity.of_truth(truth), m.sd)),
                    rate_bound_s_per_d: least_rate_sd_s_per_d(truth),
                })
            })
            .collect();
        let admits = heard
            .reading
            .warnings
            .iter()
            .any(|w| matches!(w.code, WarningCode::Unresolved | WarningCode::BalancesMissing));
        Self { matching, values, laid_down: heard.truth.balances.len(), admits }
    }

    /// A balance that is not there, or one heard twice.
    pub(crate) fn has_false_balance(&self) -> bool {
        !self.matching.invented.is_empty() || !self.matching.redundant.is_empty()
    }

    /// Some value is wrong and sure, or a balance is claimed that is not there.
    pub(crate) fn is_wrong_and_sure(&self) -> bool {
        self.has_false_balance() || self.values.iter().any(Judged::is_wrong_and_sure)
    }

    /// Every balance is there, with three values each that are right as far as the bench asks.
    pub(crate) fn is_right(&self) -> bool {
        self.matching.pairs.len() == self.laid_down
            && !self.has_false_balance()
            && self.values.iter().all(Judged::is_within_limit)
    }
}

/// The bound of a slope through the beats laid down, with the jitter as it fell.
pub(crate) fn least_rate_sd_s_per_d(truth: &BalanceTruth) -> f64 {
    rate_bound_s_per_d(truth.beats_per_hour, truth.beats, truth.jitter_us * 1e-6)
}

fn found(reading: &BalanceReading) -> FoundBalance {
    let claim = |m: Option<Measured>| m.map(|m| Found::new(m.value, m.sd));
    FoundBalance {
        beats_per_hour: reading.nominal.map(|n| n.per_hour()),
        rate_s_per_d: claim(reading.rate_s_per_d),
        amplitude_deg: claim(reading.amplitude_deg),
        beat_error_ms: claim(reading.beat_error_ms),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rate(error: f64, sd: f64) -> Judged {
        let quantity = Quantity::Rate;
        Judged { quantity, balance: 0, claim: Some((error, sd)), rate_bound_s_per_d: 0.01 }
    }

    #[test]
    fn wrong_and_sure_needs_both() {
        assert!(rate(0.5, 0.1).is_wrong_and_sure());
        assert!(!rate(0.5, 0.2).is_wrong_and_sure(), "within four of its deviations");
        assert!(!rate(-0.2, 0.001).is_wrong_and_sure(), "within what matters");
        assert!(rate(f64::NAN, 0.1).is_wrong_and_sure());
        let silent = Judged { claim: None, ..rate(0.0, 0.0) };
        assert!(!silent.is_wrong_and_sure() && !silent.is_within_limit());
    }
}
