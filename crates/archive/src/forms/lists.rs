//! Lists within a record, in the form that the database keeps in one column and an archive within
//! the line of the record. Fields may be added here, with a default; none may be renamed or taken
//! away. A field that is not known was written by a later program, and is refused rather than lost.

use super::repeats::Repeating;
use super::{Ms, Unread, code};
use jobs::{
    BalanceReading, ConditionEntry, ConditionOf, ConditionState, EstimateLine, Figure,
    ReadingSettings, ReadingWarning, Relation, RelationState, Stage, StageMove, TrialRate,
    WatchBalance,
};
use quantities::Measured;
use serde::{Deserialize, Serialize};

/// What is known of one balance of a watch.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Balance {
    lift_angle_deg: Option<f64>,
    beats_per_hour: Option<f64>,
}

impl From<&WatchBalance> for Balance {
    fn from(balance: &WatchBalance) -> Self {
        let WatchBalance { lift_angle_deg, beats_per_hour } = *balance;
        Self { lift_angle_deg, beats_per_hour }
    }
}

impl TryFrom<Balance> for WatchBalance {
    type Error = Unread;

    fn try_from(balance: Balance) -> Result<Self, Unread> {
        let Balance { lift_angle_deg, beats_per_hour } = balance;
        Ok(Self { lift_angle_deg, beats_per_hour })
    }
}

/// How one thing was found.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Condition {
    of: String,
    state: String,
    note: String,
}

impl From<&ConditionEntry> for Condition {
    fn from(entry: &ConditionEntry) -> Self {
        let ConditionEntry { of, state, note } = entry;
        Self { of: of.code().into(), state: state.code().into(), note: note.clone() }
    }
}

impl TryFrom<Condition> for ConditionEntry {
    type Error = Unread;

    fn try_from(entry: Condition) -> Result<Self, Unread> {
        let Condition { of, state, note } = entry;
        let of = code(ConditionOf::from_code(&of), &of)?;
        Ok(Self { of, state: code(ConditionState::from_code(&state), &state)?, note })
    }
}

/// A move to a stage.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Move {
    to: String,
    at_ms: Ms,
}

impl From<&StageMove> for Move {
    fn from(step: &StageMove) -> Self {
        Self { to: step.to.code().into(), at_ms: Ms::of(step.at) }
    }
}

impl TryFrom<Move> for StageMove {
    type Error = Unread;

    fn try_from(step: Move) -> Result<Self, Unread> {
        let to = code(Stage::from_code(&step.to), &step.to)?;
        Ok(Self { to, at: step.at_ms.moment() })
    }
}

/// A line of an estimate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Line {
    what: String,
    minor_units: i64,
}

impl From<&EstimateLine> for Line {
    fn from(line: &EstimateLine) -> Self {
        let EstimateLine { what, minor_units } = line;
        Self { what: what.clone(), minor_units: *minor_units }
    }
}

impl TryFrom<Line> for EstimateLine {
    type Error = Unread;

    fn try_from(line: Line) -> Result<Self, Unread> {
        let Line { what, minor_units } = line;
        Ok(Self { what, minor_units })
    }
}

/// A value with its standard uncertainty.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Value {
    pub(super) value: f64,
    pub(super) sd: f64,
}

pub(crate) fn value(measured: Option<Measured>) -> Option<Value> {
    measured.map(|Measured { value, sd }| Value { value, sd })
}

pub(crate) fn measured(value: Option<Value>) -> Option<Measured> {
    value.map(|Value { value, sd }| Measured { value, sd })
}

/// What a reading was made with.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Settings {
    lift_angles_deg: Vec<f64>,
    beats_per_hour: Vec<f64>,
    balances: Option<u32>,
    clock_error_ppm: Option<Value>,
}

impl From<&ReadingSettings> for Settings {
    fn from(settings: &ReadingSettings) -> Self {
        let ReadingSettings { lift_angles_deg, beats_per_hour, balances, clock_error_ppm } =
            settings;
        Self {
            lift_angles_deg: lift_angles_deg.clone(),
            beats_per_hour: beats_per_hour.clone(),
            balances: *balances,
            clock_error_ppm: value(*clock_error_ppm),
        }
    }
}

impl From<Settings> for ReadingSettings {
    fn from(settings: Settings) -> Self {
        let Settings { lift_angles_deg, beats_per_hour, balances, clock_error_ppm } = settings;
        Self {
            lift_angles_deg,
            beats_per_hour,
            balances,
            clock_error_ppm: measured(clock_error_ppm),
        }
    }
}

/// A warning of a reading.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Warned {
    code: String,
    message: String,
}

impl From<&ReadingWarning> for Warned {
    fn from(warning: &ReadingWarning) -> Self {
        let ReadingWarning { code, message } = warning;
        Self { code: code.clone(), message: message.clone() }
    }
}

