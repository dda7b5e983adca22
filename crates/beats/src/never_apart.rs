//! Balances whose beats never come apart within a recording.
//!
//! The shocks of a beat are heard for some 15 ms. Where the beats of two balances stay nearer than that
//! to each other throughout, each leaves something in the instants of the other that changes slowly as
//! they slip past each other: a drift, which no scatter about a line shows. A pickup at each balance
//! hears it without the other.

use crate::rate_fit::Fitted;
use crate::relation::SAME_BEAT;

/// Beats that come this far from each other, seconds, are timed by themselves at least there.
const APART_S: f64 = 20e-3;
/// By how much the deviation of a rate grows where they stay together. In 672 simulated pairs, told of
/// nothing (study `two`, first seeds 12 and 13), errors had 1.85, 1.54, 1.81, 1.38, 1.26 and 1.40 times
/// the deviation claimed where the farthest was up to 2, 4, 6, 8, 10 and 13 ms, and 1.01 to 1.06 beyond 13 ms.
const WIDER: f64 = 1.0;

/// Widens the periods of balances of the same beat that never come apart.
pub(crate) fn widen(fitted: &mut [Fitted<'_>], duration_s: f64) {
    let widened: Vec<f64> = fitted
        .iter()
        .enumerate()
        .map(|(k, a)| {
            let others = fitted.iter().enumerate().filter(|(other, _)| *other != k);
            others.map(|(_, b)| widening(farthest_s(a, b, duration_s))).fold(1.0, f64::max)
        })
        .collect();
    for (f, by) in fitted.iter_mut().zip(widened) {
        f.period_sd_relative *= by;
    }
}

fn widening(farthest_s: f64) -> f64 {
    1.0 + WIDER * (1.0 - farthest_s / APART_S).max(0.0)
}

/// How far from each other the beats of two balances come within a recording, seconds; infinitely where
/// their beats are not the same.
fn farthest_s(a: &Fitted<'_>, b: &Fitted<'_>, duration_s: f64) -> f64 {
    if (a.period_s / b.period_s - 1.0).abs() > SAME_BEAT {
        return f64::INFINITY;
    }
    let beat_s = 0.5 * a.period_s;
    let lag_s = a.since_last_beat_s(duration_s) - b.since_last_beat_s(duration_s);
    let last_s = lag_s - beat_s * (lag_s / beat_s).round();
    // How much earlier a beat of A has come by the end, against B's.
    let slip_s = duration_s * (b.period_s / a.period_s - 1.0);
    last_s.abs().max((last_s - slip_s).abs()).min(0.5 * beat_s)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pretend::{Pretend, read};
    use crate::reading::Reading;
    use crate::settings::Settings;
    use quantities::SECONDS_PER_DAY;

    /// Two balances of 28,800 beats per hour, one later by a lag in the middle of 40 s.
    fn heard(lag_s: f64, apart_s_per_d: f64) -> Reading {
        let one = |offset_s: f64, s_per_d: f64| Pretend {
            period_s: 0.25 / (1.0 + s_per_d / SECONDS_PER_DAY),
            offset_s,
            to_s: 1e6,
            jitter_s: 20e-6,
            ..Pretend::default()
        };
        let slip_s = 20.0 * apart_s_per_d / SECONDS_PER_DAY;
        // The louder is told first.
        let a = Pretend { strength: 2.0, ..one(0.05, 0.0) };
        let b = one(0.05 + lag_s + slip_s, apart_s_per_d);
        read(&[a, b], 40.0, 0.0, 7, &Settings::default())
    }

    fn sd(reading: &Reading) -> f64 {
        assert_eq!(reading.balances.len(), 2);
        reading.balances[0].rate_s_per_d.expect("a rate").sd
    }

    #[test]
    fn only_balances_that_stay_together_are_widened() {
        let apart = sd(&heard(40e-3, 10.0));
        // 4 ms in the middle, 4.6 ms either way at the ends: at most 8.6 ms.
        let near = sd(&heard(4e-3, 20.0)) / apart;
        assert!((near - widening(8.6e-3)).abs() < 0.02, "{near}");
        // 35 ms at the ends: there they are heard by themselves.
        let crossing = sd(&heard(0.0, 150.0)) / apart;
        assert!((crossing - 1.0).abs() < 1e-3, "{crossing}");
    }

    #[test]
    fn what_they_come_to_does_not_depend_on_which_is_later() {
        let (one, other) = (sd(&heard(5e-3, -12.0)), sd(&heard(-5e-3, 12.0)));
        assert!((one / other - 1.0).abs() < 0.02, "{one} {other}");
    }
}
