//! What a watch looked like when it came in.

use crate::fields::Fields;
use crate::invalid::{Invalid, Problem};
use crate::text;
use crate::wordlist::wordlist;

wordlist! {
    /// What is looked at when a watch comes in. Common practice, no published source.
    pub enum ConditionOf {
        /// The glass.
        Crystal = "crystal", "crystal";
        /// Its middle, bezel and lugs.
        Case = "case", "case and bezel";
        /// Its back, and how it closes.
        CaseBack = "case_back", "case back";
        /// Crown and stem.
        Crown = "crown", "crown and stem";
        /// Push pieces and correctors.
        Pushers = "pushers", "push pieces and correctors";
        /// What keeps water out.
        Gaskets = "gaskets", "gaskets";
        /// What it is worn on, with its buckle.
        Bracelet = "bracelet", "bracelet or strap";
        /// The dial.
        Dial = "dial", "dial";
        /// The hands.
        Hands = "hands", "hands";
        /// Luminous paint on dial and hands. Old paint may be radium.
        Luminous = "luminous", "luminous paint";
        /// Winding by crown or rotor.
        Winding = "winding", "winding";
        /// Setting the hands.
        Setting = "setting", "setting of the hands";
        /// Date, day, moon and the like.
        Calendar = "calendar", "calendar";
        /// Start, stop, return to zero.
        Chronograph = "chronograph", "chronograph";
        /// The movement, as far as it is seen.
        Movement = "movement", "movement, as seen";
        /// Traces of water.
        WaterMarks = "water_marks", "water marks";
        /// Rust.
        Rust = "rust", "rust";
        /// Magnetism.
        Magnetism = "magnetism", "magnetism";
        /// Whether it runs when it comes in.
        RunsOnArrival = "runs_on_arrival", "runs on arrival";
    }
}

impl ConditionOf {
    /// What to beware of while looking at it. Common practice, no published source; local rules
    /// and licensed practice come first.
    #[must_use]
    pub const fn caution(self) -> Option<&'static str> {
        match self {
            Self::Luminous | Self::Dial | Self::Hands => Some(
                "Old luminous paint may be radium: do not scrape, sand or brush it, keep dial and \
                 hands bagged, and follow your national rules; removing it is for licensed people.",
            ),
            Self::Crystal => Some("A cracked glass sheds splinters: wear eye protection."),
            _ => None,
        }
    }
}

wordlist! {
    /// How something was found.
    pub enum ConditionState {
        /// Nobody has looked yet.
        NotLookedAt = "not_looked_at", "not looked at";
        /// As it should be.
        Good = "good", "good";
        /// Worn by use.
        Worn = "worn", "worn";
        /// Damaged or failing.
        Damaged = "damaged", "damaged";
    }
}

/// How one thing was found. What has no entry was not looked at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ConditionEntry {
    /// What was looked at.
    pub of: ConditionOf,
    /// How it was found.
    pub state: ConditionState,
    /// More about it.
    pub note: String,
}

/// Whether a list of entries may be kept.
///
/// # Errors
///
/// Where one thing stands twice, or a note may not be kept.
pub fn check_condition(entries: &[ConditionEntry]) -> Result<(), Invalid> {
    for (n, entry) in entries.iter().enumerate() {
        if entries[..n].iter().any(|earlier| earlier.of == entry.of) {
            let what = entry.of.words().to_owned();
            return Err(Invalid::new("condition", Problem::Twice { what }));
        }
        text::line(&format!("condition of {}", entry.of.words()), &entry.note)?;
    }
    Ok(())
}

pub(crate) fn put_condition(entries: &[ConditionEntry], fields: &mut Fields) {
    // Numbered, because the order in which they were entered is kept as well.
    for (n, entry) in (1..).zip(entries) {
        let ConditionEntry { of, state, note } = entry;
        fields.put(format!("condition {n}, {}", of.words()), state.words());
        fields.text(&format!("condition {n}, note"), note);
    }
}
