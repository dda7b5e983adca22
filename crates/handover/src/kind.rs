//! Which papers a job has.

use crate::case::Case;
use crate::service::Sections;
use crate::{estimate, receipt, service};
use horology::rate_sheet::SheetError;
use report::Document;

/// A paper of a job.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// What came in, at intake.
    Receipt,
    /// What the work will cost.
    Estimate,
    /// What goes home with the watch.
    Report,
}

impl Kind {
    /// All of them, in the order in which a job comes to them.
    pub const ALL: [Self; 3] = [Self::Receipt, Self::Estimate, Self::Report];

    /// A stable name: "receipt".
    #[must_use]
    pub fn code(self) -> &'static str {
        match self {
            Self::Receipt => "receipt",
            Self::Estimate => "estimate",
            Self::Report => "report",
        }
    }

    /// What stands on it: "Receipt".
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            Self::Receipt => "Receipt",
            Self::Estimate => "Estimate",
            Self::Report => "Service report",
        }
    }

    /// The one with this name.
    #[must_use]
    pub fn from_code(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.code() == code)
    }

    /// Whether photos are shown on it.
    #[must_use]
    pub fn shows_photos(self) -> bool {
        self != Self::Estimate
    }

    /// The paper itself.
    ///
    /// # Errors
    ///
    /// As [`service`](crate::service()).
    pub fn of(self, case: &Case<'_>, sections: &Sections) -> Result<Document, SheetError> {
        match self {
            Self::Receipt => Ok(receipt::receipt(case)),
            Self::Estimate => Ok(estimate::estimate(case)),
            Self::Report => service::service(case, sections),
        }
    }
}
