/// Up to here plain selection is as fast.
const FEW: usize = 4_096;
/// Values that are looked at first.
const SAMPLE: usize = 1_024;
/// How far around the wanted rank the sample is trusted: three standard deviations of a rank
/// among [`SAMPLE`] random ones, `3 sqrt(1024) / 2`.
const TRUSTED: usize = 48;

/// The value that has `rank` others before it in the order of [`f32::total_cmp`] (0 for the
/// least), of all values put through `of`. None where there are not so many values.
///
/// Exact. Two values of a sample enclose the wanted one and nearly all values are only counted
/// (Floyd and Rivest 1975); nothing is reordered. O(n).
#[must_use]
pub fn ranked(values: &[f32], rank: usize, of: impl Fn(f32) -> f32) -> Option<f32> {
    if rank >= values.len() {
        return None;
    }
    if values.len() > FEW
        && let Some(found) = between_two(values, rank, &of)
    {
        return Some(found);
    }
    let mut keys: Vec<i32> = values.iter().map(|x| in_order(of(*x))).collect();
    Some(out_of_order(*keys.select_nth_unstable(rank).1))
}

/// Counts what lies below two values of a sample and selects among what lies between. None where
/// the wanted value is not between.
fn between_two(values: &[f32], rank: usize, of: &impl Fn(f32) -> f32) -> Option<f32> {
    // Steps of the golden section fall evenly whatever order the values stand in.
    let mut sample: Vec<i32> = (0..SAMPLE as u32)
        .map(|i| {
            let along = u64::from(i.wrapping_mul(0x9e37_79b9));
            in_order(of(values[((along * values.len() as u64) >> 32) as usize]))
        })
        .collect();
    sample.sort_unstable();
    let at = (rank as u64 * SAMPLE as u64 / values.len() as u64) as usize;
    let low = if at >= TRUSTED { sample[at - TRUSTED] } else { i32::MIN };
    let high = sample.get(at + TRUSTED).copied().unwrap_or(i32::MAX);
    let mut below = 0usize;
    let mut between = Vec::with_capacity(values.len() / 6);
    let mut block = [0i32; 256];
    for some in values.chunks(block.len()) {
        let mut kept = 0;
        for x in some {
            let key = in_order(of(*x));
            below += usize::from(key < low);
            block[kept] = key;
            kept += usize::from((low..=high).contains(&key));
        }
        between.extend_from_slice(&block[..kept]);
    }
    let rank = rank.checked_sub(below).filter(|r| *r < between.len())?;
    Some(out_of_order(*between.select_nth_unstable(rank).1))
}

/// A whole number that is ordered as [`f32::total_cmp`] orders the value: selecting among whole
/// numbers is twice as fast.
#[must_use]
pub fn in_order(x: f32) -> i32 {
    let bits = x.to_bits() as i32;
    bits ^ (((bits >> 31) as u32) >> 1) as i32
}

/// Back from [`in_order`].
#[must_use]
pub fn out_of_order(key: i32) -> f32 {
    f32::from_bits((key ^ (((key >> 31) as u32) >> 1) as i32) as u32)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// Against sorting: few and many values, in order or not, many of them equal.
        #[test]
        fn is_what_sorting_gives(
            seed in 0u32..1_000,
            n in prop_oneof![1usize..50, 4_090usize..4_100, 9_000usize..20_000],
            share in 0.0f64..1.0,
            different in prop_oneof![Just(3u32), Just(1_000), Just(u32::MAX)],
            sorted_already in any::<bool>(),
        ) {
            let mut state = seed;
            let mut values: Vec<f32> = (0..n)
                .map(|_| {
                    state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                    ((state >> 4) % different) as f32 - 1.0
                })
                .collect();
            let mut sorted = values.clone();
            sorted.sort_by(f32::total_cmp);
            if sorted_already {
                values.clone_from(&sorted);
            }
            let rank = ((n as f64 * share) as usize).min(n - 1);
            prop_assert_eq!(ranked(&values, rank, |x| x), Some(sorted[rank]));
            // Turned round, the order is turned round.
            prop_assert_eq!(ranked(&values, n - 1 - rank, |x| -x), Some(-sorted[rank]));
        }
    }

    #[test]
    fn a_plain_nan_comes_last() {
        let mut values = vec![f32::NAN; 3_000];
        values.extend((0..3_000).map(|k| k as f32));
        values.extend([f32::NEG_INFINITY, f32::INFINITY]);
        assert_eq!(ranked(&values, 0, |x| x), Some(f32::NEG_INFINITY));
        assert_eq!(ranked(&values, 1_501, |x| x), Some(1_500.0));
        assert_eq!(ranked(&values, 3_001, |x| x), Some(f32::INFINITY));
        assert!(ranked(&values, 3_002, |x| x).is_some_and(f32::is_nan));
        assert_eq!(ranked(&values, 6_002, |x| x), None);
        assert_eq!(ranked(&[], 0, |x| x), None);
    }
}
