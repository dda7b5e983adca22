//! Rate against time.

use crate::rate_fit::{Fitted, Residual, half, steady};
use crate::reading::CoursePoint;
use quantities::{Measured, SECONDS_PER_DAY};

/// A point stands for at least this much time: shorter ones say little, seconds ...
const LEAST_S: f64 = 20.0;
/// ... and there are no more than so many: a day has one every eight minutes.
const MOST_POINTS: f64 = 180.0;
/// A course of fewer points is none.
const LEAST_POINTS: usize = 3;

/// Rate over stretches of equal length within every run, against a balance of `nominal_period_s`
/// (recorder's clock). Empty for recordings too short to have several points.
pub(crate) fn rate_course(
    f: &Fitted<'_>,
    residuals: &[Residual],
    nominal_period_s: f64,
) -> Vec<CoursePoint> {
    let running_s: f64 = f.track.runs.iter().map(|r| r.last.time_s - r.first.time_s).sum();
    let window_s = LEAST_S.max(running_s / MOST_POINTS);
    let used: Vec<&Residual> = residuals.iter().filter(|r| r.used).collect();
    let mut course = Vec::new();
    for line in &f.lines {
        let run = f.track.runs[line.run as usize];
        let (first_s, last_s) = (run.first.time_s, run.last.time_s);
        let windows = ((last_s - first_s) / window_s) as usize;
        let step_s = (last_s - first_s) / windows.max(1) as f64;
        for k in 0..windows {
            let from_s = first_s + k as f64 * step_s;
            let within = |r: &Residual| r.even_s >= from_s && r.even_s < from_s + step_s;
            let start = used.partition_point(|r| r.even_s < from_s);
            let points: Vec<&Residual> = used[start..]
                .iter()
                .take_while(|r| within(r))
                .filter(|r| r.run == line.run)
                .copied()
                .collect();
            course.extend(point(f, &points, nominal_period_s));
        }
    }
    if course.len() < LEAST_POINTS { Vec::new() } else { course }
}

fn point(f: &Fitted<'_>, points: &[&Residual], nominal_period_s: f64) -> Option<CoursePoint> {
    let column = |of: fn(&Residual) -> f64| points.iter().map(|r| of(r)).collect::<Vec<f64>>();
    let found = steady(
        &column(|r| r.even_s),
        &column(|r| r.late_s),
        &column(|r| half(r.side)),
        &column(|r| f64::from(r.beats)),
    )?;
    let period_s = f.track.period_s * (1.0 + f.slope + found.slope);
    let rate = (nominal_period_s / period_s - 1.0) * SECONDS_PER_DAY;
    let sd = found.slope_sd * SECONDS_PER_DAY;
    Some(CoursePoint { time_s: found.middle_s, value: Measured::new(rate, sd) })
}
