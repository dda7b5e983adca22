//! Sizes of wheels and pinions: pitch circles, centre distance, full diameters.

use quantities::{Measured, OutOfRange};
use std::f64::consts::PI;
use std::fmt;

use super::MOST_TEETH;

/// Addendum of a wheel's teeth in modules (cycloidal gearing of fine mechanisms, bib:bs978-2; from
/// memory, as tables for cutters give it: full diameter is module times teeth plus 2.76).
pub const WHEEL_ADDENDUM_MODULES: f64 = 1.38;

/// Addendum of pinions below ten leaves, in modules (the same tables, from memory: leaves plus 1.71).
pub const FEW_LEAVES_ADDENDUM_MODULES: f64 = 0.855;

/// Addendum of pinions of ten leaves and more, in modules (the same tables, from memory: leaves plus
/// 1.61).
pub const MANY_LEAVES_ADDENDUM_MODULES: f64 = 0.805;

/// Diameter of a barrel's wheel over that of the pillar plate, and the most where its teeth can sit
/// low: a rule of thumb (bib:grossmann1880, chapter III, paragraph 25).
pub const BARREL_OF_PLATE: (f64, f64) = (0.47, 0.485);

/// Least and most of any length here, mm; the least is for modules.
const LENGTHS_MM: (f64, f64) = (0.001, 100_000.0);

/// Most modules that an addendum has.
const MOST_ADDENDUM_MODULES: f64 = 5.0;

/// A wheel and the pinion that it works into, with their module.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Depth {
    wheel_teeth: u32,
    pinion_leaves: u32,
    module_mm: Measured,
}

/// How far teeth stand out beyond their pitch circle, in modules.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Addenda {
    /// Of the wheel.
    pub wheel_modules: f64,
    /// Of the pinion.
    pub pinion_modules: f64,
}

impl Addenda {
    /// Those of the tables, by the number of leaves.
    #[must_use]
    pub fn usual(pinion_leaves: u32) -> Self {
        let few = pinion_leaves < 10;
        let pinion_modules =
            if few { FEW_LEAVES_ADDENDUM_MODULES } else { MANY_LEAVES_ADDENDUM_MODULES };
        Self { wheel_modules: WHEEL_ADDENDUM_MODULES, pinion_modules }
    }
}

/// Sizes that cannot be.
#[derive(Debug, Clone, PartialEq)]
pub enum BadDepth {
    /// No teeth, or more than any wheel has.
    Teeth {
        /// Teeth given.
        given: u32,
    },
    /// A size out of range.
    Size(OutOfRange),
    /// A three-tooth measurement wants an odd number of teeth.
    EvenTeeth {
        /// Teeth given.
        given: u32,
    },
}

impl From<OutOfRange> for BadDepth {
    fn from(out_of_range: OutOfRange) -> Self {
        Self::Size(out_of_range)
    }
}

impl fmt::Display for BadDepth {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Teeth { given } => {
                write!(f, "No wheel has {given} teeth: count again; 1 to {MOST_TEETH} are taken.")
            }
            Self::Size(out_of_range) => write!(f, "The {out_of_range}: measure again."),
            Self::EvenTeeth { given } => write!(
                f,
                "With {given} teeth, an even number, two stand opposite each other: measure the full \
                 diameter across them. Across three teeth an odd number is measured, 3 or more."
            ),
        }
    }
}

impl std::error::Error for BadDepth {}

impl Depth {
    /// From the module (pitch diameter over teeth) in mm.
    ///
    /// # Errors
    /// Where a number of teeth or the module cannot be.
    pub fn from_module(
        wheel_teeth: u32,
        pinion_leaves: u32,
        module_mm: Measured,
    ) -> Result<Self, BadDepth> {
        for given in [wheel_teeth, pinion_leaves] {
            if given == 0 || given > MOST_TEETH {
                return Err(BadDepth::Teeth { given });
            }
        }
        size("module", module_mm)?;
        Ok(Self { wheel_teeth, pinion_leaves, module_mm })
    }

