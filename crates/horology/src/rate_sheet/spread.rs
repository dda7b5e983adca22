use super::bounds::Bounded;
use crate::stance::Stance;
use quantities::Measured;

/// Mean range of 2 to 10 standard normal numbers (scipy 1.17.1, by integration of the distribution
/// of the range; known from control charts as d2).
const MEAN_RANGE: [f64; 9] = [
    std::f64::consts::FRAC_2_SQRT_PI,
    1.692_6,
    2.058_8,
    2.325_9,
    2.534_4,
    2.704_4,
    2.847_2,
    2.970_0,
    3.077_5,
];

/// What the range of 2 to 10 standard normal numbers exceeds once in twenty: the studentized range
/// with any number of degrees of freedom (scipy 1.17.1, `studentized_range.ppf(0.95, n, 1e7)`).
const LARGE_RANGE: [f64; 9] =
    [2.771_8, 3.314_5, 3.633_2, 3.857_7, 4.030_1, 4.169_6, 4.286_3, 4.386_5, 4.474_1];

/// Fastest less slowest of several positions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// s/d; the clock cancels. Its lower bound allows for what scatter adds to every spread.
    pub s_per_d: Bounded,
    /// Where the watch is fastest.
    pub fastest: Stance,
    /// Where it is slowest.
    pub slowest: Stance,
    /// What positions that are all alike would show on average, s/d, from the readings' scatter.
    pub from_scatter_s_per_d: f64,
}

/// A spread of which only the difference and the number of positions were kept: as [`Spread`] bounds it,
/// for positions that were read equally well.
#[must_use]
pub fn spread_of(difference_s_per_d: Measured, positions: usize) -> Bounded {
    let row = positions.clamp(2, MEAN_RANGE.len() + 1) - 2;
    let sd_of_one = difference_s_per_d.sd * std::f64::consts::FRAC_1_SQRT_2;
    Bounded {
        least: (difference_s_per_d.value - LARGE_RANGE[row] * sd_of_one).max(0.0),
        ..Bounded::from(difference_s_per_d)
    }
}

/// Spread of these rates; nothing for fewer than two.
pub(super) fn spread(rates: &[(Stance, Measured)]) -> Option<Spread> {
    let by_rate =
        |a: &&(Stance, Measured), b: &&(Stance, Measured)| a.1.value.total_cmp(&b.1.value);
    let fastest = rates.iter().max_by(by_rate)?;
    let slowest = rates.iter().min_by(by_rate)?;
    let count = rates.len();
    if count < 2 {
        return None;
    }
    let row = count.min(MEAN_RANGE.len() + 1) - 2;
    let difference = fastest.1.minus(slowest.1);
    let largest_sd = rates.iter().map(|(_, rate)| rate.sd).fold(0.0, f64::max);
    let mean_square = rates.iter().map(|(_, rate)| rate.sd * rate.sd).sum::<f64>() / count as f64;
    Some(Spread {
        s_per_d: Bounded {
            least: (difference.value - LARGE_RANGE[row] * largest_sd).max(0.0),
            ..Bounded::from(difference)
        },
        fastest: fastest.0,
        slowest: slowest.0,
        from_scatter_s_per_d: MEAN_RANGE[row] * mean_square.sqrt(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantities::Position;

    /// Positions that were read equally well: kept or worked out, one bound.
    #[test]
    fn a_spread_that_was_kept_is_bounded_as_it_was() {
        let rates = [(Position::CH, 4.0), (Position::FH, -1.0), (Position::H6, 2.5)]
            .map(|(at, rate)| (Stance::from(at), Measured::new(rate, 0.5)));
        let fresh = spread(&rates).unwrap().s_per_d;
        let kept = spread_of(fresh.measured, 3);
        assert!((fresh.least - kept.least).abs() < 1e-12);
        assert_eq!(fresh.most, kept.most);
    }
}
