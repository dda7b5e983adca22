//! Arguments of `endshake escapement`.

use super::{TextOrJson, values};
use clap::{ArgGroup, Args, ValueEnum};
use quantities::{Amplitude, BeatFrequency, LiftAngle, Measured};

/// Work out a club-tooth lever escapement: the lift angle from a turning point judged by eye; what the
/// fork's angles add up to; drop and locking arc; how much of the swing is free.
#[derive(Debug, Args)]
#[command(allow_negative_numbers = true, after_help = EXAMPLES)]
#[command(group = ArgGroup::new("seen_at").args(["at", "amplitude_deg"]))]
pub(crate) struct EscapementWishes {
    /// Where the turning points stand: half-turn (180 degrees), or three-quarter-turn (270); an eye is
    /// taken to be good for 5 degrees.
    #[arg(long, value_name = "MARK", hide_possible_values = true, help_heading = SIGHT)]
    #[arg(requires = "beats_per_hour", requires = "unlocking_to_drop_ms")]
    pub(crate) at: Option<MarkWish>,

    /// Or the amplitude as it was judged, degrees.
    #[arg(long, value_name = "DEG", value_parser = values::measured_positive, help_heading = SIGHT)]
    pub(crate) amplitude_deg: Option<Measured>,

    /// Time from unlocking to drop.
    #[arg(long, value_name = "MS", value_parser = values::measured_positive, help_heading = SIGHT)]
    #[arg(requires = "seen_at", requires = "beats_per_hour")]
    pub(crate) unlocking_to_drop_ms: Option<Measured>,

    /// Beats per hour.
    #[arg(long, value_name = "N", value_parser = values::beats_per_hour, help_heading = SIGHT)]
    #[arg(requires = "unlocking_to_drop_ms")]
    pub(crate) beats_per_hour: Option<BeatFrequency>,

    /// Lock, degrees of the fork.
    #[arg(long, value_name = "DEG", value_parser = values::measured, help_heading = ANGLES)]
    #[arg(requires = "lift_on_tooth_deg", requires = "lift_on_pallet_deg", requires = "ratio")]
    pub(crate) lock_deg: Option<Measured>,

    /// Run to the banking, degrees of the fork.
    #[arg(long, value_name = "DEG", value_parser = values::measured, help_heading = ANGLES)]
    #[arg(requires = "lock_deg", default_value = "0", hide_default_value = true)]
    pub(crate) run_deg: Measured,

    /// Lift on the tooth, degrees of the fork.
    #[arg(long, value_name = "DEG", value_parser = values::measured, help_heading = ANGLES)]
    #[arg(requires = "lock_deg")]
    pub(crate) lift_on_tooth_deg: Option<Measured>,

    /// Lift on the pallet, degrees of the fork.
    #[arg(long, value_name = "DEG", value_parser = values::measured, help_heading = ANGLES)]
    #[arg(requires = "lock_deg")]
    pub(crate) lift_on_pallet_deg: Option<Measured>,

    /// Angle of the balance over angle of the fork while the pin is in it.
    #[arg(long, value_name = "N", value_parser = values::measured, help_heading = ANGLES)]
    #[arg(requires = "lock_deg")]
    pub(crate) ratio: Option<Measured>,

    /// Amplitude at which it swings, to see how much of the arc is free; with --lift-angle, or the
    /// angles above.
    #[arg(long, value_name = "DEG", value_parser = amplitude, help_heading = ANGLES)]
    pub(crate) swings_deg: Option<Amplitude>,

    /// Lift angle of the balance, degrees, where it is known.
    #[arg(long, value_name = "DEG", value_parser = values::lift_angle, help_heading = ANGLES)]
    #[arg(requires = "swings_deg")]
    pub(crate) lift_angle: Option<LiftAngle>,

    /// Teeth of the escape wheel.
    #[arg(long, value_name = "TEETH", value_parser = values::count::<1, 10_000>)]
    #[arg(help_heading = WHEEL)]
    pub(crate) teeth: Option<u16>,

    /// Teeth that the pallets span: the arc between the two lockings.
    #[arg(long, value_name = "TEETH", value_parser = values::count::<0, 10_000>)]
    #[arg(requires = "teeth", help_heading = WHEEL)]
    pub(crate) spans: Option<u16>,

    /// Width of a tooth, degrees of the wheel.
    #[arg(long, value_name = "DEG", value_parser = values::number, help_heading = WHEEL)]
    #[arg(requires = "pallet_deg", requires = "teeth")]
    pub(crate) tooth_deg: Option<f64>,

    /// Width of a pallet, degrees of the wheel: what drop is left.
    #[arg(long, value_name = "DEG", value_parser = values::number, help_heading = WHEEL)]
    #[arg(requires = "tooth_deg")]
    pub(crate) pallet_deg: Option<f64>,

    /// Diameter of the wheel, for the drop in millimetres.
    #[arg(long, value_name = "MM", value_parser = values::positive, help_heading = WHEEL)]
    #[arg(requires = "tooth_deg")]
    pub(crate) wheel_diameter_mm: Option<f64>,

    /// How to print: text or json.
    #[arg(long, value_name = "FORMAT", default_value = "text", hide_possible_values = true)]
    pub(crate) format: TextOrJson,
}

/// A turning point that an eye can judge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum MarkWish {
    /// 180 degrees.
    HalfTurn,
    /// 270 degrees.
    ThreeQuarterTurn,
}

fn amplitude(words: &str) -> Result<Amplitude, String> {
    values::positive(words).map(Amplitude::from_deg)
}

const SIGHT: &str = "The lift angle by sight (numbers may have a standard uncertainty: 11.5±0.1)";
const ANGLES: &str = "Angles of the fork";
const WHEEL: &str = "The escape wheel";

const EXAMPLES: &str = "\
For the lift angle by sight let the mainspring down until the turning points of a mark on the rim stand \
opposite its place at rest, or at three quarters of a turn, and read the time from unlocking to drop.

Exit status: 0 done, 1 the result could not be written, 2 wrong use, or what no escapement can be.

Examples:
  endshake escapement --at half-turn --beats-per-hour 28800 --unlocking-to-drop-ms 11.5±0.1
  endshake escapement --lock-deg 1.5 --run-deg 0.25 --lift-on-tooth-deg 4 --lift-on-pallet-deg 4.5 \\
    --ratio 2.8 --swings-deg 270
  endshake escapement --teeth 15 --spans 3 --tooth-deg 4.5 --pallet-deg 6 --wheel-diameter-mm 7.5";
