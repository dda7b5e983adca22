//! What is out of bounds with a spring that has room in its barrel.

use super::Fitted;
use std::fmt;

/// Usual clearance of a spring's height in its barrel, mm (bib:mainspring-weebly).
pub const USUAL_HEIGHT_CLEARANCE_MM: f64 = 0.1;

/// A spring that gives less than this share of the most turns is too long or too short (common
/// practice, no published source: nobody counts a fiftieth of a turn).
const LEAST_SHARE_OF_TURNS: f64 = 0.98;

/// Least and most diameter of an arbor over that of its barrel: a third is the rule
/// (bib:goodrich1905, chapter XV), and how far from it is still well is common practice, no published
/// source.
const USUAL_ARBOR: (f64, f64) = (0.28, 0.40);

/// Something to think about before a spring goes in.
#[derive(Debug, Clone, PartialEq)]
pub enum Warning {
    /// Longer than best.
    TooLong {
        /// Best length, mm.
        best_mm: f64,
        /// Turns that are lost.
        turns_lost: f64,
    },
    /// Shorter than best.
    TooShort {
        /// Best length, mm.
        best_mm: f64,
        /// Turns that are lost.
        turns_lost: f64,
    },
    /// Higher than the barrel: it does not go in.
    TooHigh {
        /// By how much, mm.
        by_mm: f64,
    },
    /// Goes in, and may bind.
    LittleClearance {
        /// Height of the barrel less that of the spring, mm.
        clearance_mm: f64,
    },
    /// The arbor is not about a third of the barrel.
    Arbor {
        /// Its diameter over that of the barrel.
        share: f64,
    },
    /// The free spring has more coils than the run-down one: it would not press to the wall.
    NoSetUp,
}

impl Warning {
    /// Stable name for programs.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::TooLong { .. } => "too_long",
            Self::TooShort { .. } => "too_short",
            Self::TooHigh { .. } => "too_high",
            Self::LittleClearance { .. } => "little_clearance",
            Self::Arbor { .. } => "arbor",
            Self::NoSetUp => "no_set_up",
        }
    }
}

impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooLong { best_mm, turns_lost } => write!(
                f,
                "The spring is too long and takes the room of {turns_lost:.1} turns: {best_mm:.0} mm \
                 would fill half of the free area."
            ),
            Self::TooShort { best_mm, turns_lost } => write!(
                f,
                "The spring is too short and gives {turns_lost:.1} turns less than there is room \
                 for: {best_mm:.0} mm would fill half of the free area."
            ),
            Self::TooHigh { by_mm } => write!(
                f,
                "The spring is {by_mm:.2} mm higher than the barrel inside: take a narrower one."
            ),
            Self::LittleClearance { clearance_mm } => write!(
                f,
                "The spring has {clearance_mm:.2} mm of clearance in height and may bind in the cold: \
                 {USUAL_HEIGHT_CLEARANCE_MM} mm is usual."
            ),
            Self::Arbor { share } => write!(
                f,
                "The arbor measures {share:.2} of the barrel, where a third is the rule: a thinner \
                 one bends the spring too much, a thicker one takes room."
            ),
            Self::NoSetUp => write!(
                f,
                "Lying free the spring has more coils than in the barrel, so it would hang loose when \
                 it is run down: it has set, or another belongs here."
            ),
        }
    }
}

impl Fitted {
    /// What is out of bounds.
    #[must_use]
    pub fn warnings(&self) -> Vec<Warning> {
        let mut all = Vec::new();
        let thickness_mm = self.spring.thickness_mm.value;
        let best_mm = self.barrel.best_for_mm(thickness_mm);
        let most = self.barrel.most_for(thickness_mm);
        let turns = self.coils_up() - self.coils_down();
        if turns < LEAST_SHARE_OF_TURNS * most {
            let turns_lost = most - turns;
            all.push(if self.fill() > 0.5 {
                Warning::TooLong { best_mm, turns_lost }
            } else {
                Warning::TooShort { best_mm, turns_lost }
            });
        }
        match self.height_clearance_mm() {
            Some(under) if under < 0.0 => all.push(Warning::TooHigh { by_mm: -under }),
            // A rounding of the difference of two lengths is no want of clearance.
            Some(clearance_mm) if clearance_mm < USUAL_HEIGHT_CLEARANCE_MM - 1e-9 => {
                all.push(Warning::LittleClearance { clearance_mm });
            }
            _ => {}
        }
        let share = self.barrel.arbor_radius_mm().value / self.barrel.radius_mm().value;
        if !(USUAL_ARBOR.0..=USUAL_ARBOR.1).contains(&share) {
            all.push(Warning::Arbor { share });
        }
        if self.spring.coils_free > self.coils_down() {
            all.push(Warning::NoSetUp);
        }
        all
    }
}
