//! How two balances stand to each other.

use crate::rate_fit::Fitted;
use crate::reading::{BalanceReading, Relation, RelationState};
use crate::settings::Settings;
use crate::warning::{Warning, WarningCode};
use quantities::{Measured, Rate, SECONDS_PER_DAY};

/// Rates that differ by more than this many standard deviations differ beyond doubt.
const BEYOND_DOUBT_SD: f64 = 5.0;
/// Rates that agree within this many may well be one.
const AGREE_SD: f64 = 3.0;
/// Two balances regulated by hand end within some ±10 s/d of each other; that they agree by
/// chance to this many s/d happens once in a hundred times.
const CHANCE_AGREEMENT_S_PER_D: f64 = 0.1;
/// Periods that differ by more than this (relative) belong to different beats.
pub(crate) const SAME_BEAT: f64 = 0.02;
/// Nobody is told to record for longer than this, seconds.
const LONGEST_ADVICE_S: f64 = 3_600.0;

/// States the relation of the balances heard, or claimed, and warns where they cannot be told
/// apart. With more than two it is that of the two loudest, A and B. Where more are claimed than
/// the one that is heard, another may hide behind it, so its reading is widened to what it can mean
/// for either of two.
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
    let missing = fitted.len() < claimed;
    // Where one is heard, it may be two at once. Where more are, each has been told from another,
    // and stands as it is.
    let hidden = missing && fitted.len() == 1;
    if missing {
        warnings.push(Warning {
            code: WarningCode::BalancesMissing,
            message: format!(
                "Only {} of {claimed} balances {} found: the rest are silent, too faint, or beat \
                 together with what is heard. Stop one balance at a time, or put a pickup at each.",
                fitted.len(),
                if fitted.len() == 1 { "is" } else { "are" },
            ),
        });
    }
    if hidden {
        warnings.push(Warning {
            code: WarningCode::Unresolved,
            message: "What is heard may be one balance, the other being silent, or two whose \
                      beats fall together: the rate is widened by what that allows, and amplitude \
                      and beat error are left out. Record again in some minutes, or stop one \
                      balance; if only one runs, say so."
                .into(),
        });
        for (f, b) in fitted.iter().zip(balances.iter_mut()) {
            widen(b, SECONDS_PER_DAY * f.track.hidden_relative());
        }
    }
    match fitted {
        [a, b, ..] => Some(of_two(a, b, balances, duration_s, warnings)),
        _ if hidden => Some(Relation {
            state: RelationState::Unresolved,
            rate_difference_s_per_d: None,
            next_coincidence_s: None,
        }),
        _ => None,
    }
}

fn of_two(
    a: &Fitted<'_>,
    b: &Fitted<'_>,
    balances: &[BalanceReading],
    duration_s: f64,
    warnings: &mut Vec<Warning>,
) -> Relation {
    let rates = balances[0].rate_s_per_d.zip(balances[1].rate_s_per_d);
    let by_rates = rates.map(|(a, b)| a.minus(b));
    if (a.period_s / b.period_s - 1.0).abs() > SAME_BEAT {
        // Different beats: there is no lock between them and no one lag that closes.
        return Relation {
            state: RelationState::Independent,
            rate_difference_s_per_d: by_rates,
            next_coincidence_s: None,
        };
    }
    let by_periods = Measured::new(
        (b.period_s / a.period_s - 1.0) * SECONDS_PER_DAY,
        a.period_sd_relative.hypot(b.period_sd_relative) * SECONDS_PER_DAY,
    );
    let difference = by_rates.unwrap_or(by_periods);
    let (size, sd) = (by_periods.value.abs(), difference.sd);
    let state = if size > BEYOND_DOUBT_SD * sd {
        RelationState::Independent
    } else if size < AGREE_SD * sd && size + 2.0 * sd < CHANCE_AGREEMENT_S_PER_D {
        RelationState::Locked
    } else {
        RelationState::Unresolved
    };
    if state == RelationState::Unresolved {
        warnings.push(Warning {
            code: WarningCode::Unresolved,
            message: format!(
                "Whether balances A and B are locked or independent cannot be told yet; record for \
                 about {:.0} s.",
                advice_s(duration_s, size, sd)
            ),
        });
    }
    let next_coincidence_s = (state == RelationState::Independent)
        .then(|| {
            let lag_s = a.since_last_beat_s(duration_s) - b.since_last_beat_s(duration_s);
            let a_minus_b = Rate::from_s_per_d(by_periods.value);
            horology::next_coincidence_s(lag_s, 0.5 * a.period_s, a_minus_b)
        })
        .flatten();
    Relation { state, rate_difference_s_per_d: Some(difference), next_coincidence_s }
}

/// How long to record so that the difference is beyond doubt or beyond chance: the deviation of a
/// slope falls with the length to the power 3/2.
fn advice_s(duration_s: f64, size: f64, sd: f64) -> f64 {
    let wanted = (size / BEYOND_DOUBT_SD).max(0.25 * CHANCE_AGREEMENT_S_PER_D);
    let longer = duration_s * (sd / wanted).max(1.0).powf(2.0 / 3.0);
    longer.clamp(1.5 * duration_s, LONGEST_ADVICE_S.max(1.5 * duration_s))
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

#[cfg(test)]
mod tests;
