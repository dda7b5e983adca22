//! Arguments of `endshake temperature`.

use super::{TextOrJson, values};
use clap::Args;
use quantities::Measured;

/// Work out how the rate goes with temperature: from rates that were taken warm and cold, or from the
/// materials of balance and spring.
#[derive(Debug, Args)]
#[command(allow_negative_numbers = true, after_help = EXAMPLES)]
pub(crate) struct TemperatureWishes {
    /// Temperature and rate in the cold, like 8=+4.0±0.2: °C and s/d.
    #[arg(long, value_name = "C=S/D", value_parser = rate_at, help_heading = RATES)]
    #[arg(requires = "hot", conflicts_with = "modulus_change_ppm")]
    pub(crate) cold: Option<RateAt>,

    /// Temperature and rate between, where it was taken: the middle-temperature error.
    #[arg(long, value_name = "C=S/D", value_parser = rate_at, help_heading = RATES)]
    #[arg(requires = "cold")]
    pub(crate) middle: Option<RateAt>,

    /// Temperature and rate in the heat.
    #[arg(long, value_name = "C=S/D", value_parser = rate_at, help_heading = RATES)]
    #[arg(requires = "cold")]
    pub(crate) hot: Option<RateAt>,

    /// Expansion of the balance's radius, millionths per °C; for a compensating balance the effective
    /// one, which is negative. Without it: the one that would compensate the spring.
    #[arg(long, value_name = "PPM", value_parser = values::measured, help_heading = MATERIALS)]
    #[arg(requires = "modulus_change_ppm")]
    #[arg(allow_hyphen_values = true)]
    pub(crate) balance_expansion_ppm: Option<Measured>,

    /// Expansion of the spring's metal, millionths per °C.
    #[arg(long, value_name = "PPM", value_parser = values::measured, help_heading = MATERIALS)]
    #[arg(requires = "modulus_change_ppm")]
    #[arg(allow_hyphen_values = true)]
    pub(crate) spring_expansion_ppm: Option<Measured>,

    /// Change of the spring's modulus, millionths per °C; negative for steel.
    #[arg(long, value_name = "PPM", value_parser = values::measured, help_heading = MATERIALS)]
    #[arg(requires = "spring_expansion_ppm")]
    #[arg(allow_hyphen_values = true)]
    pub(crate) modulus_change_ppm: Option<Measured>,

    /// How to print: text or json.
    #[arg(long, value_name = "FORMAT", default_value = "text", hide_possible_values = true)]
    pub(crate) format: TextOrJson,
}

/// A rate at a temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct RateAt {
    pub(crate) deg_c: f64,
    pub(crate) s_per_d: Measured,
}

fn rate_at(words: &str) -> Result<RateAt, String> {
    let (deg_c, rate) =
        words.split_once('=').ok_or("write °C, an equals sign and s/d: 8=+4.0±0.2")?;
    Ok(RateAt { deg_c: values::number(deg_c)?, s_per_d: values::measured(rate)? })
}

const RATES: &str = "Rates in one position at two or three temperatures";
const MATERIALS: &str = "Materials of balance and spring";

const EXAMPLES: &str = "\
Exit status: 0 done, 1 the result could not be written, 2 wrong use.

Examples:
  endshake temperature --cold 8=8.5±0.2 --hot 38=-3.5±0.2
  endshake temperature --cold 4=+16 --middle 20=-4 --hot 36=+4
  endshake temperature --balance-expansion-ppm 19 --spring-expansion-ppm 11 --modulus-change-ppm -240";
