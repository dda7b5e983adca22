//! States of wind in words, as they are entered at the bench.

/// Whether these words say fully wound.
fn is_full(words: &str) -> bool {
    let plain = words.trim().to_lowercase();
    matches!(plain.as_str(), "full" | "full wind" | "fully wound" | "wound")
}

/// Whether these words say that it has nearly run down.
pub(crate) fn is_low(words: &str) -> bool {
    let plain = words.trim().to_lowercase();
    matches!(plain.as_str(), "low" | "low wind" | "nearly run down")
}

/// Hours since full winding, where the words say so: "full wind", "after 24 h", "36 hours",
/// "after 90 min". Up to 10,000 hours.
#[must_use]
pub fn hours_since_wound(words: &str) -> Option<f64> {
    if is_full(words) {
        return Some(0.0);
    }
    let plain = words.trim().to_lowercase();
    let plain = plain.strip_prefix("after").unwrap_or(&plain).trim_start();
    let digits = plain.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == ','))?;
    let (number, unit) = plain.split_at(digits);
    let number: f64 = number.replace(',', ".").parse().ok()?;
    let hours = match unit.trim() {
        "h" | "hour" | "hours" => number,
        "min" | "minute" | "minutes" => number / 60.0,
        "d" | "day" | "days" => number * 24.0,
        _ => return None,
    };
    (hours <= 10_000.0).then_some(hours)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_that_say_when_it_was_wound() {
        for (words, hours) in [
            ("full wind", Some(0.0)),
            ("Full", Some(0.0)),
            ("after 24 h", Some(24.0)),
            ("36 hours", Some(36.0)),
            ("after 1,5 h", Some(1.5)),
            ("after 90 min", Some(1.5)),
            ("2 days", Some(48.0)),
            ("low wind", None),
            ("as it came", None),
            ("after", None),
            ("24", None),
            ("", None),
            ("1e9 h", None),
            ("99999 h", None),
        ] {
            assert_eq!(hours_since_wound(words), hours, "{words}");
        }
    }
}
