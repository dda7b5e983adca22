//! Arguments of `endshake depth`.

use super::{TextOrJson, values};
use clap::{ArgGroup, Args};

/// Work out sizes of wheels: pitch circles and full diameters from module or centre distance, an
/// escape wheel from a measure over three teeth, a barrel from its plate.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLES)]
#[command(group = ArgGroup::new("what").args(["wheel", "escape_teeth", "plate_diameter_mm"]))]
#[command(group = ArgGroup::new("size").args(["module_mm", "centre_distance_mm"]))]
pub(crate) struct DepthWishes {
    /// Teeth of the wheel.
    #[arg(long, value_name = "TEETH", value_parser = values::count::<1, 10_000>)]
    #[arg(requires = "pinion")]
    pub(crate) wheel: Option<u16>,

    /// Leaves of the pinion (or teeth of the other wheel) that it works into.
    #[arg(long, value_name = "LEAVES", value_parser = values::count::<1, 10_000>)]
    #[arg(requires = "wheel")]
    pub(crate) pinion: Option<u16>,

    /// Module: pitch diameter over teeth.
    #[arg(long, value_name = "MM", value_parser = values::positive, requires = "wheel")]
    pub(crate) module_mm: Option<f64>,

    /// Distance of the two centres.
    #[arg(long, value_name = "MM", value_parser = values::positive, requires = "wheel")]
    pub(crate) centre_distance_mm: Option<f64>,

    /// Addendum of the wheel in modules; without it 1.38, as tables for cutters have it.
    #[arg(long, value_name = "MODULES", value_parser = values::not_negative, requires = "wheel")]
    pub(crate) wheel_addendum: Option<f64>,

    /// Addendum of the pinion in modules; without it 0.855, and 0.805 from ten leaves on.
    #[arg(long, value_name = "MODULES", value_parser = values::not_negative, requires = "wheel")]
    pub(crate) pinion_addendum: Option<f64>,

    /// Teeth of an escape wheel, an odd number.
    #[arg(long, value_name = "TEETH", value_parser = values::count::<1, 10_000>)]
    #[arg(requires = "over_three_teeth_mm")]
    pub(crate) escape_teeth: Option<u16>,

    /// Measure over one of its teeth and the two opposite.
    #[arg(long, value_name = "MM", value_parser = values::positive, requires = "escape_teeth")]
    pub(crate) over_three_teeth_mm: Option<f64>,

    /// Diameter of the pillar plate, for the usual size of the barrel.
    #[arg(long, value_name = "MM", value_parser = values::positive)]
    pub(crate) plate_diameter_mm: Option<f64>,

    /// Standard uncertainty of what was measured.
    #[arg(long, value_name = "MM", value_parser = values::not_negative, default_value = "0")]
    pub(crate) sd_mm: f64,

    /// How to print: text or json.
    #[arg(long, value_name = "FORMAT", default_value = "text", hide_possible_values = true)]
    pub(crate) format: TextOrJson,
}

const EXAMPLES: &str = "\
Exit status: 0 done, 1 the result could not be written, 2 wrong use.

Examples:
  endshake depth --wheel 80 --pinion 10 --centre-distance-mm 4.5
  endshake depth --wheel 80 --pinion 10 --module-mm 0.1 --wheel-addendum 1.35
  endshake depth --escape-teeth 15 --over-three-teeth-mm 4.35 --sd-mm 0.01
  endshake depth --plate-diameter-mm 26";
