use super::MOST_TEETH;
use std::fmt;

/// What no movement can be. Each says what to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Impossible {
    /// There is nothing that turns.
    NoArbors,
    /// Something has no name.
    NoName {
        /// What has none.
        what: &'static str,
    },
    /// Two of a kind have one name.
    SameName {
        /// What they are.
        what: &'static str,
        /// The name.
        name: String,
    },
    /// A number of teeth that no wheel has.
    Teeth {
        /// The wheel or pinion.
        name: String,
        /// Teeth given.
        teeth: u32,
    },
    /// A place that does not exist (a slip of whoever calls, not of a person at the bench).
    NoSuchPlace {
        /// The place.
        place: usize,
    },
    /// Two wheels on one arbor cannot work into each other.
    MeshOnOneArbor {
        /// The two.
        names: [String; 2],
    },
    /// One mesh is named twice.
    MeshTwice {
        /// The two that mesh.
        names: [String; 2],
    },
    /// A number of swings for each tooth that no escapement has.
    BeatsPerTooth {
        /// The balance.
        balance: String,
        /// What was given.
        given: u32,
        /// The most that is taken.
        most: u32,
    },
    /// Two balances are said to have one escape wheel.
    TwoOnOneEscapeWheel {
        /// The wheel.
        name: String,
    },
    /// The drum of a barrel is said to be its arbor too.
    BarrelOnItself {
        /// The barrel.
        barrel: String,
    },
    /// A row of wheels and pinions of which one lacks its partner.
    Row {
        /// How many wheels.
        wheels: usize,
        /// How many pinions.
        pinions: usize,
    },
    /// The train's ratio has more figures than can be counted exactly.
    RatioTooLong,
}

impl fmt::Display for Impossible {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoArbors => write!(f, "There is no arbor: name what turns, and what it carries."),
            Self::NoName { what } => write!(f, "A name is missing: give each {what} its own."),
            Self::SameName { what, name } => {
                write!(f, "Two have the name “{name}”: give each {what} its own.")
            }
            Self::Teeth { name, teeth } => {
                write!(
                    f,
                    "The {name} cannot have {teeth} teeth: count again; 1 to {MOST_TEETH} are taken."
                )
            }
            Self::NoSuchPlace { place } => {
                write!(f, "Nothing stands at place {place}: name an arbor and what it carries.")
            }
            Self::MeshOnOneArbor { names: [one, other] } => write!(
                f,
                "The {one} and the {other} sit on one arbor and cannot work into each other: name \
                 the two arbors that mesh. What turns loose on an arbor is an arbor of its own."
            ),
            Self::MeshTwice { names: [one, other] } => {
                write!(f, "The {one} and the {other} are said to mesh twice: say it once.")
            }
            Self::BeatsPerTooth { balance, given, most } => write!(
                f,
                "Balance {balance} cannot make {given} beats for each tooth of its escape wheel: \
                 give 1 to {most}; it is 2 with all usual escapements."
            ),
            Self::TwoOnOneEscapeWheel { name } => write!(
                f,
                "Two balances cannot let one wheel go, the {name}: name the escape wheel of each."
            ),
            Self::BarrelOnItself { barrel } => write!(
                f,
                "The drum and the arbor of barrel {barrel} turn apart: name two arbors, or leave \
                 the barrel's arbor out where it stands still while the movement runs."
            ),
            Self::Row { wheels, pinions } => write!(
                f,
                "Of wheels there are {wheels}, of pinions {pinions}: name one pinion for each wheel, in \
                 the order in which they drive."
            ),
            Self::RatioTooLong => write!(
                f,
                "The ratio of this train has more than 38 figures and cannot be counted exactly: \
                 look for a wheel that is in the train by mistake."
            ),
        }
    }
}

impl std::error::Error for Impossible {}
