//! What the user may tell of the watch and of the recorder: the same for a recording and live.

use super::values;
use clap::Args;
use quantities::{BeatFrequency, ClockError, LiftAngle};
use std::path::PathBuf;

/// What the engine should know.
#[derive(Debug, Clone, Args)]
pub(crate) struct EngineWords {
    /// Lift angle in degrees, once for all balances or once for each in the order of their letters.
    #[arg(long, value_name = "DEG", value_parser = values::lift_angle)]
    pub(crate) lift_angle: Vec<LiftAngle>,

    /// Beats per hour, 7,200 to 72,000, once for all balances or once for each; without it the beat
    /// is heard.
    #[arg(long, value_name = "N", value_parser = values::beats_per_hour)]
    pub(crate) beats_per_hour: Vec<BeatFrequency>,

    /// How many balances there are, where you know.
    #[arg(long, value_name = "N", value_parser = values::count::<1, 26>)]
    pub(crate) balances: Option<u16>,

    /// Error of the recorder's clock in parts per million, positive where it runs fast.
    #[arg(long, value_name = "PPM")]
    #[arg(value_parser = values::clock_error_ppm)]
    pub(crate) clock_error_ppm: Option<ClockError>,

    /// Standard uncertainty of --clock-error-ppm; without it the error counts as exact.
    #[arg(long, value_name = "PPM", requires = "clock_error_ppm")]
    #[arg(value_parser = values::clock_sd_ppm)]
    pub(crate) clock_error_sd_ppm: Option<f64>,

    /// A calibrated clock kept by endshake calibrate: its name, or the file it was written to.
    #[arg(long, value_name = "NAME|FILE", conflicts_with = "clock_error_ppm")]
    pub(crate) clock: Option<PathBuf>,
}
