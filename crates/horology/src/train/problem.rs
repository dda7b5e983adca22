use std::fmt;

/// What contradicts in a movement whose parts make sense one by one. Each has a stable code and a
/// sentence that says what to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Problem {
    /// Wheels in a ring that cannot turn.
    Jammed {
        /// The arbors of the ring, the first meshing with the last.
        ring: Vec<String>,
    },
    /// Two balances would have to let go one train.
    TwoBalances {
        /// The balances.
        balances: [String; 2],
        /// The arbors from the one escape wheel to the other.
        path: Vec<String>,
        /// The hands on that way, which both would drive.
        hands: Vec<String>,
    },
    /// One train would have to run at two speeds.
    TwoSpeeds {
        /// What says the one and the other.
        said: [String; 2],
        /// The arbors between them.
        path: Vec<String>,
    },
    /// Nothing says how fast these turn.
    SpeedUnknown {
        /// The arbors.
        arbors: Vec<String>,
    },
    /// A hand turns the wrong way.
    Backwards {
        /// The hand.
        hand: String,
    },
    /// Barrels that wind each other in a circle.
    BarrelsInCircle {
        /// One of them.
        barrel: String,
    },
    /// The arbor of a barrel is said to be turned, and no other barrel turns it.
    BarrelArborAlone {
        /// The barrel.
        barrel: String,
    },
}

impl Problem {
    /// Stable name for programs.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::Jammed { .. } => "jammed",
            Self::TwoBalances { .. } => "two_balances",
            Self::TwoSpeeds { .. } => "two_speeds",
            Self::SpeedUnknown { .. } => "speed_unknown",
            Self::Backwards { .. } => "backwards",
            Self::BarrelsInCircle { .. } => "barrels_in_circle",
            Self::BarrelArborAlone { .. } => "barrel_arbor_alone",
        }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Jammed { ring } => write!(
                f,
                "These cannot turn, because going round the ring changes the speed or the sense: \
                 {} - {}. Count their teeth again, or take out the mesh that is not there.",
                way(ring),
                ring.first().map_or("", String::as_str)
            ),
            Self::TwoBalances { balances: [one, other], path, hands } => {
                write!(
                    f,
                    "Balances {one} and {other} would both let go one train: {}.",
                    way(path)
                )?;
                if !hands.is_empty() {
                    let word = if hands.len() == 1 { "hand" } else { "hands" };
                    write!(f, " Both would drive the {word} {}.", hands.join(" and "))?;
                }
                write!(
                    f,
                    " They would stop each other: take out the mesh that is not there. Two balances \
                     share a train only through a differential, which is not reckoned with here."
                )
            }
            Self::TwoSpeeds { said: [one, other], path } => write!(
                f,
                "{one}, but {other}, and both turn together: {}. Leave one of the two out, or count \
                 the teeth between them again.",
                way(path)
            ),
            Self::SpeedUnknown { arbors } => write!(
                f,
                "Nothing says how fast these turn: {}. Put in the mesh that drives them, or say what \
                 a hand on them shows, the time of one turn, or the beat of their balance.",
                arbors.join(", ")
            ),
            Self::Backwards { hand } => write!(
                f,
                "The hand {hand} turns the wrong way: an intermediate wheel is missing or one too \
                 many."
            ),
            Self::BarrelsInCircle { barrel } => write!(
                f,
                "Barrel {barrel} would wind itself: leave out its arbor, or name the one that another \
                 barrel turns."
            ),
            Self::BarrelArborAlone { barrel } => write!(
                f,
                "No other barrel turns the arbor of barrel {barrel}: put in the mesh that turns it, or \
                 leave its arbor out where it stands still while the movement runs."
            ),
        }
    }
}

fn way(arbors: &[String]) -> String {
    arbors.join(" - ")
}
