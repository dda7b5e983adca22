use super::{Impossible, MOST_SOUGHT, MOST_WITHIN_S_PER_D};
use std::fmt;

/// Why no search for missing teeth could be made.
#[derive(Debug, Clone, PartialEq)]
pub enum Refused {
    /// None, or more than two, are unknown.
    HowMany {
        /// How many.
        unknowns: usize,
    },
    /// Both unknowns are one.
    SameTwice,
    /// A range of teeth that is empty or too wide.
    Range {
        /// Least teeth given.
        least: u32,
        /// Most teeth given.
        most: u32,
    },
    /// An error that is negative or too large to be asked for.
    Within {
        /// What was given, s/d.
        given_s_per_d: f64,
    },
    /// Nothing says how fast the train of an unknown turns.
    SpeedUnknown {
        /// The wheel or pinion.
        name: String,
    },
    /// Whatever number of teeth it has, nothing known changes.
    NothingDepends {
        /// The wheel or pinion.
        name: String,
    },
    /// The unknowns are in different trains.
    DifferentTrains,
    /// Wheels in a ring, one of which is unknown.
    Ring,
    /// The movement cannot be.
    Impossible(Impossible),
}

impl From<Impossible> for Refused {
    fn from(impossible: Impossible) -> Self {
        Self::Impossible(impossible)
    }
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::HowMany { unknowns: 0 } => write!(
                f,
                "No number of teeth is unknown: write ? for the one or two that are missing."
            ),
            Self::HowMany { unknowns } => write!(
                f,
                "{unknowns} numbers of teeth are unknown, for which nearly anything would do: find \
                 all but two of them in another way."
            ),
            Self::SameTwice => write!(f, "Both unknowns are one wheel: name it once."),
            Self::Range { least, most } => write!(
                f,
                "No wheel has {least} to {most} teeth: give the lower number first, from 1 to \
                 {MOST_SOUGHT}."
            ),
            Self::Within { given_s_per_d } => write!(
                f,
                "Answers cannot be asked for within {given_s_per_d} s/d: give 0 to \
                 {MOST_WITHIN_S_PER_D}."
            ),
            Self::SpeedUnknown { name } => write!(
                f,
                "Nothing says how fast the train of the {name} turns: give the beat of its balance, \
                 the time of a turn, or a hand."
            ),
            Self::NothingDepends { name } => write!(
                f,
                "Nothing that is known depends on the {name}: say what shall be right, for instance \
                 the beat of the balance and what a hand shows. An intermediate wheel may have any \
                 number of teeth."
            ),
            Self::DifferentTrains => write!(
                f,
                "The two unknowns are in trains that do not touch: look for one, then for the other."
            ),
            Self::Ring => write!(
                f,
                "An unknown wheel in a ring of wheels cannot be looked for: leave out one mesh of the \
                 ring."
            ),
            Self::Impossible(impossible) => write!(f, "{impossible}"),
        }
    }
}

impl std::error::Error for Refused {}
