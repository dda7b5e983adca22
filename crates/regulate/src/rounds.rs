//! What parts the readings before from those after.

use crate::moves::move_words;
use jobs::{Adjustment, Job, Moment, Stage};

/// Something was changed at the watch: readings of before it say nothing of how it runs now.
#[derive(Debug, Clone, PartialEq)]
pub struct Boundary {
    /// When.
    pub at: Moment,
    /// What was done, in words.
    pub words: String,
    /// The letter of the balance that it concerns; none: all of them.
    pub balance: Option<String>,
}

impl Boundary {
    /// Whether it concerns the balance of this letter.
    #[must_use]
    pub fn concerns(&self, balance: &str) -> bool {
        self.balance.as_deref().is_none_or(|own| own == balance)
    }
}

/// Every boundary of a job, the first first: moves of the hand, and the watch being put together.
#[must_use]
pub fn boundaries<'a>(
    job: &Job,
    adjustments: impl IntoIterator<Item = &'a Adjustment>,
) -> Vec<Boundary> {
    let rebuilt = job.moves.iter().filter(|step| step.to == Stage::Rebuild).map(|step| Boundary {
        at: step.at,
        words: "put together".to_owned(),
        balance: None,
    });
    let moved = adjustments.into_iter().map(|adjustment| Boundary {
        at: adjustment.at,
        words: move_words(adjustment.by, adjustment.amount),
        balance: Some(adjustment.balance.clone()).filter(|letter| !letter.is_empty()),
    });
    let mut all: Vec<Boundary> = rebuilt.chain(moved).collect();
    all.sort_by_key(|boundary| boundary.at);
    all
}
