//! From the beats of every balance to a reading.

use crate::reading::{
    AveragedBeat, BalanceReading, CoursePoint, DriftPoint, Reading, Relation, RelationState, Side,
};
use crate::relation::relate;
use crate::settings::Settings;
use crate::stretch::Picture;
use crate::track::{Group, Track};
use crate::warning::{Warning, WarningCode};
use quantities::{BeatFrequency, LiftAngle, Measured, SECONDS_PER_DAY};
use signal::line_fit::Spread;
use signal::robust::{RobustLine, RobustOptions, robust_line, robust_sd};

/// A balance that is silent for this long at either end of the recording stopped or started.
const SILENT_S: f64 = 1.6;
/// Beats below this many dB above the noise are worth a warning.
const QUIET_DB: f64 = 12.0;
/// Fewer beats than this carry no uncertainty worth the name.
const FEW_BEATS: u64 = 16;

/// A balance with its fit.
pub(crate) struct Fitted<'a> {
    pub(crate) track: &'a Track,
    pub(crate) line: RobustLine,
    /// Seconds of an oscillation, recorder's clock.
    pub(crate) period_s: f64,
    /// Relative standard deviation of it.
    pub(crate) period_sd_relative: f64,
}

/// Puts the reading together.
pub(crate) fn account_for(
    tracks: &[Track],
    duration_s: f64,
    clipped: u64,
    settings: &Settings,
) -> Reading {
    let mut fitted: Vec<Fitted<'_>> = tracks.iter().filter_map(fit_track).collect();
    fitted.sort_by(|a, b| b.track.strength.total_cmp(&a.track.strength));
    let mut warnings = Vec::new();
    let mut balances: Vec<BalanceReading> =
        fitted.iter().enumerate().map(|(k, f)| describe(f, k, settings)).collect();
    let relation = relate(&fitted, &mut balances, duration_s, settings, &mut warnings);
    for (f, b) in fitted.iter().zip(&balances) {
        warn(f, b, duration_s, &mut warnings);
    }
    if !balances.is_empty() && !settings.clock.calibrated {
        warnings.push(Warning {
            code: WarningCode::ClockUncalibrated,
            message: format!(
                "The recorder's clock has not been calibrated: every rate may be off by about \
                 {:.1} s/d on that account.",
                settings.clock.sd_s_per_d()
            ),
        });
    }
    if clipped > 20 {
        warnings.push(Warning {
            code: WarningCode::Clipped,
            message: "The recording is clipped: turn the input down and record again.".into(),
        });
    }
    Reading { duration_s, balances, relation, warnings }
}

fn fit_track(track: &Track) -> Option<Fitted<'_>> {
    let mut x = Vec::new();
    let mut y = Vec::new();
    let mut side = Vec::new();
    let mut weight = Vec::new();
    for (s, groups) in track.groups.iter().enumerate() {
        for g in groups.iter().filter(|g| g.used) {
            x.push((g.turn + 0.5 * s as f64) * track.period_s);
            y.push(g.late_s);
            side.push(s as f64 - 0.5);
            weight.push(f64::from(g.beats));
        }
    }
    let options = RobustOptions { max_steps: 40, tolerance: 1e-6, ..RobustOptions::default() };
    let line = robust_line(&x, &y, Some(&weight), &[&side], &options).ok()?;
    let slope = line.line.slope();
    let sd = line.line.slope_sd(Spread::Residuals)?;
    Some(Fitted { track, period_s: track.period_s * (1.0 + slope), period_sd_relative: sd, line })
}

