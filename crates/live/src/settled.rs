//! How much of a value is shown while it still settles.

use quantities::Measured;

/// A step is taken for too fine only once the deviation is larger than it by this factor, so that
/// a deviation that wavers about a step does not change the number of decimals each time.
const COARSER_BEYOND: f64 = 1.25;
/// A number that is shown stays until the value has gone from it by this share of its last place;
/// half would let a value on the border between two numbers change them each time.
const STAYS_WITHIN: f64 = 0.75;

/// A number as it is shown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shown {
    /// The number, rounded to its decimals.
    pub number: f64,
    /// How many decimals it has; write it with `quantities::digits`.
    pub decimals: usize,
}

/// What of a live value its uncertainty supports: its last place is worth no less than one standard
/// deviation, so a digit that is shown hardly ever jumps. A value that is written down once has one
/// place more (`quantities::digits::decimals_for`); here it would flicker. `before` is what was
/// shown last. `None` where not even the units are known, or the value is no number.
#[must_use]
pub fn settled(value: Measured, most_decimals: usize, before: Option<Shown>) -> Option<Shown> {
    if !(value.value.is_finite() && value.sd.is_finite()) {
        return None;
    }
    let before = before.filter(|b| b.decimals <= most_decimals);
    let supported = (0..=most_decimals).rev().find(|d| step(*d) >= value.sd);
    let decimals = match before {
        Some(b)
            if supported < Some(b.decimals) && value.sd <= COARSER_BEYOND * step(b.decimals) =>
        {
            b.decimals
        }
        _ => supported?,
    };
    let step = step(decimals);
    match before {
        Some(b)
            if b.decimals == decimals && (value.value - b.number).abs() <= STAYS_WITHIN * step =>
        {
            Some(b)
        }
        _ => Some(Shown { number: (value.value / step).round() * step, decimals }),
    }
}

/// What the last of so many decimals is worth.
fn step(decimals: usize) -> f64 {
    (0..decimals).fold(1.0, |step, _| step / 10.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantities::digits::signed;

    fn written(value: f64, sd: f64, before: Option<Shown>) -> String {
        settled(Measured::new(value, sd), 3, before)
            .map_or_else(|| "–".into(), |s| signed(s.number, s.decimals))
    }

    /// By hand: the last place is at least one standard deviation.
    #[test]
    fn digits_come_as_the_uncertainty_shrinks() {
        for (sd, text) in [
            (3.0, "–"),
            (0.9, "+4"),
            (0.11, "+4"),
            (0.1, "+4.2"),
            (0.04, "+4.2"),
            (0.009, "+4.16"),
            (0.000_1, "+4.163"),
            (0.0, "+4.163"),
            (f64::NAN, "–"),
        ] {
            assert_eq!(written(4.163, sd, None), text, "{sd}");
        }
        assert_eq!(written(f64::INFINITY, 0.1, None), "–");
        assert_eq!(written(-0.04, 0.1, None), "0.0");
    }

    #[test]
    fn neither_number_nor_decimals_waver() {
        let before = Some(Shown { number: 4.2, decimals: 1 });
        assert_eq!(written(4.14, 0.09, before), "+4.2");
        assert_eq!(written(4.12, 0.09, before), "+4.1");
        assert_eq!(written(4.163, 0.12, before), "+4.2");
        assert_eq!(written(4.163, 0.13, before), "+4");
        assert_eq!(written(4.163, 0.009, before), "+4.16");
        // Nothing is held that is not asked for: fewer decimals at most than before.
        let shown = settled(Measured::new(4.163, 0.009), 0, before);
        assert_eq!(shown, Some(Shown { number: 4.0, decimals: 0 }));
    }
}
