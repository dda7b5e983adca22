//! `endshake.measure/1`: what `measure --format json` prints.

use super::detail::Detail;
use super::disturbed::DisturbedWire;
use super::numbers::whole_where_it_is;
use crate::measure::Heard;
use beats::{BalanceReading, Relation, RelationState};
use horology::train::Cycle;
use quantities::{Measured, RecorderClock};
use serde::Serialize;

const SCHEMA: &str = "endshake.measure/1";

/// One recording.
#[derive(Debug, Serialize)]
pub(crate) struct MeasureResult {
    schema: &'static str,
    version: &'static str,
    source: Source,
    recorder_clock: Clock,
    settings: Settings,
    balances: Vec<Balance>,
    #[serde(skip_serializing_if = "Option::is_none")]
    relation: Option<RelationWire>,
    warnings: Vec<WarningWire>,
}

/// Stands in the place of a recording that could not be read.
#[derive(Debug, Serialize)]
pub(crate) struct MeasureError {
    schema: &'static str,
    version: &'static str,
    source: BadSource,
    error: String,
}

#[derive(Debug, Serialize)]
struct BadSource {
    path: String,
}

#[derive(Debug, Serialize)]
struct Source {
    path: String,
    format: String,
    #[serde(serialize_with = "whole_where_it_is")]
    sample_rate_hz: Option<f64>,
    channels: usize,
    channels_in_file: usize,
    start_s: f64,
    duration_s: f64,
}

#[derive(Debug, Serialize)]
struct Clock {
    error_ppm: f64,
    sd_ppm: f64,
    calibrated: bool,
}

/// What the user said before: empty and null where nothing was.
#[derive(Debug, Serialize)]
struct Settings {
    lift_angles_deg: Vec<f64>,
    beats_per_hour: Vec<f64>,
    balances: Option<usize>,
}

#[derive(Debug, Serialize)]
struct Balance {
    label: String,
    #[serde(serialize_with = "whole_where_it_is")]
    beats_per_hour: Option<f64>,
    measured_beats_per_hour: Option<f64>,
    measured_beats_per_hour_sd: Option<f64>,
    rate_s_per_d: Option<f64>,
    rate_sd_s_per_d: Option<f64>,
    rate_sd_with_clock_s_per_d: Option<f64>,
    beat_error_ms: Option<f64>,
    beat_error_sd_ms: Option<f64>,
    amplitude_deg: Option<f64>,
    amplitude_sd_deg: Option<f64>,
    lift_angle_deg: f64,
    beats_used: u64,
    beats_expected: u64,
    signal_to_noise_db: Option<f64>,
    running_from_s: f64,
    running_to_s: f64,
    /// What repeats beyond what chance makes.
    disturbed: Vec<DisturbedWire>,
    #[serde(skip_serializing_if = "Option::is_none")]
    detail: Option<Detail>,
}

#[derive(Debug, Serialize)]
struct RelationWire {
    state: &'static str,
    rate_difference_s_per_d: Option<f64>,
    rate_difference_sd_s_per_d: Option<f64>,
    next_coincidence_s: Option<f64>,
}

#[derive(Debug, Serialize)]
struct WarningWire {
    code: &'static str,
    message: String,
}

impl MeasureResult {
    pub(crate) fn of(heard: &Heard, with_detail: bool) -> Self {
        let reading = &heard.reading;
        Self {
            schema: SCHEMA,
            version: env!("CARGO_PKG_VERSION"),
            source: Source {
                path: heard.source.path.to_string_lossy().into_owned(),
                format: heard.source.format.clone(),
                sample_rate_hz: Some(heard.source.sample_rate.hz()),
                channels: heard.source.channels,
                channels_in_file: heard.source.channels_in_file,
                start_s: heard.source.start_s,
                duration_s: heard.source.duration_s,
            },
            recorder_clock: Clock::of(*heard.clock()),
            settings: Settings::of(&heard.settings),
            balances: reading
                .balances
                .iter()
                .enumerate()
                .map(|(place, balance)| {
                    Balance::of(place, balance, heard.cycles.as_deref(), with_detail)
                })
                .collect(),
            relation: reading.relation.map(RelationWire::of),
            warnings: heard
                .notices()
                .map(|(code, message)| WarningWire { code, message: message.into_owned() })
                .collect(),
        }
    }
}

