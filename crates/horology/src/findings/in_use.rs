//! Signs in the rate as a whole, over time and on the wrist.

use super::finding::{Evidence, Finding, Sign};
use super::readings::Readings;
use crate::least_squares::{Row, fit, widening};
use crate::rate_sheet::Wind;
use quantities::Measured;

/// Mean rate of either sign from which it is called large here, s/d: more than an index that stands
/// within its scale usually leaves (common practice, no published source).
const LARGE_FROM_S_PER_D: f64 = 120.0;

/// Change since an earlier visit from which it is called large here, s/d: what ISO 764 allows a
/// watch after a magnetic field (bib:iso764, limit by a second-hand report).
const CHANGED_BY_S_PER_D: f64 = 30.0;

/// Scatter within a reading from which it is called erratic here, s/d (common practice, no
/// published source).
const ERRATIC_FROM_S_PER_D: f64 = 10.0;

/// Growing loss from which it is worth a look, s/d in 30 days (common practice, no published
/// source).
const GROWS_BY_S_PER_D: f64 = 1.0;

/// Days in which it grows by that.
const MONTH_DAYS: f64 = 30.0;

/// How often a trend may be shown where there is none.
const TREND_BY_CHANCE: f64 = 0.05;

/// Hands against balance, s/d: any slip beyond what reading the hands leaves open is one.
const HANDS_FROM_S_PER_D: f64 = 2.0;

/// Slower on the wrist than expected, s/d: bib:kleinlein1920 (Nos. 77-78) regulates 2 to 4 fast for
/// it.
const SLOW_IN_USE_FROM_S_PER_D: f64 = 2.0;

pub(super) fn signs(readings: &Readings<'_>) -> Vec<Finding> {
    let mean = readings
        .sheet
        .column(readings.balance, Wind::FULL)
        .ok()
        .and_then(|column| column.mean_rate_s_per_d());
    let hands = readings.hands_s_per_d.zip(mean).and_then(|(hands, mean)| {
        by_size("hands less balance", hands.minus(mean), HANDS_FROM_S_PER_D)
    });
    let in_use = readings.worn_and_expected_s_per_d.and_then(|(worn, expected)| {
        let slower = expected.minus(worn);
        Evidence::above("expected less worn", "s/d", None, slower, SLOW_IN_USE_FROM_S_PER_D)
    });
    [
        Finding::of(Sign::LargeOrErratic, large(readings, mean)),
        Finding::of(Sign::LosingMoreWithTime, growing_loss(readings, mean).into_iter().collect()),
        Finding::of(Sign::HandsAgainstBalance, hands.into_iter().collect()),
        Finding::of(Sign::SlowInUse, in_use.into_iter().collect()),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn large(readings: &Readings<'_>, mean: Option<Measured>) -> Vec<Evidence> {
    let latest = readings.earlier.iter().min_by(|a, b| a.days_ago.total_cmp(&b.days_ago));
    let changed = latest.zip(mean).and_then(|(earlier, mean)| {
        let change = mean.minus(earlier.mean_s_per_d);
        by_size("mean rate less that of the visit before", change, CHANGED_BY_S_PER_D)
    });
    let large = mean.and_then(|mean| by_size("mean rate", mean, LARGE_FROM_S_PER_D));
    let erratic = readings.erratic_s_per_d.and_then(|scatter| {
        Evidence::above(
            "scatter of the rate within a reading",
            "s/d",
            None,
            scatter,
            ERRATIC_FROM_S_PER_D,
        )
    });
    [large, changed, erratic].into_iter().flatten().collect()
}

/// Evidence by size, whatever the sign; the number keeps its sign.
fn by_size(what: &'static str, number: Measured, limit: f64) -> Option<Evidence> {
    let size = Measured::new(number.value.abs(), number.sd);
    let evidence = Evidence::above(what, "s/d", None, size, limit)?;
    Some(Evidence { measured: number, ..evidence })
}

/// Slope of the mean rate over earlier visits and now, s/d in 30 days; needs three of them, for two
/// always make a line.
fn growing_loss(readings: &Readings<'_>, mean: Option<Measured>) -> Option<Evidence> {
    let now = mean.map(|mean| (0.0, mean));
    let all: Vec<(f64, Measured)> =
        readings.earlier.iter().map(|e| (e.days_ago, e.mean_s_per_d)).chain(now).collect();
    if all.len() < 3 {
        return None;
    }
    let row = |(days_ago, rate): &(f64, Measured)| Row {
        factors: vec![1.0, -days_ago / MONTH_DAYS],
        seen: rate.value,
        sd: rate.sd.max(1e-3),
    };
    let fit = fit(&all.iter().map(row).collect::<Vec<Row>>())?;
    let widening = widening(fit.chi_squared, all.len() - 2, TREND_BY_CHANCE);
    let loss = Measured::new(-fit.unknowns[1], (widening * fit.covariance[1][1]).sqrt());
    // A trend is a sign only where it is one beyond its scatter.
    Evidence::above("loss that grows, in 30 days", "s/d", None, loss, GROWS_BY_S_PER_D)
        .filter(|evidence| evidence.beyond_uncertainty)
}
