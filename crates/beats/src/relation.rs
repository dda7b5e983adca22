//! How two balances stand to each other.

use crate::account::{Fitted, unresolved};
use crate::reading::{BalanceReading, Relation, RelationState};
use crate::settings::Settings;
use crate::warning::{Warning, WarningCode};
use quantities::{Measured, Rate, SECONDS_PER_DAY};

/// Rates that differ by more than this many standard deviations differ beyond doubt.
const BEYOND_DOUBT_SD: f64 = 5.0;
/// Two balances regulated by hand end within some ±10 s/d of each other; that they agree by
/// chance to this many s/d happens once in fifty times.
const CHANCE_AGREEMENT_S_PER_D: f64 = 0.2;
/// Two balances whose beats fall within this of each other all through the recording sound as
/// one, seconds.
const AS_ONE_S: f64 = 1.5e-3;

/// States the relation of the balances heard, or claimed, and warns where they cannot be told
/// apart. Where two are claimed and one is heard, the one reading is widened to what it can mean
/// for either.
pub(crate) fn relate(
    fitted: &[Fitted<'_>],
    balances: &mut [BalanceReading],
    duration_s: f64,
    settings: &Settings,
    warnings: &mut Vec<Warning>,
) -> Option<Relation> {
    let claimed = settings.balances.unwrap_or(0);
    if fitted.is_empty() {
        return None;
    }
    if fitted.len() < claimed {
        warnings.push(Warning {
            code: WarningCode::BalancesMissing,
            message: format!(
                "{} balances are said to run, {} can be heard. Stop one balance at a time, or put \
                 a pickup at each.",
                claimed,
                fitted.len()
            ),
        });
        if fitted.len() == 1 {
            warnings.push(Warning {
                code: WarningCode::Unresolved,
                message: "The balances cannot be told apart in this recording: either their beats \
                          fall together or one is silent. Record again in some minutes, stop one \
                          balance, or use two pickups."
                    .into(),
            });
            let hidden = AS_ONE_S / duration_s.max(1.0) / 12f64.sqrt() * SECONDS_PER_DAY;
            widen(&mut balances[0], hidden);
            return Some(unresolved());
        }
    }
    if fitted.len() < 2 {
        return None;
    }
    let (a, b) = (&fitted[0], &fitted[1]);
    let rates = balances[0].rate_s_per_d.zip(balances[1].rate_s_per_d);
    if balances[0].nominal != balances[1].nominal {
        return Some(Relation {
            state: RelationState::Independent,
            rate_difference_s_per_d: rates.map(|(a, b)| a.minus(b)),
            next_coincidence_s: None,
        });
    }
    let difference = Measured::new(
        (b.period_s / a.period_s - 1.0) * SECONDS_PER_DAY,
        a.period_sd_relative.hypot(b.period_sd_relative) * SECONDS_PER_DAY,
    );
    let state = if difference.value.abs() > BEYOND_DOUBT_SD * difference.sd {
        RelationState::Independent
    } else if difference.value.abs() + 2.0 * difference.sd < CHANCE_AGREEMENT_S_PER_D {
        RelationState::Locked
    } else {
        RelationState::Unresolved
    };
    if state == RelationState::Unresolved {
        let longer = duration_s
            * (difference.sd * BEYOND_DOUBT_SD / difference.value.abs().max(0.2)).powf(2.0 / 3.0);
        warnings.push(Warning {
            code: WarningCode::Unresolved,
            message: format!(
                "Whether the two balances are locked or independent cannot be told yet; record \
                 for about {:.0} s.",
                longer.max(1.5 * duration_s)
            ),
        });
    }
    let next = (state == RelationState::Independent)
        .then(|| {
            let lag = lag_at_end_s(a, b, duration_s);
            horology::next_coincidence_s(
                lag,
                0.5 * a.period_s,
                Rate::from_s_per_d(difference.value),
            )
        })
        .flatten();
    Some(Relation { state, rate_difference_s_per_d: Some(difference), next_coincidence_s: next })
}

fn widen(balance: &mut BalanceReading, sd_s_per_d: f64) {
    balance.rate_s_per_d = balance.rate_s_per_d.map(|r| r.with_added_sd(sd_s_per_d));
    balance.rate_sd_with_clock_s_per_d =
        balance.rate_sd_with_clock_s_per_d.map(|s| s.hypot(sd_s_per_d));
    balance.measured_beats_per_hour = balance
        .measured_beats_per_hour
        .map(|m| m.with_added_sd(m.value * sd_s_per_d / SECONDS_PER_DAY));
    balance.beat_error_ms = None;
    balance.amplitude_deg = None;
}

/// How long after a beat of A the next beat of B comes at the end of the recording, seconds.
fn lag_at_end_s(a: &Fitted<'_>, b: &Fitted<'_>, end_s: f64) -> f64 {
    (since_last_beat_s(a, end_s) - since_last_beat_s(b, end_s)).rem_euclid(0.5 * a.period_s)
}

fn since_last_beat_s(f: &Fitted<'_>, end_s: f64) -> f64 {
    let beat_s = 0.5 * f.track.period_s;
    let line = &f.line.line;
    let elapsed = end_s - f.track.origin_s;
    let even = ((elapsed - line.value_at(elapsed)) / beat_s).floor() * beat_s;
    elapsed - even - line.value_at(even)
}