    /// From the distance of the two centres in mm: it is divided in proportion to the teeth
    /// (bib:goodrich1905, chapter XIV).
    ///
    /// # Errors
    /// As [`Self::from_module`].
    pub fn from_centre_distance(
        wheel_teeth: u32,
        pinion_leaves: u32,
        centre_distance_mm: Measured,
    ) -> Result<Self, BadDepth> {
        size("centre distance", centre_distance_mm)?;
        let both = f64::from(wheel_teeth) + f64::from(pinion_leaves);
        let module_mm = centre_distance_mm.scaled(2.0 / both.max(1.0));
        Self::from_module(wheel_teeth, pinion_leaves, module_mm)
    }

    /// Pitch diameter over teeth, mm.
    #[must_use]
    pub fn module_mm(&self) -> Measured {
        self.module_mm
    }

    /// From centre to centre, mm.
    #[must_use]
    pub fn centre_distance_mm(&self) -> Measured {
        let both = f64::from(self.wheel_teeth) + f64::from(self.pinion_leaves);
        self.module_mm.scaled(both / 2.0)
    }

    /// Pitch radius of the wheel, mm.
    #[must_use]
    pub fn wheel_pitch_radius_mm(&self) -> Measured {
        self.module_mm.scaled(f64::from(self.wheel_teeth) / 2.0)
    }

    /// Pitch radius of the pinion, mm.
    #[must_use]
    pub fn pinion_pitch_radius_mm(&self) -> Measured {
        self.module_mm.scaled(f64::from(self.pinion_leaves) / 2.0)
    }

    /// Full diameter of the wheel over its teeth, mm.
    ///
    /// # Errors
    /// Where the addendum cannot be.
    pub fn wheel_full_diameter_mm(&self, addenda: Addenda) -> Result<Measured, BadDepth> {
        let teeth = f64::from(self.wheel_teeth);
        Ok(self.module_mm.scaled(teeth + 2.0 * addendum(addenda.wheel_modules)?))
    }

    /// Full diameter of the pinion over its leaves, mm.
    ///
    /// # Errors
    /// Where the addendum cannot be.
    pub fn pinion_full_diameter_mm(&self, addenda: Addenda) -> Result<Measured, BadDepth> {
        let leaves = f64::from(self.pinion_leaves);
        Ok(self.module_mm.scaled(leaves + 2.0 * addendum(addenda.pinion_modules)?))
    }
}

/// Full diameter in mm of an escape wheel with an odd number of teeth, from the measure over one tooth
/// and the two opposite: `D = 2 h / (1 + cos(180 degrees / n))` (bib:goodrich1905, chapter XIV).
///
/// # Errors
/// Where the number of teeth is even, or a size cannot be.
pub fn escape_wheel_diameter_mm(
    teeth: u32,
    over_three_teeth_mm: Measured,
) -> Result<Measured, BadDepth> {
    if !(3..=MOST_TEETH).contains(&teeth) {
        return Err(BadDepth::Teeth { given: teeth });
    }
    if teeth.is_multiple_of(2) {
        return Err(BadDepth::EvenTeeth { given: teeth });
    }
    size("measure over three teeth", over_three_teeth_mm)?;
    Ok(over_three_teeth_mm.scaled(2.0 / (1.0 + (PI / f64::from(teeth)).cos())))
}

/// Diameter of a barrel's wheel in mm for a pillar plate of this diameter, usual and most: see
/// [`BARREL_OF_PLATE`].
///
/// # Errors
/// Where the plate's size cannot be.
pub fn barrel_diameter_mm(plate_diameter_mm: f64) -> Result<(f64, f64), BadDepth> {
    size("diameter of the pillar plate", Measured::new(plate_diameter_mm, 0.0))?;
    Ok((BARREL_OF_PLATE.0 * plate_diameter_mm, BARREL_OF_PLATE.1 * plate_diameter_mm))
}

fn size(quantity: &'static str, given_mm: Measured) -> Result<(), OutOfRange> {
    let (least, most) = LENGTHS_MM;
    let given = given_mm.value;
    if given >= least && given <= most {
        Ok(())
    } else {
        Err(OutOfRange { quantity, unit: "mm", given, least, most })
    }
}

fn addendum(modules: f64) -> Result<f64, OutOfRange> {
    if (0.0..=MOST_ADDENDUM_MODULES).contains(&modules) {
        return Ok(modules);
    }
    let (quantity, unit, most) = ("addendum", "modules", MOST_ADDENDUM_MODULES);
    Err(OutOfRange { quantity, unit, given: modules, least: 0.0, most })
}
