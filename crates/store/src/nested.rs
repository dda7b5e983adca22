//! Lists within a record, as the JSON text of one column. Fields may be added here, with a
//! default; none may be renamed or taken away.

mod repeats;

use crate::error::{Error, Result};
use jobs::{
    BalanceReading, ConditionEntry, ConditionOf, ConditionState, EstimateLine, Figure, Moment,
    ReadingSettings, ReadingWarning, Relation, RelationState, Stage, StageMove, TrialRate,
    WatchBalance,
};
use quantities::Measured;
use repeats::Repeating;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

/// To the text of a column.
pub(crate) fn text(value: &impl Serialize) -> Result<String> {
    // Numbers were checked to be finite, so there is nothing here that JSON cannot say.
    serde_json::to_string(value).map_err(|error| Error::Refused(error.to_string()))
}

/// From the text of a column.
pub(crate) fn read<T: DeserializeOwned>(text: &str) -> Result<T> {
    serde_json::from_str(text).map_err(|error| {
        Error::Damaged(format!("a list within a record cannot be read ({error})."))
    })
}

/// The text of a list, each entry through its form in JSON.
pub(crate) fn list<'a, T: 'a, J: Serialize + From<&'a T>>(values: &'a [T]) -> Result<String> {
    text(&values.iter().map(J::from).collect::<Vec<J>>())
}

/// The list from its text.
pub(crate) fn read_list<T, J: DeserializeOwned + TryInto<T, Error = Error>>(
    text: &str,
) -> Result<Vec<T>> {
    read::<Vec<J>>(text)?.into_iter().map(TryInto::try_into).collect()
}

/// What a code stands for.
pub(crate) fn code<T>(found: Option<T>, code: &str) -> Result<T> {
    found.ok_or_else(|| Error::Damaged(format!("\"{code}\" stands where no such word can.")))
}

#[derive(Serialize, Deserialize)]
pub(crate) struct Balance {
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
    type Error = Error;

    fn try_from(balance: Balance) -> Result<Self> {
        let Balance { lift_angle_deg, beats_per_hour } = balance;
        Ok(Self { lift_angle_deg, beats_per_hour })
    }
}

#[derive(Serialize, Deserialize)]
pub(crate) struct Condition {
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
    type Error = Error;

    fn try_from(entry: Condition) -> Result<Self> {
        let Condition { of, state, note } = entry;
        let of = code(ConditionOf::from_code(&of), &of)?;
        Ok(Self { of, state: code(ConditionState::from_code(&state), &state)?, note })
    }
}

#[derive(Serialize, Deserialize)]
pub(crate) struct Move {
    to: String,
    at_ms: i64,
}

impl From<&StageMove> for Move {
    fn from(step: &StageMove) -> Self {
        Self { to: step.to.code().into(), at_ms: step.at.ms() }
    }
}

impl TryFrom<Move> for StageMove {
    type Error = Error;

    fn try_from(step: Move) -> Result<Self> {
        let to = code(Stage::from_code(&step.to), &step.to)?;
        Ok(Self { to, at: Moment::from_ms(step.at_ms) })
    }
}

#[derive(Serialize, Deserialize)]
pub(crate) struct Line {
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
    type Error = Error;

    fn try_from(line: Line) -> Result<Self> {
        let Line { what, minor_units } = line;
        Ok(Self { what, minor_units })
    }
}

#[derive(Serialize, Deserialize)]
struct Value {
    value: f64,
    sd: f64,
}

fn value(measured: Option<Measured>) -> Option<Value> {
    measured.map(|Measured { value, sd }| Value { value, sd })
}

fn measured(value: Option<Value>) -> Option<Measured> {
    value.map(|Value { value, sd }| Measured { value, sd })
}

#[derive(Serialize, Deserialize)]
pub(crate) struct Settings {
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

#[derive(Serialize, Deserialize)]
pub(crate) struct Warned {
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
    type Error = Error;

    fn try_from(warned: Warned) -> Result<Self> {
        let Warned { code, message } = warned;
        Ok(Self { code, message })
    }
}

#[derive(Serialize, Deserialize)]
pub(crate) struct BalanceRead {
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
    type Error = Error;

    fn try_from(balance: BalanceRead) -> Result<Self> {
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
                .map(|all| all.into_iter().map(TryInto::try_into).collect::<Result<_>>())
                .transpose()?,
        })
    }
}

#[derive(Serialize, Deserialize)]
pub(crate) struct DayRate {
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

/// A number of a final test, by its code.
#[derive(Serialize, Deserialize)]
pub(crate) struct TestFigure {
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

#[derive(Serialize, Deserialize)]
pub(crate) struct Related {
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
    type Error = Error;

    fn try_from(related: Related) -> Result<Self> {
        let Related { state, rate_difference_s_per_d, next_coincidence_s } = related;
        let state = code(RelationState::from_code(&state), &state)?;
        Ok(Self { state, rate_difference_s_per_d, next_coincidence_s })
    }
}
