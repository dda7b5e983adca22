use super::{count, moment, version};
use crate::failure::Failure;
use crate::wire::{self, Position, ReadingSettings, RelationState};
use beats::{BalanceReading, Settings};
use jobs::{JobId, MediaHash, Moment, Reading};
use quantities::{BeatFrequency, ClockError, LiftAngle, Measured, RecorderClock};
use store::Kept;

pub(crate) fn position(position: quantities::Position) -> Position {
    match position {
        quantities::Position::CH => Position::DialUp,
        quantities::Position::FH => Position::DialDown,
        quantities::Position::H12 => Position::Up12,
        quantities::Position::H3 => Position::Up3,
        quantities::Position::H6 => Position::Up6,
        quantities::Position::H9 => Position::Up9,
        quantities::Position::H1_30 => Position::Up1Half,
        quantities::Position::H4_30 => Position::Up4Half,
        quantities::Position::H7_30 => Position::Up7Half,
        quantities::Position::H10_30 => Position::Up10Half,
    }
}

pub(crate) fn position_from(position: Position) -> quantities::Position {
    match position {
        Position::DialUp => quantities::Position::CH,
        Position::DialDown => quantities::Position::FH,
        Position::Up12 => quantities::Position::H12,
        Position::Up3 => quantities::Position::H3,
        Position::Up6 => quantities::Position::H6,
        Position::Up9 => quantities::Position::H9,
        Position::Up1Half => quantities::Position::H1_30,
        Position::Up4Half => quantities::Position::H4_30,
        Position::Up7Half => quantities::Position::H7_30,
        Position::Up10Half => quantities::Position::H10_30,
    }
}

/// What the engine was told when this was read.
pub(crate) fn settings_of(settings: &jobs::ReadingSettings) -> Result<Settings, Failure> {
    let invalid = |e: quantities::OutOfRange| Failure::Invalid(format!("{e}."));
    let lifts = settings.lift_angles_deg.iter().map(|deg| LiftAngle::from_deg(*deg));
    let beats = settings.beats_per_hour.iter().map(|n| BeatFrequency::from_per_hour(*n));
    let lift_angles = lifts.collect::<Result<_, _>>().map_err(invalid)?;
    let beats_per_hour = beats.collect::<Result<_, _>>().map_err(invalid)?;
    let clock = match settings.clock_error_ppm {
        Some(Measured { value, sd }) => {
            RecorderClock::calibrated(ClockError::from_ppm(value).map_err(invalid)?, sd)
        }
        None => RecorderClock::unknown(),
    };
    let balances = settings.balances.map(|n| n as usize);
    Ok(Settings { lift_angles, beats_per_hour, balances, clock })
}

/// What the engine is told, as it is kept.
pub(crate) fn told(settings: &Settings) -> jobs::ReadingSettings {
    let clock = &settings.clock;
    jobs::ReadingSettings {
        lift_angles_deg: settings.lift_angles.iter().map(|lift| lift.deg()).collect(),
        beats_per_hour: settings.beats_per_hour.iter().map(|beat| beat.per_hour()).collect(),
        balances: settings.balances.and_then(|n| u32::try_from(n).ok()),
        clock_error_ppm: clock.calibrated.then(|| Measured::new(clock.error.ppm(), clock.sd_ppm)),
    }
}

/// Where and how a reading was taken.
#[derive(Debug, Clone)]
pub struct Circumstances {
    /// For which job.
    pub job: JobId,
    /// Position of the watch.
    pub position: Option<quantities::Position>,
    /// State of wind, in words.
    pub wind: String,
    /// Free note.
    pub note: String,
    /// When it began.
    pub taken: Moment,
    /// The sound device.
    pub device: String,
    /// Samples that were lost.
    pub lost_samples: u64,
    /// What else should be known of it.
    pub remarks: Vec<jobs::ReadingWarning>,
    /// Its sound in the store.
    pub sound: Option<MediaHash>,
}

/// A reading as it is kept.
#[must_use]
pub fn kept_reading(heard: &beats::Reading, settings: &Settings, taken: Circumstances) -> Reading {
    let Circumstances { job, position, wind, note, taken, device, lost_samples, remarks, sound } =
        taken;
    let engine = heard
        .warnings
        .iter()
        .map(|w| jobs::ReadingWarning { code: w.code.name().into(), message: w.message.clone() });
    Reading {
        job,
        position,
        wind,
        taken,
        duration_s: heard.duration_s,
        device,
        settings: told(settings),
        program: env!("CARGO_PKG_VERSION").into(),
        sound,
        balances: heard.balances.iter().enumerate().map(|(n, b)| kept_balance(n, b)).collect(),
        relation: heard.relation.as_ref().map(kept_relation),
        lost_samples,
        warnings: engine.chain(remarks).collect(),
        note,
    }
}

fn letter(place: usize) -> String {
    plot::Balance::nth(place).letter
}

