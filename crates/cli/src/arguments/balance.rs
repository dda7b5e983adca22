//! Arguments of `endshake balance`.

use super::{TextOrJson, values};
use clap::Args;
use quantities::Measured;

/// Work out a balance and its spring: from what is known of period, ring, inertia, stiffness and
/// strip all that follows; what a mass put on, taken off or moved does to the rate.
#[derive(Debug, Args)]
#[command(allow_negative_numbers = true, after_help = EXAMPLES)]
pub(crate) struct BalanceWishes {
    /// Beats per hour, single swings.
    #[arg(long, value_name = "N", value_parser = values::measured_positive, help_heading = KNOWN)]
    #[arg(conflicts_with = "period_s")]
    pub(crate) beats_per_hour: Option<Measured>,

    /// Time of a whole oscillation, two beats.
    #[arg(long, value_name = "S", value_parser = values::measured_positive, help_heading = KNOWN)]
    pub(crate) period_s: Option<Measured>,

    /// Mass of a thin ring that stands for the balance.
    #[arg(long, value_name = "MG", value_parser = values::measured_positive, help_heading = KNOWN)]
    pub(crate) ring_mass_mg: Option<Measured>,

    /// Radius of that ring.
    #[arg(long, value_name = "MM", value_parser = values::measured_positive, help_heading = KNOWN)]
    pub(crate) ring_radius_mm: Option<Measured>,

    /// Moment of inertia of balance, staff and roller.
    #[arg(long, value_name = "MG-CM2", value_parser = values::measured_positive)]
    #[arg(help_heading = KNOWN)]
    pub(crate) inertia_mg_cm2: Option<Measured>,

    /// Stiffness of the hairspring, micronewton metres a radian.
    #[arg(long, value_name = "UN-M", value_parser = values::measured_positive)]
    #[arg(help_heading = KNOWN)]
    pub(crate) stiffness_un_m: Option<Measured>,

    /// Young's modulus of the spring.
    #[arg(long, value_name = "GPA", value_parser = values::measured_positive, help_heading = KNOWN)]
    pub(crate) modulus_gpa: Option<Measured>,

    /// Width (height) of the strip, along the staff.
    #[arg(long, value_name = "MM", value_parser = values::measured_positive, help_heading = KNOWN)]
    pub(crate) strip_width_mm: Option<Measured>,

    /// Thickness of the strip, along the radius.
    #[arg(long, value_name = "MM", value_parser = values::measured_positive, help_heading = KNOWN)]
    pub(crate) strip_thickness_mm: Option<Measured>,

    /// Active length of the strip.
    #[arg(long, value_name = "MM", value_parser = values::measured_positive, help_heading = KNOWN)]
    pub(crate) strip_length_mm: Option<Measured>,

    /// A mass put on at a radius, like 1.2@4.5 (may be repeated).
    #[arg(long, value_name = "MG@MM", value_parser = mass_at, help_heading = CHANGE)]
    pub(crate) put_on: Vec<MassAt>,

    /// A mass taken off at a radius (may be repeated).
    #[arg(long, value_name = "MG@MM", value_parser = mass_at, help_heading = CHANGE)]
    pub(crate) take_off: Vec<MassAt>,

    /// A mass moved from one radius to another, like 2@4.5-4.6 (may be repeated).
    #[arg(long, value_name = "MG@MM-MM", value_parser = mass_moved, help_heading = CHANGE)]
    pub(crate) shift: Vec<MassMoved>,

    /// A wished change of the rate, s/d: what the inertia must change by.
    #[arg(long, value_name = "S/D", value_parser = values::number, help_heading = CHANGE)]
    pub(crate) wanted_s_per_d: Option<f64>,

    /// Radius at which mass may be changed for it.
    #[arg(long, value_name = "MM", value_parser = values::positive, help_heading = CHANGE)]
    #[arg(requires = "wanted_s_per_d")]
    pub(crate) at_radius_mm: Option<f64>,

    /// How to print: text or json.
    #[arg(long, value_name = "FORMAT", default_value = "text", hide_possible_values = true)]
    pub(crate) format: TextOrJson,
}

/// A mass at a radius.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct MassAt {
    pub(crate) mass_mg: f64,
    pub(crate) radius_mm: f64,
}

/// A mass that goes from one radius to another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct MassMoved {
    pub(crate) mass_mg: f64,
    pub(crate) from_mm: f64,
    pub(crate) to_mm: f64,
}

fn mass_at(words: &str) -> Result<MassAt, String> {
    let (mass, radius) =
        words.split_once('@').ok_or("write milligrams, an @ and millimetres: 1.2@4.5")?;
    Ok(MassAt { mass_mg: values::positive(mass)?, radius_mm: values::positive(radius)? })
}

fn mass_moved(words: &str) -> Result<MassMoved, String> {
    let wrong = "write milligrams, an @, and the radius before and after: 2@4.5-4.6";
    let (mass, radii) = words.split_once('@').ok_or(wrong)?;
    let (from, to) = radii.split_once('-').ok_or(wrong)?;
    Ok(MassMoved {
        mass_mg: values::positive(mass)?,
        from_mm: values::positive(from)?,
        to_mm: values::positive(to)?,
    })
}

const KNOWN: &str = "What is known, each as a number or with its standard uncertainty (0.90±0.01)";
const CHANGE: &str = "What is changed";

const EXAMPLES: &str = "\
Where a keyboard has no ±, +- does. Any known that are enough will do; what contradicts itself is \
refused. A hairspring that is cut or shortened: endshake hairspring. Heat and cold: endshake \
temperature.

Exit status: 0 done, 1 the result could not be written, 2 wrong use, or what no balance can be.

Examples:
  endshake balance --beats-per-hour 14400 --ring-mass-mg 900±5 --ring-radius-mm 5.5±0.05
  endshake balance --beats-per-hour 18000 --inertia-mg-cm2 12 --put-on 0.5@4.8 --put-on 0.5@4.8
  endshake balance --inertia-mg-cm2 12±0.5 --wanted-s-per-d -20 --at-radius-mm 4.8";
