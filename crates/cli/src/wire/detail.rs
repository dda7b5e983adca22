//! The series behind the numbers, each as columns of one length.

use beats::{
    AveragedBeat, BalanceReading, CoursePoint, DriftPoint, Periodogram, PeriodogramPeak, Side,
};
use serde::Serialize;

/// All series of one balance.
#[derive(Debug, Serialize)]
pub(crate) struct Detail {
    drift: Drift,
    amplitude_course: Course,
    rate_course: Course,
    averaged_beats: Vec<Beat>,
    timing_periodogram: Option<PeriodogramWire>,
    amplitude_periodogram: Option<PeriodogramWire>,
}

/// Every beat (in long recordings: groups of beats) against a balance at the nominal beat.
#[derive(Debug, Serialize)]
struct Drift {
    time_s: Vec<f64>,
    gain_ms: Vec<f64>,
    residual_ms: Vec<f64>,
    side: Vec<&'static str>,
    used: Vec<bool>,
}

#[derive(Debug, Serialize)]
struct Course {
    time_s: Vec<f64>,
    value: Vec<f64>,
    sd: Vec<f64>,
}

/// Value `i` of an averaged beat lies at `start_ms + i step_ms`.
#[derive(Debug, Serialize)]
struct Beat {
    side: &'static str,
    start_ms: f64,
    step_ms: f64,
    unlocking_ms: Option<f64>,
    impulse_ms: Option<f64>,
    drop_ms: Option<f64>,
    mean: Vec<f64>,
    spread: Vec<f64>,
}

#[derive(Debug, Serialize)]
struct PeriodogramWire {
    frequency_hz: Vec<f64>,
    power: Vec<f64>,
    one_percent_level: f64,
    peaks: Vec<Peak>,
}

#[derive(Debug, Serialize)]
struct Peak {
    period_s: f64,
    semi_amplitude: f64,
    false_alarm_probability: f64,
}

impl Detail {
    pub(crate) fn of(balance: &BalanceReading) -> Self {
        Self {
            drift: Drift::of(&balance.drift),
            amplitude_course: Course::of(&balance.amplitude_course),
            rate_course: Course::of(&balance.rate_course),
            averaged_beats: balance.averaged_beats.iter().map(Beat::of).collect(),
            timing_periodogram: balance.timing_periodogram.as_ref().map(PeriodogramWire::of),
            amplitude_periodogram: balance.amplitude_periodogram.as_ref().map(PeriodogramWire::of),
        }
    }
}

/// The stable name of a side.
pub(crate) fn side(side: Side) -> &'static str {
    match side {
        Side::Tick => "tick",
        Side::Tock => "tock",
    }
}

impl Drift {
    fn of(points: &[DriftPoint]) -> Self {
        let column = |get: fn(&DriftPoint) -> f64| points.iter().map(get).collect();
        Self {
            time_s: column(|p| p.time_s),
            gain_ms: column(|p| p.gain_ms),
            residual_ms: column(|p| p.residual_ms),
            side: points.iter().map(|p| side(p.side)).collect(),
            used: points.iter().map(|p| p.used).collect(),
        }
    }
}

impl Course {
    fn of(points: &[CoursePoint]) -> Self {
        let column = |get: fn(&CoursePoint) -> f64| points.iter().map(get).collect();
        Self {
            time_s: column(|p| p.time_s),
            value: column(|p| p.value.value),
            sd: column(|p| p.value.sd),
        }
    }
}

impl Beat {
    fn of(beat: &AveragedBeat) -> Self {
        Self {
            side: side(beat.side),
            start_ms: beat.start_ms,
            step_ms: beat.step_ms,
            unlocking_ms: beat.unlocking_ms,
            impulse_ms: beat.impulse_ms,
            drop_ms: beat.drop_ms,
            mean: beat.mean.clone(),
            spread: beat.spread.clone(),
        }
    }
}

impl PeriodogramWire {
    fn of(periodogram: &Periodogram) -> Self {
        Self {
            frequency_hz: periodogram.frequency_hz.clone(),
            power: periodogram.power.clone(),
            one_percent_level: periodogram.one_percent_level,
            peaks: periodogram.peaks.iter().map(Peak::of).collect(),
        }
    }
}

impl Peak {
    fn of(peak: &PeriodogramPeak) -> Self {
        Self {
            period_s: peak.period_s,
            semi_amplitude: peak.semi_amplitude,
            false_alarm_probability: peak.false_alarm_probability,
        }
    }
}
