//! Arguments of `endshake mainspring`.

use super::row::turn_s;
use super::{TextOrJson, values};
use clap::Args;
use horology::mainspring::MODULUS_N_PER_MM2;
use horology::train::Ratio;
use std::path::PathBuf;

/// Work out a mainspring in its barrel: best length, coils and turns, torque, running time, and what
/// another spring would change.
#[derive(Debug, Args)]
#[command(allow_negative_numbers = true, after_help = EXAMPLES)]
pub(crate) struct MainspringWishes {
    /// Inner diameter of the barrel.
    #[arg(long, value_name = "MM", value_parser = values::positive)]
    pub(crate) barrel_diameter_mm: f64,

    /// Diameter of its arbor, where the spring is wound on.
    #[arg(long, value_name = "MM", value_parser = values::positive)]
    pub(crate) arbor_diameter_mm: f64,

    /// Height inside the barrel, under its cover.
    #[arg(long, value_name = "MM", value_parser = values::positive)]
    pub(crate) barrel_height_mm: Option<f64>,

    /// Thickness of the spring.
    #[arg(long, value_name = "MM", value_parser = values::positive)]
    #[arg(required_unless_present = "turns", conflicts_with = "turns")]
    pub(crate) thickness_mm: Option<f64>,

    /// Turns that are wanted: the spring that gives them at its best length.
    #[arg(long, value_name = "N", value_parser = values::positive)]
    pub(crate) turns: Option<f64>,

    /// Length of the spring; without it that which gives most turns.
    #[arg(long, value_name = "MM", value_parser = values::positive)]
    pub(crate) length_mm: Option<f64>,

    /// Height of the spring (width of the strip); without it there is no torque.
    #[arg(long, value_name = "MM", value_parser = values::positive)]
    pub(crate) height_mm: Option<f64>,

    /// Coils that the spring has lying free out of the barrel, negative where they curve the other
    /// way; 0 for one that would lie straight.
    #[arg(long, value_name = "N", value_parser = values::number, default_value = "0")]
    pub(crate) coils_free: f64,

    /// Modulus of elasticity of the spring, GPa.
    #[arg(long, value_name = "GPA", value_parser = values::positive)]
    #[arg(default_value_t = MODULUS_N_PER_MM2 / 1000.0)]
    pub(crate) modulus_gpa: f64,

    /// Time in which the barrel turns once, like 6h; endshake train tells it.
    #[arg(long, value_name = "TIME", value_parser = turn_s)]
    pub(crate) barrel_turns_in: Option<Ratio>,

    /// The movement, a TOML file as for endshake train, to take that time from.
    #[arg(long, value_name = "FILE", conflicts_with = "barrel_turns_in")]
    pub(crate) train: Option<PathBuf>,

    /// Which of its barrels, where it has several.
    #[arg(long, value_name = "NAME", requires = "train")]
    pub(crate) barrel: Option<String>,

    /// Turns that stop-work allows.
    #[arg(long, value_name = "N", value_parser = values::positive, requires = "set_up_turns")]
    pub(crate) stop_work_turns: Option<f64>,

    /// Turns that are left in the spring when stop-work ends the running.
    #[arg(long, value_name = "N", value_parser = values::not_negative)]
    #[arg(requires = "stop_work_turns")]
    pub(crate) set_up_turns: Option<f64>,

    #[command(flatten)]
    pub(crate) new: NewSpringWords,

    #[command(flatten)]
    pub(crate) sds: SdWords,

    /// How to print: text or json.
    #[arg(long, value_name = "FORMAT", default_value = "text", hide_possible_values = true)]
    pub(crate) format: TextOrJson,
}

/// Another spring in the same barrel.
#[derive(Debug, Args)]
pub(crate) struct NewSpringWords {
    /// Thickness of another spring, to see what it would change.
    #[arg(long, value_name = "MM", value_parser = values::positive, help_heading = NEW)]
    pub(crate) new_thickness_mm: Option<f64>,

    /// Its length; without it that of the first.
    #[arg(long, value_name = "MM", value_parser = values::positive, help_heading = NEW)]
    pub(crate) new_length_mm: Option<f64>,

    /// Its height; without it that of the first.
    #[arg(long, value_name = "MM", value_parser = values::positive, help_heading = NEW)]
    pub(crate) new_height_mm: Option<f64>,
}

/// How well everything was measured.
#[derive(Debug, Args)]
pub(crate) struct SdWords {
    /// Standard uncertainty of a measured thickness.
    #[arg(long, value_name = "MM", value_parser = values::not_negative, default_value = "0.003")]
    #[arg(help_heading = SDS)]
    pub(crate) thickness_sd_mm: f64,

    /// Standard uncertainty of a measured length.
    #[arg(long, value_name = "MM", value_parser = values::not_negative, default_value = "1")]
    #[arg(help_heading = SDS)]
    pub(crate) length_sd_mm: f64,

    /// Standard uncertainty of a measured height.
    #[arg(long, value_name = "MM", value_parser = values::not_negative, default_value = "0.01")]
    #[arg(help_heading = SDS)]
    pub(crate) height_sd_mm: f64,

    /// Standard uncertainty of each of the two diameters.
    #[arg(long, value_name = "MM", value_parser = values::not_negative, default_value = "0.02")]
    #[arg(help_heading = SDS)]
    pub(crate) diameter_sd_mm: f64,
}

const NEW: &str = "Another spring in its place";
const SDS: &str = "How well everything was measured";

const EXAMPLES: &str = "\
A micrometer that is read to 0.01 mm has a standard uncertainty of 0.003 mm: a hundredth over the root \
of twelve. One per cent of the thickness is three per cent of the torque.

Torque is that of the spring alone. Friction takes some of it, in a rough spring a third to a half.

Exit status: 0 done, 1 the result could not be written, 2 wrong use, or a spring that has no room, 3 \
the file cannot be read.

Examples:
  endshake mainspring --barrel-diameter-mm 9 --arbor-diameter-mm 3 --thickness-mm 0.10
  endshake mainspring --barrel-diameter-mm 9 --arbor-diameter-mm 3 --turns 7 --barrel-turns-in 6h
  endshake mainspring --barrel-diameter-mm 9 --arbor-diameter-mm 3 --thickness-mm 0.10 \\
    --length-mm 280 --height-mm 1.4 --barrel-height-mm 1.5 --new-thickness-mm 0.11";
