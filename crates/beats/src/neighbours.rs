//! Values that lie far from their neighbours, however the course goes.

use signal::robust::{MAD_TO_SD, median, median_in_place};

/// Neighbours of the same side that a value is held against.
const NEIGHBOURS: usize = 31;
/// What rounding leaves of equal values is no scatter, as a share of them.
const ROUNDING: f64 = 1e-12;

/// A value of one beat or group of beats.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Seen {
    pub(crate) value: f64,
    /// 0 tick, 1 tock.
    pub(crate) side: usize,
    /// Beats that it is the mean of.
    pub(crate) beats: f64,
}

/// Whether each value, in order of time, lies within `farthest_sd` of the median of its
/// neighbours, and the standard deviation of a single beat about that.
pub(crate) fn near_neighbours(seen: &[Seen], farthest_sd: f64) -> (Vec<bool>, f64) {
    let mut off = vec![0.0f64; seen.len()];
    for side in 0..2 {
        let of_side: Vec<usize> = (0..seen.len()).filter(|&i| seen[i].side == side).collect();
        for (k, &i) in of_side.iter().enumerate() {
            let to = (k.saturating_sub(NEIGHBOURS / 2) + NEIGHBOURS).min(of_side.len());
            let from = to.saturating_sub(NEIGHBOURS);
            let mut near: Vec<f64> = of_side[from..to].iter().map(|&j| seen[j].value).collect();
            let usual = median_in_place(&mut near).unwrap_or(seen[i].value);
            // On the footing of a single beat.
            off[i] = (seen[i].value - usual).abs() * seen[i].beats.max(1.0).sqrt();
        }
    }
    let largest = seen.iter().map(|s| s.value.abs()).fold(0.0, f64::max);
    let scatter = (MAD_TO_SD * median(&off).unwrap_or(0.0)).max(ROUNDING * largest);
    (off.iter().map(|o| *o <= farthest_sd * scatter).collect(), scatter)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slow_course_stays_and_a_single_wild_value_goes() {
        let seen: Vec<Seen> = (0..400)
            .map(|i| {
                let small = f64::from((i * 37) % 11) - 5.0;
                let wild = if i == 211 { 60.0 } else { 0.0 };
                let value = 300.0 - 0.2 * f64::from(i) + small + wild + f64::from(i % 2) * 40.0;
                Seen { value, side: (i % 2) as usize, beats: 1.0 }
            })
            .collect();
        let (near, scatter) = near_neighbours(&seen, 5.0);
        assert_eq!(near.iter().filter(|n| !**n).count(), 1);
        assert!(!near[211]);
        // Even numbers from -5 to 5 have a median size of 3: 1.4826 x 3 = 4.4.
        assert!((3.5..5.5).contains(&scatter), "{scatter}");
    }

    #[test]
    fn equal_values_are_all_near() {
        let seen = vec![Seen { value: 270.0, side: 0, beats: 1.0 }; 5];
        assert_eq!(near_neighbours(&seen, 4.0).0, vec![true; 5]);
        assert!(near_neighbours(&[], 4.0).0.is_empty());
    }
}
