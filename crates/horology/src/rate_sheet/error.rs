use super::sheet::Wind;
use crate::stance::Stance;

/// Why a rate sheet, or what is asked of it, cannot be.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SheetError {
    /// A number that is none.
    #[error("the {what} must be a number, not {given}")]
    NotANumber {
        /// Plain name of the quantity.
        what: &'static str,
        /// What was given.
        given: f64,
    },
    /// Two readings for one cell.
    #[error(
        "balance {}, {wind}, has two readings in {stance}; keep one of them, or join them first",
        balance + 1
    )]
    Twice {
        /// Which balance, from 0.
        balance: usize,
        /// State of wind.
        wind: Wind,
        /// Position.
        stance: Stance,
    },
    /// Nothing was read for what is asked.
    #[error("balance {} was not read in the state of wind asked for ({wind})", balance + 1)]
    NotRead {
        /// Which balance, from 0.
        balance: usize,
        /// State of wind.
        wind: Wind,
    },
    /// Progressive readings that do not progress.
    #[error(
        "reading {number} was taken {days} days after the one before; the time between two \
         readings must be above zero"
    )]
    NoTimeBetween {
        /// Which reading, from 1.
        number: usize,
        /// Days.
        days: f64,
    },
    /// A tolerance whose lower limit is above its upper one.
    #[error("a tolerance from {low} to {high} lets nothing through; exchange its limits")]
    EmptyTolerance {
        /// Lower limit.
        low: f64,
        /// Upper limit.
        high: f64,
    },
}
