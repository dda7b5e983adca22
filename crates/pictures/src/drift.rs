//! Drift from a reading.

use crate::{side, value};
use beats::{BalanceReading, DriftPoint};
use plot::{Balance, Drift, DriftBalance, DriftBeat, Tolerance};

/// A pause so many times as long as the usual step from beat to beat is a stop of the watch: the
/// fitted line is not drawn through it.
const PAUSE_STEPS: f64 = 8.0;

/// The Drift picture of a recording of `duration_s` seconds, with the wedge of a tolerance.
#[must_use]
pub fn drift(balances: &[BalanceReading], duration_s: f64, tolerance: Option<Tolerance>) -> Drift {
    let balances = balances.iter().enumerate();
    Drift {
        balances: balances.map(|(place, balance)| of(place, balance)).collect(),
        tolerance,
        span_s: Some((0.0, duration_s)),
        rates_taken_out: false,
    }
}

/// What is left of each beat when its balance's rate is taken out.
#[must_use]
pub fn scatter(balances: &[BalanceReading], duration_s: f64) -> Drift {
    let with_rates = drift(balances, duration_s, None);
    let balances = with_rates.balances.into_iter().zip(balances);
    let left = balances.map(|(drawn, balance)| DriftBalance {
        beats: drawn
            .beats
            .iter()
            .zip(&balance.drift)
            .map(|(beat, point)| DriftBeat { gain_ms: point.residual_ms, ..*beat })
            .collect(),
        fit: Vec::new(),
        rate_s_per_d: None,
        ..drawn
    });
    Drift {
        balances: left.collect(),
        tolerance: None,
        span_s: with_rates.span_s,
        rates_taken_out: true,
    }
}

/// The same where the drift shows it too small to see: a thirtieth of its height, some ten pixels.
#[must_use]
pub fn scatter_where_hidden(balances: &[BalanceReading], duration_s: f64) -> Option<Drift> {
    let span = |values: &mut dyn Iterator<Item = f64>| {
        let (least, most) =
            values.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)));
        (most - least).max(0.0)
    };
    let used =
        |b: &'_ BalanceReading| b.drift.iter().filter(|p| p.used).copied().collect::<Vec<_>>();
    let whole = span(&mut balances.iter().flat_map(used).map(|p| p.gain_ms));
    let hidden = balances.iter().any(|b| {
        let residuals = span(&mut used(b).into_iter().map(|p| p.residual_ms));
        residuals > 0.0 && residuals < whole / 30.0
    });
    hidden.then(|| scatter(balances, duration_s))
}

fn of(place: usize, balance: &BalanceReading) -> DriftBalance {
    let beat = |p: &DriftPoint| DriftBeat {
        time_s: p.time_s,
        gain_ms: p.gain_ms,
        side: side(p.side),
        used: p.used,
    };
    DriftBalance {
        balance: Balance::nth(place),
        beats: balance.drift.iter().map(beat).collect(),
        fit: fit(&balance.drift),
        rate_s_per_d: balance.rate_s_per_d.map(value),
    }
}

/// The fitted line, midway between tick and tock: what is left of the gain when the residual is
/// taken away lies on the line of its own side, so the line of both goes through the middles of
/// neighbours of different sides.
fn fit(points: &[DriftPoint]) -> Vec<Vec<(f64, f64)>> {
    let on_line = |p: &DriftPoint| (p.time_s, p.gain_ms - p.residual_ms);
    let one_sided = points.windows(2).all(|pair| pair[0].side == pair[1].side);
    let line: Vec<(f64, f64)> = if one_sided {
        points.iter().map(on_line).collect()
    } else {
        let pairs = points.windows(2).filter(|pair| pair[0].side != pair[1].side);
        pairs
            .map(|pair| {
                let ((t0, g0), (t1, g1)) = (on_line(&pair[0]), on_line(&pair[1]));
                (f64::midpoint(t0, t1), f64::midpoint(g0, g1))
            })
            .collect()
    };
    let pause_s = PAUSE_STEPS * usual_step_s(&line);
    let pieces = line.chunk_by(|one, next| next.0 - one.0 <= pause_s);
    pieces.map(<[(f64, f64)]>::to_vec).filter(|piece| piece.len() > 1).collect()
}

/// The median step.
fn usual_step_s(line: &[(f64, f64)]) -> f64 {
    let mut steps: Vec<f64> = line.windows(2).map(|pair| pair[1].0 - pair[0].0).collect();
    steps.sort_by(f64::total_cmp);
    steps.get(steps.len() / 2).copied().unwrap_or(f64::INFINITY)
}

#[cfg(test)]
mod tests {
    use super::*;
    use beats::Side;

    fn point(n: u32, time_s: f64, gain_ms: f64, residual_ms: f64) -> DriftPoint {
        let side = if n.is_multiple_of(2) { Side::Tick } else { Side::Tock };
        DriftPoint { time_s, gain_ms, residual_ms, side, used: true }
    }

    /// A watch that gains 0.5 ms a second, its sides 0.3 ms either way of the line, its beats
    /// scattered: the line must come out as it went in.
    #[test]
    fn the_line_runs_midway_between_the_sides() {
        let beats: Vec<DriftPoint> = (0..100)
            .map(|n| {
                let time_s = f64::from(n) * 0.125;
                let apart = if n % 2 == 0 { 0.3 } else { -0.3 };
                let residual = 0.01 * f64::from((n * 37) % 11) - 0.05;
                point(n, time_s, 0.5 * time_s + apart + residual, residual)
            })
            .collect();
        let pieces = fit(&beats);
        assert_eq!(pieces.len(), 1);
        for (time_s, gain_ms) in &pieces[0] {
            // Rounding of sums of numbers near one.
            assert!((gain_ms - 0.5 * time_s).abs() < 1e-12);
        }
    }

    #[test]
    fn a_stop_of_the_watch_opens_the_line() {
        let time = |n: u32| f64::from(n) * 0.125 + if n >= 40 { 30.0 } else { 0.0 };
        let beats: Vec<DriftPoint> = (0..80).map(|n| point(n, time(n), 0.0, 0.0)).collect();
        assert_eq!(fit(&beats).len(), 2);
        assert_eq!(fit(&[]), Vec::<Vec<(f64, f64)>>::new());
        assert_eq!(fit(&beats[..1]), Vec::<Vec<(f64, f64)>>::new());
    }
}