/// What is no number is not known.
fn known(measured: Option<Measured>) -> Option<Measured> {
    measured.filter(|m| m.value.is_finite() && m.sd.is_finite())
}

pub(crate) fn kept_balance(place: usize, balance: &BalanceReading) -> jobs::BalanceReading {
    let finite = |number: Option<f64>| number.filter(|n| n.is_finite());
    jobs::BalanceReading {
        label: letter(place),
        beats_per_hour: balance.nominal.map(BeatFrequency::per_hour),
        measured_beats_per_hour: finite(balance.measured_beats_per_hour.map(|m| m.value)),
        rate_s_per_d: known(balance.rate_s_per_d),
        rate_sd_with_clock_s_per_d: finite(balance.rate_sd_with_clock_s_per_d),
        amplitude_deg: known(balance.amplitude_deg),
        lift_angle_deg: Some(balance.lift_angle.deg()),
        beat_error_ms: known(balance.beat_error_ms),
        beats_used: balance.beats_used,
        beats_expected: balance.beats_expected,
        signal_to_noise_db: finite(balance.signal_to_noise_db),
        repeats: Some(balance.repeats().iter().filter_map(super::repeats::kept).collect()),
    }
}

/// A balance as it is heard now.
pub(crate) fn heard_balance(place: usize, balance: &BalanceReading) -> wire::ReadingBalance {
    wire_balance(&kept_balance(place, balance))
}

fn wire_balance(balance: &jobs::BalanceReading) -> wire::ReadingBalance {
    wire::ReadingBalance {
        label: balance.label.clone(),
        beats_per_hour: balance.beats_per_hour,
        measured_beats_per_hour: balance.measured_beats_per_hour,
        rate_s_per_d: balance.rate_s_per_d.map(super::value),
        rate_sd_with_clock_s_per_d: balance.rate_sd_with_clock_s_per_d,
        amplitude_deg: balance.amplitude_deg.map(super::value),
        beat_error_ms: balance.beat_error_ms.map(super::value),
        lift_angle_deg: balance.lift_angle_deg,
        beats_used: count(balance.beats_used),
        beats_expected: count(balance.beats_expected),
        signal_to_noise_db: balance.signal_to_noise_db,
    }
}

fn kept_relation(relation: &beats::Relation) -> jobs::Relation {
    jobs::Relation {
        state: match relation.state {
            beats::RelationState::Independent => jobs::RelationState::Independent,
            beats::RelationState::Locked => jobs::RelationState::Locked,
            beats::RelationState::Unresolved => jobs::RelationState::Unresolved,
        },
        rate_difference_s_per_d: relation.rate_difference_s_per_d.map(|d| d.value),
        next_coincidence_s: relation.next_coincidence_s,
    }
}

/// How the balances stand to each other as it is heard now.
pub(crate) fn heard_relation(relation: &beats::Relation) -> wire::Relation {
    wire_relation(&kept_relation(relation))
}

fn wire_relation(relation: &jobs::Relation) -> wire::Relation {
    wire::Relation {
        state: match relation.state {
            jobs::RelationState::Independent => RelationState::Independent,
            jobs::RelationState::Locked => RelationState::Locked,
            jobs::RelationState::Unresolved => RelationState::Unresolved,
        },
        rate_difference_s_per_d: relation.rate_difference_s_per_d,
        next_coincidence_s: relation.next_coincidence_s,
    }
}

pub(crate) fn heard_warnings(warnings: &[beats::Warning]) -> Vec<wire::ReadingWarning> {
    let each = warnings.iter();
    each.map(|w| wire::ReadingWarning { code: w.code.name().into(), message: w.message.clone() })
        .collect()
}

pub(crate) fn reading(kept: &Kept<Reading>) -> wire::Reading {
    let read = &kept.value;
    let clock = read.settings.clock_error_ppm;
    wire::Reading {
        id: kept.id.to_string(),
        version: version(kept.version),
        job_id: read.job.to_string(),
        position: read.position.map(position),
        wind: read.wind.clone(),
        note: read.note.clone(),
        taken_at: moment(read.taken),
        duration_s: read.duration_s,
        sound_device: read.device.clone(),
        lost_samples: read.lost_samples,
        settings: ReadingSettings {
            lift_angles_deg: read.settings.lift_angles_deg.clone(),
            beats_per_hour: read.settings.beats_per_hour.clone(),
            balances: read.settings.balances,
            clock_error_ppm: clock.map_or(0.0, |c| c.value),
            clock_sd_ppm: clock.map_or(RecorderClock::UNKNOWN_CRYSTAL_SD_PPM, |c| c.sd),
            clock_calibrated: clock.is_some(),
        },
        program_version: read.program.clone(),
        balances: read.balances.iter().map(wire_balance).collect(),
        relation: read.relation.as_ref().map(wire_relation),
        warnings: read
            .warnings
            .iter()
            .map(|w| wire::ReadingWarning { code: w.code.clone(), message: w.message.clone() })
            .collect(),
        has_sound: read.sound.is_some(),
    }
}
