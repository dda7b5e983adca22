//! A simulated day, streamed: the reading, its courses, and the memory that it took.

use crate::arguments::Arguments;
use crate::command::Failure;
use crate::hearing::{Heard, NotLaidDown, hear};
use crate::markdown::{Table, percent};
use crate::recordings::Recording;
use crate::verdict::{Quantity, Verdict};
use beats::CoursePoint;
use plot::{Balance, Course, CourseLine, Size, Theme, Value};
use std::io::Write;
use std::path::Path;
use std::time::Instant;
use truth::score::{Coverage, ErrorSummary};
use truth::{LaidBeat, Scenario, scenarios};

/// Length, where not said otherwise, hours.
const HOURS: f64 = 24.0;
/// The process may take this much memory at most, KiB.
const MOST_MEMORY_KIB: u64 = 100 * 1024;
/// A course of the rate is asked for from this length on, hours.
const COURSE_FROM_HOURS: f64 = 0.5;

/// The study `day`. Returns what is short of its aim.
pub(crate) fn day(arguments: &Arguments, out: &mut dyn Write) -> Result<Vec<String>, Failure> {
    let hours = arguments.hours.unwrap_or(HOURS);
    let scenario = scenarios::day(arguments.first_seed).with_duration_s(hours * 3_600.0);
    let recording = Recording::new("day", scenario);
    let began = Instant::now();
    let heard = hear(&recording)?;
    let took_s = began.elapsed().as_secs_f64();
    let memory_kib = most_memory_kib();
    let verdict = Verdict::of(&heard);

    writeln!(out, "{hours} hours of one balance, {} Hz.\n", recording.scenario.sample_rate_hz)?;
    let mut table = Table::new(["", "truth", "heard", "sd", "error"]);
    for value in &verdict.values {
        let quantity = value.quantity;
        let truth = quantity.of_truth(&heard.truth.balances[value.balance]);
        let digits = quantity.decimals();
        let name = format!("{}, {}", quantity.name(), quantity.unit());
        match value.claim {
            Some((error, sd)) => table.row([
                name,
                format!("{truth:.digits$}"),
                format!("{:.digits$}", truth + error),
                format!("{sd:.digits$}"),
                format!("{error:+.digits$}"),
            ]),
            None => {
                table.row([name, format!("{truth:.digits$}"), "–".into(), "–".into(), "–".into()])
            }
        }
    }
    if let (Some(truth), Some(reading)) =
        (heard.truth.balances.first(), heard.reading.balances.first())
    {
        table.row([
            "beats".to_owned(),
            truth.beats.to_string(),
            format!("{} of {}", reading.beats_used, reading.beats_expected),
            "–".to_owned(),
            "–".to_owned(),
        ]);
    }
    writeln!(out, "{table}")?;
    let courses = courses(&recording.scenario, &heard)?;
    writeln!(out, "{}", course_table(&courses))?;
    writeln!(
        out,
        "Simulated and heard in {took_s:.0} s, {:.0} times real time, on one thread.",
        hours * 3_600.0 / took_s
    )?;
    match memory_kib {
        Some(kib) => writeln!(
            out,
            "Peak resident memory of the process, the simulator included: {:.1} MiB.",
            kib as f64 / 1024.0
        )?,
        None => writeln!(out, "This system does not say how much memory a process took.")?,
    }
    if let Some(folder) = &arguments.figures {
        draw(&heard, folder)?;
    }
    Ok(shortfalls(hours, &heard, &verdict, memory_kib))
}

fn shortfalls(
    hours: f64,
    heard: &Heard,
    verdict: &Verdict,
    memory_kib: Option<u64>,
) -> Vec<String> {
    let mut short = Vec::new();
    if !verdict.is_right() {
        short.push("rate, amplitude or beat error of the whole is off".to_owned());
    }
    if verdict.is_wrong_and_sure() {
        short.push("wrong and sure of it".to_owned());
    }
    if memory_kib.is_some_and(|kib| kib > MOST_MEMORY_KIB) {
        short.push(format!("more memory than {} MiB", MOST_MEMORY_KIB / 1024));
    }
    let has_course = heard.reading.balances.iter().any(|b| b.rate_course.len() > 1);
    if hours >= COURSE_FROM_HOURS && !has_course {
        short.push("no course of the rate".to_owned());
    }
    short
}

/// Most memory that this process has ever had resident, KiB, where the system says (Linux:
/// `VmHWM` in `/proc/self/status`, proc_pid_status(5)).
fn most_memory_kib() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

/// One point of a course: when, what was said, and what was laid down around it.
struct Compared {
    quantity: Quantity,
    error: f64,
    sd: f64,
}

/// Sets every point of the courses against the beats laid down within its stretch, which is taken
/// to reach half way to its neighbours.
fn courses(scenario: &Scenario, heard: &Heard) -> Result<Vec<Compared>, Failure> {
    let Some(reading) = heard.reading.balances.first() else { return Ok(Vec::new()) };
    let mut compared = Vec::new();
    for (quantity, course) in
        [(Quantity::Rate, &reading.rate_course), (Quantity::Amplitude, &reading.amplitude_course)]
    {
        let Some(mut beats) = scenario.beats(0).map_err(NotLaidDown::from)? else { continue };
        let mut held: Vec<LaidBeat> = Vec::new();
        for (n, point) in course.iter().enumerate() {
            let (from_s, to_s) = stretch(course, n, heard.reading.duration_s);
            held.retain(|b| b.even_time_s >= from_s);
            while held.last().is_none_or(|b| b.even_time_s < to_s) {
                let Some(beat) = beats.next() else { break };
                held.push(beat);
            }
            let within: Vec<&LaidBeat> =
                held.iter().filter(|b| (from_s..to_s).contains(&b.even_time_s)).collect();
            let truth = match quantity {
                Quantity::Rate => rate_of(&within, scenario.balances[0].beats_per_hour),
                _ => mean(within.iter().map(|b| b.amplitude_deg)),
            };
            if let Some(truth) = truth {
                let error = point.value.value - truth;
                compared.push(Compared { quantity, error, sd: point.value.sd });
            }
        }
    }
    Ok(compared)
}