fn describe(f: &Fitted<'_>, index: usize, settings: &Settings) -> BalanceReading {
    let lift_angle = settings.lift_angle_of(index);
    let clock = settings.clock;
    let bph = 7_200.0 / f.period_s * clock.error.factor();
    let measured = BeatFrequency::from_per_hour(bph).ok();
    let nominal = measured.and_then(|m| nominal_of(m, settings));
    let rate_s_per_d = measured.zip(nominal).map(|(m, n)| {
        Measured::new(m.rate_against(n).s_per_d(), f.period_sd_relative * SECONDS_PER_DAY)
    });
    let beat_error_ms = f.line.line.extra().first().map(|e| {
        let sd = f.line.line.extra_sd(0, Spread::Residuals).unwrap_or(0.0);
        Measured::new(e.abs() * 1e3, sd * 1e3)
            .with_added_sd(f.track.mean_note(|n| n.onset_sd_s) * 1e3)
    });
    let beat = measured
        .unwrap_or(BeatFrequency::from_per_hour(18_000.0).unwrap_or_else(|_| unreachable!()));
    let amplitude_deg = amplitude(f, lift_angle, beat);
    let runs = &f.track.runs_s;
    BalanceReading {
        nominal,
        measured_beats_per_hour: Some(Measured::new(bph, bph * f.period_sd_relative)),
        rate_s_per_d,
        rate_sd_with_clock_s_per_d: rate_s_per_d.map(|r| r.sd.hypot(clock.sd_s_per_d())),
        beat_error_ms,
        amplitude_deg,
        lift_angle,
        beats_used: f.track.used(),
        beats_expected: f.track.expected.max(f.track.used()),
        signal_to_noise_db: Some(f.track.mean_note(|n| n.signal_to_noise_db)),
        running_s: (runs.first().map_or(0.0, |r| r.0), runs.last().map_or(0.0, |r| r.1)),
        drift: drift(f, nominal, clock.error.factor()),
        amplitude_course: amplitude_course(f, lift_angle, beat),
        rate_course: Vec::new(),
        averaged_beats: averaged_beats(f.track.pictures.as_ref()),
        timing_periodogram: None,
        amplitude_periodogram: None,
    }
}

fn nominal_of(measured: BeatFrequency, settings: &Settings) -> Option<BeatFrequency> {
    settings
        .beats_per_hour
        .iter()
        .copied()
        .find(|n| measured.rate_against(*n).s_per_d().abs() < 1_300.0)
        .or_else(|| measured.nearest_standard())
}

/// Amplitudes of all groups with unlocking and drop timed: (turn, degrees, spans).
fn amplitudes(f: &Fitted<'_>, lift: LiftAngle, beat: BeatFrequency) -> Vec<(f64, f64, f64)> {
    let mut all: Vec<(f64, f64, f64)> = f
        .track
        .groups
        .iter()
        .enumerate()
        .flat_map(|(s, groups)| groups.iter().map(move |g| (s, g)))
        .filter(|(_, g)| g.spans > 0)
        .filter_map(|(s, g): (usize, &Group)| {
            let deg = horology::amplitude_deg_from_time(lift, beat, g.span_s).ok()?;
            Some((g.turn + 0.5 * s as f64, deg, f64::from(g.spans)))
        })
        .collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    all
}

fn amplitude(f: &Fitted<'_>, lift: LiftAngle, beat: BeatFrequency) -> Option<Measured> {
    let all = amplitudes(f, lift, beat);
    let timed: f64 = all.iter().map(|a| a.2).sum();
    if timed < 4.0 {
        return None;
    }
    let mut sorted: Vec<f64> = all.iter().map(|a| a.1).collect();
    sorted.sort_by(f64::total_cmp);
    let median = sorted[sorted.len() / 2];
    let spread = robust_sd(&sorted)?.max(1e-6);
    let near: Vec<&(f64, f64, f64)> =
        all.iter().filter(|a| (a.1 - median).abs() < 4.0 * spread).collect();
    let weight: f64 = near.iter().map(|a| a.2).sum();
    let mean = near.iter().map(|a| a.1 * a.2).sum::<f64>() / weight;
    let span =
        horology::time_s_from_amplitude(lift, beat, quantities::Amplitude::from_deg(mean)).ok()?;
    let slope = horology::amplitude_sensitivity_deg_per_s(lift, beat, span).ok()?;
    let shape_sd = slope.abs() * f.track.mean_note(|n| n.span_sd_s);
    Some(Measured::new(mean, spread / (near.len() as f64).sqrt()).with_added_sd(shape_sd))
}

fn amplitude_course(f: &Fitted<'_>, lift: LiftAngle, beat: BeatFrequency) -> Vec<CoursePoint> {
    let all = amplitudes(f, lift, beat);
    let per_point = (all.len() / 400).max(4);
    all.chunks(per_point)
        .map(|c| {
            let n = c.len() as f64;
            let mean = c.iter().map(|a| a.1).sum::<f64>() / n;
            let variance =
                c.iter().map(|a| (a.1 - mean) * (a.1 - mean)).sum::<f64>() / (n - 1.0).max(1.0);
            let turn = c.iter().map(|a| a.0).sum::<f64>() / n;
            CoursePoint {
                time_s: f.track.origin_s + turn * f.track.period_s,
                value: Measured::new(mean, (variance / n).sqrt()),
            }
        })
        .collect()
}