#[cfg(feature = "capture")]
impl MeasureResult {
    /// What a reading that is being taken has so far.
    pub(crate) fn live(snapshot: &live::Snapshot) -> Option<Self> {
        let heard = snapshot.heard.as_ref().filter(|heard| heard.of_reading)?;
        let reading = &heard.reading;
        Some(Self {
            schema: SCHEMA,
            version: env!("CARGO_PKG_VERSION"),
            source: Source {
                path: snapshot.source.name.clone(),
                format: "live".into(),
                sample_rate_hz: Some(snapshot.source.sample_rate.hz()),
                channels: snapshot.source.channels,
                channels_in_file: snapshot.source.channels,
                start_s: 0.0,
                duration_s: reading.duration_s,
            },
            recorder_clock: Clock::of(heard.settings.clock),
            settings: Settings::of(&heard.settings),
            balances: reading
                .balances
                .iter()
                .enumerate()
                .map(|(place, balance)| Balance::of(place, balance, None, false))
                .collect(),
            relation: reading.relation.map(RelationWire::of),
            warnings: reading
                .warnings
                .iter()
                .map(|w| WarningWire { code: w.code.name(), message: w.message.clone() })
                .collect(),
        })
    }
}

impl MeasureError {
    pub(crate) fn of(path: &std::path::Path, error: String) -> Self {
        let source = BadSource { path: path.to_string_lossy().into_owned() };
        Self { schema: SCHEMA, version: env!("CARGO_PKG_VERSION"), source, error }
    }
}

impl Clock {
    fn of(clock: RecorderClock) -> Self {
        Self { error_ppm: clock.error.ppm(), sd_ppm: clock.sd_ppm, calibrated: clock.calibrated }
    }
}

impl Settings {
    fn of(settings: &beats::Settings) -> Self {
        Self {
            lift_angles_deg: settings.lift_angles.iter().map(|lift| lift.deg()).collect(),
            beats_per_hour: settings.beats_per_hour.iter().map(|beat| beat.per_hour()).collect(),
            balances: settings.balances,
        }
    }
}

impl Balance {
    fn of(
        place: usize,
        balance: &BalanceReading,
        movement: Option<&[Cycle]>,
        with_detail: bool,
    ) -> Self {
        let value = |m: Option<Measured>| m.map(|m| m.value);
        let sd = |m: Option<Measured>| m.map(|m| m.sd);
        Self {
            label: plot::Balance::nth(place).letter,
            beats_per_hour: balance.nominal.map(|n| n.per_hour()),
            measured_beats_per_hour: value(balance.measured_beats_per_hour),
            measured_beats_per_hour_sd: sd(balance.measured_beats_per_hour),
            rate_s_per_d: value(balance.rate_s_per_d),
            rate_sd_s_per_d: sd(balance.rate_s_per_d),
            rate_sd_with_clock_s_per_d: balance.rate_sd_with_clock_s_per_d,
            beat_error_ms: value(balance.beat_error_ms),
            beat_error_sd_ms: sd(balance.beat_error_ms),
            amplitude_deg: value(balance.amplitude_deg),
            amplitude_sd_deg: sd(balance.amplitude_deg),
            lift_angle_deg: balance.lift_angle.deg(),
            beats_used: balance.beats_used,
            beats_expected: balance.beats_expected,
            signal_to_noise_db: balance.signal_to_noise_db,
            running_from_s: balance.running_s.0,
            running_to_s: balance.running_s.1,
            disturbed: DisturbedWire::all(balance, movement),
            detail: with_detail.then(|| Detail::of(balance)),
        }
    }
}

impl RelationWire {
    fn of(relation: Relation) -> Self {
        Self {
            state: state(relation.state),
            rate_difference_s_per_d: relation.rate_difference_s_per_d.map(|m| m.value),
            rate_difference_sd_s_per_d: relation.rate_difference_s_per_d.map(|m| m.sd),
            next_coincidence_s: relation.next_coincidence_s,
        }
    }
}

/// The stable name of a relation's state.
pub(crate) fn state(state: RelationState) -> &'static str {
    match state {
        RelationState::Independent => "independent",
        RelationState::Locked => "locked",
        RelationState::Unresolved => "unresolved",
    }
}