fn stretch(course: &[CoursePoint], n: usize, duration_s: f64) -> (f64, f64) {
    let middle = |a: &CoursePoint, b: &CoursePoint| 0.5 * (a.time_s + b.time_s);
    let from_s = if n == 0 { 0.0 } else { middle(&course[n - 1], &course[n]) };
    let to_s = course.get(n + 1).map_or(duration_s, |next| middle(&course[n], next));
    (from_s, to_s)
}

fn mean(values: impl Iterator<Item = f64>) -> Option<f64> {
    let mut summary = ErrorSummary::default();
    values.for_each(|v| summary.add(v));
    (summary.count > 0).then(|| summary.mean())
}

/// Rate of the least-squares line through the beats' even times, s/d.
fn rate_of(beats: &[&LaidBeat], beats_per_hour: f64) -> Option<f64> {
    let first = beats.first()?;
    let beat_s = 3_600.0 / beats_per_hour;
    // Departures from a perfect watch, so that no digits are lost.
    let points: Vec<(f64, f64)> = beats
        .iter()
        .map(|b| {
            let k = (b.index - first.index) as f64;
            (k, b.even_time_s - first.even_time_s - k * beat_s)
        })
        .collect();
    let k_mean = mean(points.iter().map(|p| p.0))?;
    let d_mean = mean(points.iter().map(|p| p.1))?;
    let kk: f64 = points.iter().map(|p| (p.0 - k_mean) * (p.0 - k_mean)).sum();
    let kd: f64 = points.iter().map(|p| (p.0 - k_mean) * (p.1 - d_mean)).sum();
    (kk > 0.0).then(|| (beat_s / (beat_s + kd / kk) - 1.0) * quantities::SECONDS_PER_DAY)
}

fn course_table(courses: &[Compared]) -> Table {
    let mut table = Table::new([
        "course",
        "points",
        "mean error",
        "rms of the rest",
        "largest of the rest",
        "rms sd claimed",
        "within 1 sd",
        "within 2 sd",
    ]);
    for quantity in [Quantity::Rate, Quantity::Amplitude] {
        let (mut errors, mut sds) = (ErrorSummary::default(), ErrorSummary::default());
        let mut coverage = Coverage::default();
        let points = || courses.iter().filter(|p| p.quantity == quantity);
        // What is the same at every point (where the shocks set in, say) belongs to the mean and
        // its uncertainty; the course is about change.
        let shared = mean(points().map(|p| p.error)).unwrap_or(0.0);
        for point in points() {
            errors.add(point.error - shared);
            sds.add(point.sd);
            coverage.add(point.error - shared, point.sd);
        }
        let digits = quantity.decimals();
        table.row([
            format!("{}, {}", quantity.name(), quantity.unit()),
            errors.count.to_string(),
            format!("{shared:+.digits$}"),
            format!("{:.digits$}", errors.rms()),
            format!("{:.digits$}", errors.largest),
            format!("{:.digits$}", sds.rms()),
            percent(coverage.within_one, coverage.count),
            percent(coverage.within_two, coverage.count),
        ]);
    }
    table
}

/// Draws the courses, as any reading's courses are drawn.
fn draw(heard: &Heard, folder: &Path) -> Result<(), Failure> {
    std::fs::create_dir_all(folder)?;
    let Some(reading) = heard.reading.balances.first() else { return Ok(()) };
    let drawn = [
        ("day-rate.svg", "Rate", "s/d", true, 1.0, &reading.rate_course, reading.rate_s_per_d),
        (
            "day-amplitude.svg",
            "Amplitude",
            "°",
            false,
            10.0,
            &reading.amplitude_course,
            reading.amplitude_deg,
        ),
    ];
    for (file, title, unit, signed, least_span, course, mean) in drawn {
        let points = course
            .iter()
            .map(|p| plot::CoursePoint {
                time_s: p.time_s,
                value: Value::new(p.value.value, p.value.sd),
            })
            .collect();
        let line = CourseLine {
            balance: Balance::nth(0),
            points,
            mean: mean.map(|m| Value::new(m.value, m.sd)),
        };
        let course = Course {
            title: title.to_owned(),
            unit: unit.to_owned(),
            signed,
            least_span,
            lines: vec![line],
        };
        let picture = course.draw(Size::desktop(), Theme::Light);
        std::fs::write(folder.join(file), picture.svg(plot::FontUse::Embedded))?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A steady balance: the rate of any stretch is the rate that was set, to the rounding of
    /// times near 1,000 s over a stretch of 60 s (1e-13 of a second over 60: far below 1e-6 s/d).
    #[test]
    fn rate_of_a_steady_balance() -> Result<(), truth::ScenarioError> {
        let balance = truth::Balance { rate_s_per_d: -12.5, ..truth::Balance::default() };
        let scenario = Scenario::new(1).with_duration_s(1_060.0).with_balance(balance);
        let beats: Vec<LaidBeat> = scenario.beats(0)?.into_iter().flatten().collect();
        let late: Vec<&LaidBeat> = beats.iter().filter(|b| b.even_time_s > 1_000.0).collect();
        let rate = rate_of(&late, 28_800.0);
        assert!(rate.is_some_and(|r| (r + 12.5).abs() < 1e-6), "{rate:?}");
        Ok(())
    }
}
