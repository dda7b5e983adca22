//! What the user said against what is heard.

use crate::reading::BalanceReading;
use crate::remarks::grouped;
use crate::settings::Settings;
use crate::warning::{Warning, WarningCode};
use quantities::BeatFrequency;

/// A measured beat this near to one that the user named is meant by it, s/d: as near as a standard
/// beat has to be, and a little.
const NAMED_WITHIN_S_PER_D: f64 = 1_300.0;

/// Whether a measured beat is what the user means by this one.
pub(crate) fn is_meant(measured: BeatFrequency, named: BeatFrequency) -> bool {
    measured.rate_against(named).s_per_d().abs() < NAMED_WITHIN_S_PER_D
}

/// Whether an oscillation of this period is one of a beat that the user named, or none is named.
pub(crate) fn is_as_told(period_s: f64, settings: &Settings) -> bool {
    let named = &settings.beats_per_hour;
    let measured = BeatFrequency::from_per_hour(7_200.0 / period_s).ok();
    named.is_empty() || measured.is_some_and(|m| named.iter().any(|n| is_meant(m, *n)))
}

/// Says what is heard beside as many balances as were told, which are the first of these.
pub(crate) fn more(told: usize, balances: &[BalanceReading]) -> Warning {
    let others: Vec<String> = balances[told..].iter().map(|b| looks(b, &balances[0])).collect();
    let (are, it) = if told == 1 {
        ("1 balance is", "the loudest is".to_owned())
    } else {
        ("balances are", format!("the {told} loudest are"))
    };
    let are = if told == 1 { are.to_owned() } else { format!("{told} {are}") };
    Warning {
        code: WarningCode::BalancesMore,
        message: format!(
            "{are} said to run, {} are heard; {it} reported. Left out: {}.",
            balances.len(),
            others.join("; ")
        ),
    }
}

/// A balance in a few words.
fn looks(b: &BalanceReading, loudest: &BalanceReading) -> String {
    let beat = b.nominal.map(|n| n.per_hour()).or(b.measured_beats_per_hour.map(|m| m.value));
    let mut words = vec![format!("one at {} beats an hour", grouped(beat.unwrap_or(0.0)))];
    if let Some(rate) = b.rate_s_per_d {
        words.push(format!("{:+.1} s/d", rate.value));
    }
    if let Some((own, other)) = b.signal_to_noise_db.zip(loudest.signal_to_noise_db) {
        let fainter_db = other - own;
        let word = if fainter_db < 0.0 { "louder" } else { "fainter" };
        words.push(format!("{:.0} dB {word} than what is reported", fainter_db.abs()));
    }
    words.join(", ")
}

/// Says where a watch beats at another beat than was named.
pub(crate) fn another_beat(who: &str, b: &BalanceReading, settings: &Settings) -> Option<Warning> {
    let measured = b.measured_beats_per_hour?.value;
    if is_as_told(7_200.0 / measured, settings) {
        return None;
    }
    let named: Vec<String> =
        settings.beats_per_hour.iter().map(|n| grouped(n.per_hour())).collect();
    let heard = b.nominal.map_or(measured, |n| n.per_hour());
    Some(Warning {
        code: WarningCode::BeatNotAsTold,
        message: format!(
            "{who} is heard, but at {} beats an hour, not at {}: what is reported is for the beat \
             that is heard.",
            grouped(heard),
            named.join(" or ")
        ),
    })
}

#[cfg(test)]
mod tests;
