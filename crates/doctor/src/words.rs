//! Amounts and spans for people.

/// An amount of data, for people: powers of 1000, as the SI has them.
#[must_use]
pub fn size(bytes: u64) -> String {
    let (mut amount, mut unit) = (bytes as f64, "B");
    for larger in ["kB", "MB", "GB", "TB"] {
        if amount < 1_000.0 {
            break;
        }
        (amount, unit) = (amount / 1_000.0, larger);
    }
    if unit == "B" { format!("{bytes} B") } else { format!("{amount:.1} {unit}") }
}

/// How many of something.
pub(crate) fn count(n: u64, one: &str, many: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {many}") }
}

const DAY_MS: i64 = 24 * 3_600 * 1_000;

/// Whole days between two moments; none where the first lies after the second.
pub(crate) fn days(from_ms: i64, to_ms: i64) -> u64 {
    u64::try_from(to_ms.saturating_sub(from_ms) / DAY_MS).unwrap_or(0)
}

/// How long ago, in days.
pub(crate) fn ago(days: u64) -> String {
    match days {
        0 => "today".into(),
        1 => "yesterday".into(),
        days => format!("{days} days ago"),
    }
}

#[cfg(test)]
mod tests {
    use super::size;

    #[test]
    fn sizes_have_their_unit() {
        assert_eq!(size(0), "0 B");
        assert_eq!(size(999), "999 B");
        assert_eq!(size(12_345), "12.3 kB");
        assert_eq!(size(7_000_000_000_000_000), "7000.0 TB");
    }
}