/// Gain against a balance at the nominal beat, in the recorder's corrected time.
fn drift(f: &Fitted<'_>, nominal: Option<BeatFrequency>, clock_factor: f64) -> Vec<DriftPoint> {
    let track = f.track;
    let nominal_period_s = nominal.map_or(f.period_s, |n| n.oscillation_s() * clock_factor);
    // Late against the track's even beat; the track's beat against the nominal one.
    let per_turn = track.period_s - nominal_period_s;
    let start_turn =
        track.groups.iter().filter_map(|g| g.first().map(|g| g.turn)).fold(f64::INFINITY, f64::min);
    let line = &f.line.line;
    let at_start = line.value_at(start_turn * track.period_s);
    let mut points: Vec<DriftPoint> = track
        .groups
        .iter()
        .enumerate()
        .flat_map(|(s, groups)| groups.iter().map(move |g| (s, g)))
        .map(|(s, g)| {
            let turn = g.turn + 0.5 * s as f64;
            let x = turn * track.period_s;
            let side = line.extra().first().copied().unwrap_or(0.0) * (s as f64 - 0.5);
            let behind = g.late_s - at_start + per_turn * (turn - start_turn);
            DriftPoint {
                time_s: track.origin_s + x + g.late_s,
                gain_ms: -1e3 * behind,
                residual_ms: -1e3 * (g.late_s - line.value_at(x) - side),
                side: if s == 0 { Side::Tick } else { Side::Tock },
                used: g.used,
            }
        })
        .collect();
    points.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
    points
}

fn averaged_beats(pictures: Option<&[Picture; 2]>) -> Vec<AveragedBeat> {
    let Some(pictures) = pictures else { return Vec::new() };
    let top =
        pictures.iter().flat_map(|p| p.mean.iter().copied()).fold(f32::MIN_POSITIVE, f32::max);
    pictures
        .iter()
        .zip([Side::Tick, Side::Tock])
        .map(|(p, side)| AveragedBeat {
            side,
            start_ms: -1e3 * p.origin * p.step_s,
            step_ms: 1e3 * p.step_s,
            mean: p.mean.iter().map(|v| f64::from((v / top).max(0.0))).collect(),
            spread: p.spread.iter().map(|v| f64::from(v / top)).collect(),
            unlocking_ms: p.marks_s[0].map(|m| 1e3 * m),
            impulse_ms: p.marks_s[1].map(|m| 1e3 * m),
            drop_ms: p.marks_s[2].map(|m| 1e3 * m),
        })
        .collect()
}

fn warn(f: &Fitted<'_>, b: &BalanceReading, duration_s: f64, warnings: &mut Vec<Warning>) {
    let mut say = |code, message: String| {
        if !warnings.iter().any(|w: &Warning| w.code == code) {
            warnings.push(Warning { code, message });
        }
    };
    let margin = SILENT_S.max(12.0 * 0.5 * f.period_s);
    let (first, last) = b.running_s;
    if first > margin {
        say(WarningCode::Started, format!("The watch started {first:.1} s into the recording."));
    }
    if duration_s - last > margin {
        say(
            WarningCode::Stopped,
            format!("The watch stopped {last:.1} s into the recording; what follows is silence."),
        );
    }
    if b.nominal.is_none() {
        say(
            WarningCode::BeatUnknown,
            "The beat fits no standard one, so there is no rate; name it with the beats per hour \
             if you know it."
                .into(),
        );
    }
    if b.signal_to_noise_db.is_some_and(|s| s < QUIET_DB) {
        say(
            WarningCode::TooQuiet,
            "The beats hardly stand above the noise: bring the pickup closer or find a quieter \
             place."
                .into(),
        );
    }
    if b.beats_used < FEW_BEATS {
        say(WarningCode::TooShort, "Too few beats to be sure of; record for longer.".into());
    }
    if b.amplitude_deg.is_none() {
        say(
            WarningCode::AmplitudeUnknown,
            "Unlocking and drop cannot be told apart in the averaged beat, so there is no \
             amplitude."
                .into(),
        );
    }
}

/// The relation's state when nothing at all can be told.
pub(crate) fn unresolved() -> Relation {
    Relation {
        state: RelationState::Unresolved,
        rate_difference_s_per_d: None,
        next_coincidence_s: None,
    }
}
