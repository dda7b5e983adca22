//! How single values are written.

use crate::entry::By;
use horology::rate_sheet::Wind;
use horology::regulator::Means;
use horology::stance::{Stance, Upright};
use std::ops::RangeInclusive;

/// Degrees of the dial in an hour.
const HOUR_DEG: u16 = 30;

/// A number; the minus sign may be that of the printed page.
pub(crate) fn number(words: &str, within: &RangeInclusive<f64>) -> Result<f64, String> {
    let plain = words.replace('\u{2212}', "-");
    match plain.parse::<f64>() {
        Ok(number) if within.contains(&number) => Ok(number),
        Ok(_) => Err(format!("it must lie between {} and {}", within.start(), within.end())),
        Err(_) if plain.contains(',') => Err("write decimals with a point, like 1.5".into()),
        Err(_) => Err("this is not a number".into()),
    }
}

/// A position: `CH`, `dial up`, `6H`, `1:30H`, `9 up`.
///
/// # Errors
/// A sentence that says what would do.
pub fn stance(words: &str) -> Result<Stance, String> {
    let plain = words.trim().to_lowercase();
    match plain.as_str() {
        "ch" | "dial up" => return Ok(Stance::DialUp),
        "fh" | "dial down" => return Ok(Stance::DialDown),
        _ => {}
    }
    let wrong = || {
        "write CH for dial up, FH for dial down, or the hour that is uppermost, like 6H or 1:30H"
            .to_owned()
    };
    let hour = plain.strip_suffix('h').or_else(|| plain.strip_suffix(" up")).ok_or_else(wrong)?;
    let (hour, half) = match hour.trim_end().strip_suffix(":30") {
        Some(hour) => (hour, HOUR_DEG / 2),
        None => (hour.trim_end(), 0),
    };
    match hour.parse::<u16>() {
        Ok(hour @ 1..=12) => {
            Ok(Stance::Upright(Upright::from_uppermost_deg(hour * HOUR_DEG + half)))
        }
        _ => Err(wrong()),
    }
}

/// `full`, `24 h`, `90 min`, or a number of hours.
pub(crate) fn wind(words: &str) -> Result<Wind, String> {
    let hours = words
        .parse::<f64>()
        .ok()
        .filter(|hours| (0.0..=10_000.0).contains(hours))
        .or_else(|| regulate::hours_since_wound(words));
    let hours = hours.ok_or("write full, or the time since it was wound, like 24 h or 90 min")?;
    // Below 10,000 hours.
    Ok(Wind { minutes_since_wound: (hours * 60.0).round() as u32 })
}

/// `index +0.5`, `screws -0.25`, `mass +1.2`, `stud -2`.
pub(crate) fn moved(words: &str) -> Result<(By, f64), String> {
    let wrong = || {
        "write index, screws, mass or stud and how far with its sign, + for faster (of a stud for \
         clockwise), like index +0.5"
            .to_owned()
    };
    let (by, amount) = words.trim().split_once(char::is_whitespace).ok_or_else(wrong)?;
    let by = match by.to_lowercase().as_str() {
        "index" => By::Rate(Means::Index),
        "screws" => By::Rate(Means::TimingScrews),
        "mass" => By::Rate(Means::Mass),
        "stud" => By::Stud,
        _ => return Err(wrong()),
    };
    let amount = amount.trim();
    if !amount.starts_with(['+', '-', '\u{2212}']) {
        return Err(wrong());
    }
    match number(amount, &(-1_000.0..=1_000.0))? {
        0.0 => Err("a move of nothing says nothing: leave it out".into()),
        amount => Ok((by, amount)),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "in a test, what cannot be unwrapped is the failure")]
mod tests {
    use super::*;

    /// Symbols of ISO 3158; half-way positions by project convention.
    #[test]
    fn positions() {
        let upright = |deg| Stance::Upright(Upright::from_uppermost_deg(deg));
        for (words, wanted) in [
            ("CH", Stance::DialUp),
            ("dial down", Stance::DialDown),
            ("12H", upright(0)),
            ("3h", upright(90)),
            ("6 up", upright(180)),
            ("1:30H", upright(45)),
            ("12:30H", upright(15)),
        ] {
            assert_eq!(stance(words), Ok(wanted), "{words}");
        }
        for wrong in ["", "H", "0H", "13H", "1:15H", "up", "CHH", "-3H"] {
            assert!(stance(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn what_is_written_is_read_back() {
        for deg in (0..360).step_by(15) {
            let there = Stance::Upright(Upright::from_uppermost_deg(deg));
            assert_eq!(stance(&there.to_string()), Ok(there));
        }
    }

    #[test]
    fn moves_want_a_sign() {
        assert_eq!(moved("index +0.5"), Ok((By::Rate(Means::Index), 0.5)));
        assert_eq!(moved("stud \u{2212}2"), Ok((By::Stud, -2.0)));
        for wrong in ["index", "index 0.5", "index +0", "lever +1", "mass + 1", "index +1e9"] {
            assert!(moved(wrong).is_err(), "{wrong}");
        }
    }
}
