use super::error::{RegulatorError, finite};
use quantities::Measured;
use std::fmt;

/// By what a rate is changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Means {
    /// The index: degrees or divisions, towards + positive.
    Index,
    /// A pair of timing screws: turns of each, inwards positive.
    TimingScrews,
    /// Mass taken off a balance: milligrams, taken off positive, put on negative.
    Mass,
}

impl Means {
    /// In what direction, in words, a move makes the watch faster or slower.
    #[must_use]
    pub fn direction(self, faster: bool) -> &'static str {
        match (self, faster) {
            (Self::Index, true) => "towards +",
            (Self::Index, false) => "towards −",
            (Self::TimingScrews, true) => "inwards",
            (Self::TimingScrews, false) => "outwards",
            (Self::Mass, true) => "off",
            (Self::Mass, false) => "on",
        }
    }
}

impl fmt::Display for Means {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Index => "index",
            Self::TimingScrews => "timing screws",
            Self::Mass => "mass",
        })
    }
}

/// One move and what was read before and after it, in one position and one state of wind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Move {
    /// Which balance, from 0.
    pub balance: usize,
    /// By what.
    pub means: Means,
    /// How far, towards faster positive.
    pub amount: f64,
    /// Rate before, s/d.
    pub before_s_per_d: Measured,
    /// Rate after, s/d.
    pub after_s_per_d: Measured,
}

impl Move {
    /// Whether anything can be learned from it.
    pub(super) fn check(&self) -> Result<(), RegulatorError> {
        if finite("amount of the move", self.amount)? == 0.0 {
            return Err(RegulatorError::NoMove);
        }
        for rate in [self.before_s_per_d, self.after_s_per_d] {
            finite("rate", rate.value)?;
            finite("rate's uncertainty", rate.sd)?;
        }
        Ok(())
    }
}

/// The moves made on a watch, balance by balance.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct MoveLog {
    moves: Vec<Move>,
}

impl MoveLog {
    /// Remembers a move.
    ///
    /// # Errors
    /// [`RegulatorError::NoMove`], [`RegulatorError::NotANumber`].
    pub fn remember(&mut self, done: Move) -> Result<(), RegulatorError> {
        done.check()?;
        self.moves.push(done);
        Ok(())
    }

    /// The moves of one means on one balance, oldest first.
    #[must_use]
    pub fn of(&self, balance: usize, means: Means) -> Vec<Move> {
        self.moves.iter().filter(|m| m.balance == balance && m.means == means).copied().collect()
    }
}
