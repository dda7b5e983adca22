//! What a move did: places that were read on both of its sides.

use horology::rate_sheet::mean;
use quantities::Measured;

/// Means of a number over the places that were read both before and after a move, each place once on
/// each side; nothing where there is none.
#[must_use]
pub fn means_before_and_after<Place: PartialEq>(
    before: &[(Place, Option<Measured>)],
    after: &[(Place, Option<Measured>)],
) -> Option<[Measured; 2]> {
    let pairs: Vec<[Measured; 2]> = before
        .iter()
        .filter_map(|(place, one)| {
            let (_, other) = after.iter().find(|(same, _)| same == place)?;
            Some([(*one)?, (*other)?])
        })
        .collect();
    let mean_of = |which: usize| mean(pairs.iter().map(|pair| pair[which]));
    Some([mean_of(0)?, mean_of(1)?])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: dial up 4 became 10 and 6 up 8 became 12; dial down was read on one side only, and
    /// 9 up has no number on one.
    #[test]
    fn places_of_one_side_take_no_part() {
        let read = |place, value| (place, Some(Measured::new(value, 0.3)));
        let before = [read("CH", 4.0), read("FH", 99.0), read("6H", 8.0), read("9H", 50.0)];
        let after = [read("6H", 12.0), ("9H", None), read("CH", 10.0)];
        let Some([then, now]) = means_before_and_after(&before, &after) else { panic!() };
        assert_eq!((then.value, now.value), (6.0, 11.0));
        // Two of 0.3: their mean is known to 0.3 over the root of two (GUM).
        assert!((now.sd - 0.3 / 2.0_f64.sqrt()).abs() < 1e-12);
        assert_eq!(means_before_and_after(&before, &after[1..2]), None);
    }
}
