//! What readings hint at: signs with their evidence, what may cause them, and the next test that
//! would tell the causes apart. Never a verdict.
//!
//! What a sign may mean, who says so and where authorities disagree is data, in `entries`; when a
//! sign is there, in the modules beside it.

mod entries;
mod finding;
mod in_use;
mod motion;
mod periods;
mod positions;
mod readings;

pub use finding::{Cause, Dispute, Evidence, Finding, NextTest, Sign, Where};
pub use readings::{Earlier, PeriodicFault, Readings};

/// Every sign that the readings of one balance show, in the order in which it is worth looking at
/// them: what stops or spoils the motion first, what remains of the rate last.
#[must_use]
pub fn findings(readings: &Readings<'_>) -> Vec<Finding> {
    let mut all = motion::signs(readings);
    all.extend(periods::signs(readings));
    all.extend(positions::signs(readings));
    all.extend(in_use::signs(readings));
    all.sort_by_key(|finding| finding.sign);
    all
}
