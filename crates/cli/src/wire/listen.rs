//! `endshake.listen/1` and `endshake.devices/1`: what `listen --format json` prints besides the
//! reading.

use super::measure::MeasureResult;
use audio::capture::CaptureDevice;
use live::{Hint, Snapshot, State};
use serde::Serialize;

/// What is heard so far.
#[derive(Debug, Serialize)]
pub(crate) struct ListenLine {
    schema: &'static str,
    /// `waiting`, `listening`, `paused`, `device_gone`, `ended` or `failed`.
    state: &'static str,
    elapsed_s: f64,
    lost_samples: u64,
    level: Level,
    /// The recorder's clock against the computer's, where that is kept right.
    #[serde(skip_serializing_if = "Option::is_none")]
    against_computer: Option<AgainstComputer>,
    /// As `measure` has it.
    reading: Option<MeasureResult>,
}

/// How loud it is, each channel; null for digital silence.
#[derive(Debug, Serialize)]
struct Level {
    peak_dbfs: Vec<Option<f64>>,
    held_peak_dbfs: Vec<Option<f64>>,
    rms_dbfs: Vec<Option<f64>>,
    clipped: u64,
    /// `silent`, `too_quiet` or `clipped`.
    hint: Option<&'static str>,
}

#[derive(Debug, Serialize)]
struct AgainstComputer {
    error_ppm: f64,
    sd_ppm: f64,
    span_s: f64,
}

impl ListenLine {
    pub(crate) fn of(snapshot: &Snapshot, reading: Option<MeasureResult>) -> Self {
        let channels = &snapshot.level.channels;
        let finite = |x: f64| x.is_finite().then_some(x);
        Self {
            schema: "endshake.listen/1",
            state: match snapshot.state {
                State::Waiting => "waiting",
                State::Listening => "listening",
                State::Paused => "paused",
                State::DeviceGone(_) => "device_gone",
                State::Ended(_) => "ended",
                State::Failed => "failed",
            },
            elapsed_s: snapshot.elapsed_s,
            lost_samples: snapshot.lost_frames,
            level: Level {
                peak_dbfs: channels.iter().map(|c| finite(c.peak_dbfs)).collect(),
                held_peak_dbfs: channels.iter().map(|c| finite(c.held_peak_dbfs)).collect(),
                rms_dbfs: channels.iter().map(|c| finite(c.rms_dbfs)).collect(),
                clipped: snapshot.level.clipped,
                hint: snapshot.level.hint.map(|hint| match hint {
                    Hint::Silent => "silent",
                    Hint::TooQuiet => "too_quiet",
                    Hint::Clipped => "clipped",
                }),
            },
            against_computer: snapshot.against_computer.map(|clock| AgainstComputer {
                error_ppm: clock.error_ppm.value,
                sd_ppm: clock.error_ppm.sd,
                span_s: clock.span_s,
            }),
            reading,
        }
    }
}

/// The devices that there are.
#[derive(Debug, Serialize)]
pub(crate) struct DevicesResult {
    schema: &'static str,
    devices: Vec<Device>,
}

#[derive(Debug, Serialize)]
struct Device {
    name: String,
    description: String,
    is_usual: bool,
    formats: Vec<Format>,
}

#[derive(Debug, Serialize)]
struct Format {
    channels: usize,
    least_sample_rate_hz: f64,
    most_sample_rate_hz: f64,
}

impl DevicesResult {
    pub(crate) fn of(devices: &[CaptureDevice]) -> Self {
        let device = |d: &CaptureDevice| Device {
            name: d.name.clone(),
            description: d.description.clone(),
            is_usual: d.is_usual,
            formats: d
                .formats
                .iter()
                .map(|f| Format {
                    channels: f.channels,
                    least_sample_rate_hz: f.least_rate.hz(),
                    most_sample_rate_hz: f.most_rate.hz(),
                })
                .collect(),
        };
        Self { schema: "endshake.devices/1", devices: devices.iter().map(device).collect() }
    }
}
