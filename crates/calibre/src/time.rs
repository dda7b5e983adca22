//! The time of a turn, as people write it, exactly.

use horology::train::Ratio;

/// Units, each smaller than the one before, and their seconds.
const UNITS: [(&str, u128); 5] = [("d", 86_400), ("h", 3_600), ("min", 60), ("m", 60), ("s", 1)];

/// `60`, `1h`, `1h 30min`, `29.530588d`: seconds where no unit stands; nothing where it is no time
/// above zero.
#[must_use]
pub fn turn_s_in_words(text: &str) -> Option<Ratio> {
    let text = text.trim();
    if let Some(seconds) = Ratio::from_decimal(text) {
        return Some(seconds);
    }
    let mut rest = text;
    let mut smallest = u128::MAX;
    let mut total: Option<Ratio> = None;
    while !rest.is_empty() {
        let (number, behind) = rest.split_at(end_of(rest, |c| c.is_ascii_digit() || c == '.'));
        let behind = behind.trim_start();
        let (unit, behind) = behind.split_at(end_of(behind, |c| c.is_ascii_alphabetic()));
        let (_, seconds) = *UNITS.iter().find(|(name, _)| *name == unit)?;
        if seconds >= smallest {
            return None;
        }
        smallest = seconds;
        let part = Ratio::from_decimal(number)?.times(Ratio::whole(seconds)?)?;
        total = Some(match total {
            Some(total) => total.plus(part)?,
            None => part,
        });
        rest = behind.trim_start();
    }
    total
}

/// The length of what belongs together at the start.
fn end_of(text: &str, belongs: impl Fn(char) -> bool) -> usize {
    text.find(|c| !belongs(c)).unwrap_or(text.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_as_people_write_them() {
        let whole = |s| Ratio::whole(s);
        for (text, seconds) in [
            ("60", whole(60)),
            ("1h", whole(3600)),
            ("12 h", whole(43_200)),
            ("1h 30min", whole(5400)),
            ("1h30m", whole(5400)),
            ("1d 12h", whole(129_600)),
            ("0.5s", Ratio::new(1, 2)),
            // A synodic month of 29.530588 days, in seconds: 29.530588 x 86,400.
            ("29.530588d", Ratio::new(2_551_442_803_200_000, 1_000_000_000)),
        ] {
            assert_eq!(turn_s_in_words(text), seconds, "{text}");
        }
        for wrong in ["", " ", "0", "h", "1x", "1m 1h", "1h 1h", "-1h", "1,5h", "1h 30", "1e3", "ü"]
        {
            assert_eq!(turn_s_in_words(wrong), None, "{wrong}");
        }
    }
}
