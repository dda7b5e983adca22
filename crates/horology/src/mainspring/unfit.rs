use quantities::OutOfRange;
use std::fmt;

/// A spring or a barrel that cannot be.
#[derive(Debug, Clone, PartialEq)]
pub enum Unfit {
    /// A size that nothing in a watch or a clock has, or that is no number.
    Size(OutOfRange),
    /// The arbor does not go into the barrel.
    ArborFillsBarrel {
        /// Inner diameter of the barrel.
        barrel_mm: f64,
        /// Diameter of the arbor.
        arbor_mm: f64,
    },
    /// The spring has no room.
    TooMuchSpring {
        /// Length given.
        length_mm: f64,
        /// Length that would fill the barrel to the last gap.
        room_for_mm: f64,
        /// Length that gives most turns.
        best_mm: f64,
    },
    /// No spring so thick gives so many turns.
    TooManyTurns {
        /// Turns asked for.
        turns: f64,
    },
}

impl From<OutOfRange> for Unfit {
    fn from(out_of_range: OutOfRange) -> Self {
        Self::Size(out_of_range)
    }
}

impl fmt::Display for Unfit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Size(out_of_range) => write!(f, "The {out_of_range}: measure again."),
            Self::ArborFillsBarrel { barrel_mm, arbor_mm } => write!(
                f,
                "An arbor of {arbor_mm} mm does not go into a barrel of {barrel_mm} mm with room for \
                 a spring: measure both diameters again."
            ),
            Self::TooMuchSpring { length_mm, room_for_mm, best_mm } => write!(
                f,
                "A spring of {length_mm} mm does not fit: {room_for_mm:.1} mm would fill the barrel \
                 to the last gap. Take about {best_mm:.0} mm."
            ),
            Self::TooManyTurns { turns } => {
                write!(f, "{turns} turns cannot be had: give a number above 0 and below 1000.")
            }
        }
    }
}

impl std::error::Error for Unfit {}
