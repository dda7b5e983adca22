//! Leaves out points that could not be seen, and none that stand out.

/// Indices, ascending, of those points that are kept: all of them where there are no more than
/// `most`; else, of each of equally wide stretches of x, the first, the last, the lowest and the
/// highest. `x` must be finite; `low` and `high` are what must not be lost.
pub(crate) fn kept(
    count: usize,
    most: usize,
    x: impl Fn(usize) -> f64,
    low: impl Fn(usize) -> f64,
    high: impl Fn(usize) -> f64,
) -> Vec<usize> {
    if count <= most {
        return (0..count).collect();
    }
    let (mut least, mut greatest) = (f64::INFINITY, f64::NEG_INFINITY);
    for n in 0..count {
        least = least.min(x(n));
        greatest = greatest.max(x(n));
    }
    let stretches = (most / 4).max(1);
    let per_stretch = (greatest - least) / stretches as f64;
    // First, lowest, highest, last of each stretch.
    let mut found: Vec<Option<[usize; 4]>> = vec![None; stretches];
    for n in 0..count {
        let at = if per_stretch > 0.0 { ((x(n) - least) / per_stretch) as usize } else { 0 };
        match &mut found[at.min(stretches - 1)] {
            None => found[at.min(stretches - 1)] = Some([n; 4]),
            Some([_, lowest, highest, last]) => {
                if low(n) < low(*lowest) {
                    *lowest = n;
                }
                if high(n) > high(*highest) {
                    *highest = n;
                }
                *last = n;
            }
        }
    }
    let mut kept: Vec<usize> = found.into_iter().flatten().flatten().collect();
    kept.sort_unstable();
    kept.dedup();
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn seven_hundred_thousand_points_become_five_thousand_and_the_odd_one_stays() {
        let mut values: Vec<f64> = (0..700_000).map(|n| (f64::from(n) * 0.001).sin()).collect();
        values[123_456] = 9.0;
        values[654_321] = -9.0;
        let kept = kept(values.len(), 5000, |n| n as f64, |n| values[n], |n| values[n]);
        assert!(kept.len() <= 5000);
        assert!(kept.contains(&123_456) && kept.contains(&654_321));
        assert!(kept.contains(&0) && kept.contains(&699_999));
    }

    #[test]
    fn points_at_one_place_keep_their_extremes() {
        let kept = kept(10_000, 100, |_| 3.0, |n| n as f64, |n| n as f64);
        assert_eq!(kept, [0, 9999]);
    }

    proptest! {
        #[test]
        fn extremes_survive(values in prop::collection::vec(-1e9..1e9f64, 1..500), most in 4usize..100) {
            let kept = kept(values.len(), most, |n| n as f64, |n| values[n], |n| values[n]);
            prop_assert!(kept.len() <= most.max(4));
            for best in [f64::min, f64::max] {
                let all = values.iter().copied().reduce(best).unwrap();
                prop_assert_eq!(kept.iter().map(|n| values[*n]).reduce(best).unwrap(), all);
            }
        }
    }
}
