//! Courses and periodograms from a reading.

use crate::value;
use beats::{BalanceReading, DisturbedSeries, Periodogram};
use plot::{Against, Balance, Course, CourseLine, CoursePoint, NamedPeak, PeriodogramPicture};
use quantities::Measured;

/// Amplitude and rate against time, each where some balance has more than one point of it.
#[must_use]
pub fn courses(balances: &[BalanceReading]) -> Vec<Course> {
    let amplitude = Course {
        title: "Amplitude".into(),
        unit: "°".into(),
        signed: false,
        least_span: 20.0,
        lines: lines(balances, |b| (&b.amplitude_course, b.amplitude_deg)),
    };
    let rate = Course {
        title: "Rate".into(),
        unit: "s/d".into(),
        signed: true,
        least_span: 2.0,
        lines: lines(balances, |b| (&b.rate_course, b.rate_s_per_d)),
    };
    [amplitude, rate].into_iter().filter(|course| !course.lines.is_empty()).collect()
}

fn lines(
    balances: &[BalanceReading],
    get: impl Fn(&BalanceReading) -> (&[beats::CoursePoint], Option<Measured>),
) -> Vec<CourseLine> {
    let all = balances.iter().enumerate().map(|(place, balance)| {
        let (points, mean) = get(balance);
        let points = points.iter().map(|p| CoursePoint { time_s: p.time_s, value: value(p.value) });
        CourseLine { balance: Balance::nth(place), points: points.collect(), mean: mean.map(value) }
    });
    all.filter(|line| line.points.len() > 1).collect()
}

/// What repeats in the timing and in the amplitude of each balance; where `telling_only`, those
/// without a peak that noise would rarely make are left out.
#[must_use]
pub fn periodograms(balances: &[BalanceReading], telling_only: bool) -> Vec<PeriodogramPicture> {
    let each = balances.iter().enumerate().flat_map(|(place, balance)| {
        [DisturbedSeries::Timing, DisturbedSeries::Amplitude].map(|of| (place, balance, of))
    });
    let pictures = each.filter_map(|(place, balance, of)| periodogram(place, balance, of));
    pictures.filter(|picture| !telling_only || !picture.peaks.is_empty()).collect()
}

/// What repeats in one series of the balance with this place; nothing where it could not be searched.
#[must_use]
pub fn periodogram(
    place: usize,
    balance: &BalanceReading,
    of: DisturbedSeries,
) -> Option<PeriodogramPicture> {
    let (title, periodogram) = match of {
        DisturbedSeries::Timing => ("What repeats in the timing", &balance.timing_periodogram),
        DisturbedSeries::Amplitude => {
            ("What repeats in the amplitude", &balance.amplitude_periodogram)
        }
    };
    Some(picture(place, title, periodogram.as_ref()?))
}

fn picture(place: usize, title: &str, periodogram: &Periodogram) -> PeriodogramPicture {
    let peaks = periodogram.peaks.iter().filter_map(|peak| {
        let frequency_hz = 1.0 / peak.period_s;
        let power = power_near(periodogram, frequency_hz)?;
        // Which wheel it is, nobody has told us.
        Some(NamedPeak { frequency_hz, power, name: String::new() })
    });
    PeriodogramPicture {
        title: title.into(),
        balance: Some(Balance::nth(place)),
        against: Against::Period,
        frequency_hz: periodogram.frequency_hz.clone(),
        power: periodogram.power.clone(),
        one_percent_level: Some(periodogram.one_percent_level).filter(|level| level.is_finite()),
        peaks: peaks.collect(),
    }
}

/// Power at the frequency of the grid that is nearest.
fn power_near(periodogram: &Periodogram, frequency_hz: f64) -> Option<f64> {
    let grid = &periodogram.frequency_hz;
    let above = grid.partition_point(|f| *f < frequency_hz);
    let candidates = [above.checked_sub(1), Some(above)].into_iter().flatten();
    let nearest = candidates.filter(|at| *at < grid.len()).min_by(|a, b| {
        (grid[*a] - frequency_hz).abs().total_cmp(&(grid[*b] - frequency_hz).abs())
    })?;
    periodogram.power.get(nearest).copied()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn power_comes_from_the_nearest_frequency() {
        let periodogram = Periodogram {
            frequency_hz: vec![0.1, 0.2, 0.3],
            power: vec![1.0, 2.0, 3.0],
            one_percent_level: 0.5,
            least_seen: 0.1,
            peaks: Vec::new(),
            beat_s: 0.125,
            longest_period_s: 10.0,
            each_beat: true,
        };
        for (frequency_hz, power) in [(0.01, 1.0), (0.14, 1.0), (0.16, 2.0), (0.2, 2.0), (9.0, 3.0)]
        {
            assert_eq!(power_near(&periodogram, frequency_hz), Some(power));
        }
    }
}