impl TryFrom<Warned> for ReadingWarning {
    type Error = Unread;

    fn try_from(warned: Warned) -> Result<Self, Unread> {
        let Warned { code, message } = warned;
        Ok(Self { code, message })
    }
}

/// What was read of one balance.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BalanceRead {
    label: String,
    beats_per_hour: Option<f64>,
    measured_beats_per_hour: Option<f64>,
    rate_s_per_d: Option<Value>,
    rate_sd_with_clock_s_per_d: Option<f64>,
    amplitude_deg: Option<Value>,
    lift_angle_deg: Option<f64>,
    beat_error_ms: Option<Value>,
    beats_used: u64,
    beats_expected: u64,
    signal_to_noise_db: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    repeats: Option<Vec<Repeating>>,
}

impl From<&BalanceReading> for BalanceRead {
    fn from(balance: &BalanceReading) -> Self {
        Self {
            label: balance.label.clone(),
            beats_per_hour: balance.beats_per_hour,
            measured_beats_per_hour: balance.measured_beats_per_hour,
            rate_s_per_d: value(balance.rate_s_per_d),
            rate_sd_with_clock_s_per_d: balance.rate_sd_with_clock_s_per_d,
            amplitude_deg: value(balance.amplitude_deg),
            lift_angle_deg: balance.lift_angle_deg,
            beat_error_ms: value(balance.beat_error_ms),
            beats_used: balance.beats_used,
            beats_expected: balance.beats_expected,
            signal_to_noise_db: balance.signal_to_noise_db,
            repeats: balance.repeats.as_ref().map(|all| all.iter().map(Repeating::from).collect()),
        }
    }
}

impl TryFrom<BalanceRead> for BalanceReading {
    type Error = Unread;

    fn try_from(balance: BalanceRead) -> Result<Self, Unread> {
        Ok(Self {
            label: balance.label,
            beats_per_hour: balance.beats_per_hour,
            measured_beats_per_hour: balance.measured_beats_per_hour,
            rate_s_per_d: measured(balance.rate_s_per_d),
            rate_sd_with_clock_s_per_d: balance.rate_sd_with_clock_s_per_d,
            amplitude_deg: measured(balance.amplitude_deg),
            lift_angle_deg: balance.lift_angle_deg,
            beat_error_ms: measured(balance.beat_error_ms),
            beats_used: balance.beats_used,
            beats_expected: balance.beats_expected,
            signal_to_noise_db: balance.signal_to_noise_db,
            repeats: balance
                .repeats
                .map(|all| all.into_iter().map(TryInto::try_into).collect::<Result<_, Unread>>())
                .transpose()?,
        })
    }
}

/// A number of a final test.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TestFigure {
    value: f64,
    sd: Option<f64>,
}

impl From<&Figure> for TestFigure {
    fn from(figure: &Figure) -> Self {
        let Figure { value, sd } = *figure;
        Self { value, sd }
    }
}

impl From<TestFigure> for Figure {
    fn from(figure: TestFigure) -> Self {
        let TestFigure { value, sd } = figure;
        Self { value, sd }
    }
}

/// The rate of one day of a trial.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DayRate {
    rate_s_per_d: f64,
    sd_s_per_d: Option<f64>,
    clock_sd_s_per_d: f64,
    readings: u32,
}

impl From<&TrialRate> for DayRate {
    fn from(rate: &TrialRate) -> Self {
        let TrialRate { rate_s_per_d, sd_s_per_d, clock_sd_s_per_d, readings } = *rate;
        Self { rate_s_per_d, sd_s_per_d, clock_sd_s_per_d, readings }
    }
}

impl From<DayRate> for TrialRate {
    fn from(rate: DayRate) -> Self {
        let DayRate { rate_s_per_d, sd_s_per_d, clock_sd_s_per_d, readings } = rate;
        Self { rate_s_per_d, sd_s_per_d, clock_sd_s_per_d, readings }
    }
}

/// How two balances stand to each other.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Related {
    state: String,
    rate_difference_s_per_d: Option<f64>,
    next_coincidence_s: Option<f64>,
}

impl From<&Relation> for Related {
    fn from(relation: &Relation) -> Self {
        let Relation { state, rate_difference_s_per_d, next_coincidence_s } = *relation;
        Self { state: state.code().into(), rate_difference_s_per_d, next_coincidence_s }
    }
}

impl TryFrom<Related> for Relation {
    type Error = Unread;

    fn try_from(related: Related) -> Result<Self, Unread> {
        let Related { state, rate_difference_s_per_d, next_coincidence_s } = related;
        let state = code(RelationState::from_code(&state), &state)?;
        Ok(Self { state, rate_difference_s_per_d, next_coincidence_s })
    }
}
