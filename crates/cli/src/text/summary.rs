//! What became of each of several recordings, a line each.

use super::{plain, rounded, wrapped};
use crate::failure::Failure;
use crate::measure::Heard;
use beats::BalanceReading;
use quantities::Measured;

/// A name that is longer has its result on the next line.
const WIDEST_NAME: usize = 32;

/// One recording: its name, and its result or why it has none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Line {
    name: String,
    result: String,
}

impl Line {
    pub(crate) fn of(name: String, heard: &Result<Heard, Failure>) -> Self {
        let result = match heard {
            Ok(heard) if heard.reading.balances.is_empty() => "no watch heard".to_owned(),
            Ok(heard) => {
                let balances = heard.reading.balances.iter().enumerate();
                let told: Vec<String> =
                    balances.map(|(place, b)| told(&plot::Balance::nth(place).letter, b)).collect();
                told.join("; ")
            }
            Err(failure) => failure.sentence().unwrap_or_default().to_owned(),
        };
        Self { name, result }
    }
}

/// A balance in a few words: rate (or beat, where there is none), amplitude, beat error.
fn told(letter: &str, balance: &BalanceReading) -> String {
    let measured = |value: Option<Measured>, with_sign, unit: &str| {
        let (number, sd) = rounded(value?, with_sign);
        Some(format!("{number}\u{a0}±\u{a0}{sd}{unit}"))
    };
    let beat = balance.nominal.map(|n| format!("{}\u{a0}beats/h", plain(n.per_hour(), 0)));
    let beat = beat.or_else(|| measured(balance.measured_beats_per_hour, false, "\u{a0}beats/h"));
    let parts = [
        beat,
        measured(balance.rate_s_per_d, true, "\u{a0}s/d"),
        measured(balance.amplitude_deg, false, "°"),
        measured(balance.beat_error_ms, false, "\u{a0}ms"),
    ];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    format!("{letter}\u{a0}{}", parts.join(", "))
}

/// The lines, names below each other.
pub(crate) fn set(lines: &[Line]) -> Vec<String> {
    let width = |name: &str| name.chars().count();
    let names = lines.iter().map(|line| width(&line.name)).filter(|w| *w <= WIDEST_NAME);
    let column = names.max().unwrap_or(0) + 2;
    let mut out = vec![format!("{} recordings:", lines.len())];
    for line in lines {
        let indent = " ".repeat(column);
        let mut set = wrapped(&line.result, &indent).into_iter();
        let wide = width(&line.name) > WIDEST_NAME;
        if wide {
            out.push(line.name.clone());
        } else if let Some(first) = set.next() {
            let rest: String = first.chars().skip(column).collect();
            out.push(format!("{}{}{rest}", line.name, " ".repeat(column - width(&line.name))));
        }
        out.extend(set);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_stand_below_each_other() {
        let line = |name: &str, result: &str| Line { name: name.into(), result: result.into() };
        let long = "x".repeat(40);
        assert_eq!(
            set(&[line("a.wav", "no watch heard"), line("bc.wav", "A +1 s/d"), line(&long, "B")]),
            ["3 recordings:", "a.wav   no watch heard", "bc.wav  A +1 s/d", &long, "        B"]
        );
    }
}
