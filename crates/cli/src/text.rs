//! Readings for people.

use crate::measure::Heard;
use std::fmt::Write as _;

pub(crate) fn reading(heard: &Heard) -> String {
    let mut text = String::new();
    let _ = writeln!(text, "{}", heard.source.path.display());
    for (place, b) in heard.reading.balances.iter().enumerate() {
        let _ = writeln!(
            text,
            "  {} {:?} {:?} {:?} {:?} {}/{}",
            plot::Balance::nth(place).letter,
            b.nominal,
            b.rate_s_per_d,
            b.amplitude_deg,
            b.beat_error_ms,
            b.beats_used,
            b.beats_expected
        );
    }
    for (_, message) in heard.notices() {
        let _ = writeln!(text, "  {message}");
    }
    text
}
