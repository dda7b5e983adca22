//! Scoring what was found against what was laid down.
//!
//! Found balances are matched with true ones one to one, so that each counts once
//! ([`match_balances`]); errors are collected with the uncertainties that were claimed for them
//! ([`Coverage`]); the least possible uncertainty of a rate is at hand ([`rate_bound_s_per_d`]);
//! and collisions are scored by the lag between the beats that collide, not as one average
//! ([`ByLag`]), as the spike-sorting field does (A. P. Buccino et al., "SpikeInterface, a unified
//! framework for spike sorting", eLife 9:e61834, 2020).
//!
//! All of it is pure arithmetic over plain numbers: it does not know who found them.
//!
//! ```
//! use truth::score::{Coverage, Found, FoundBalance, Tolerance, TrueBalance, match_balances};
//!
//! let truth = truth::scenarios::clear_single(1).truth()?;
//! let truth: Vec<TrueBalance> = truth.balances.iter().map(TrueBalance::from).collect();
//! let found = FoundBalance {
//!     beats_per_hour: Some(truth[0].beats_per_hour),
//!     rate_s_per_d: Some(Found::new(truth[0].rate_s_per_d + 0.04, 0.05)),
//!     ..FoundBalance::default()
//! };
//! let matching = match_balances(&truth, &[found], &Tolerance::default());
//! assert!(matching.missed.is_empty() && matching.invented.is_empty());
//! // Nothing was claimed of amplitude and beat error, so it is not well detected.
//! assert_eq!(matching.well_detected(), 0);
//!
//! let mut rates = Coverage::default();
//! for pair in &matching.pairs {
//!     rates.add_found(found.rate_s_per_d, truth[pair.truth].rate_s_per_d);
//! }
//! assert_eq!((rates.count, rates.within_one), (1, 1));
//! # Ok::<(), truth::ScenarioError>(())
//! ```

mod assignment;
mod bound;
mod coverage;
mod events;
mod lag;
mod matching;
mod summary;

pub use assignment::cheapest_assignment;
pub use bound::{period_bound_s, rate_bound_s_per_d};
pub use coverage::Coverage;
pub use events::{EventScore, score_events};
pub use lag::{ByLag, LagCell, lags_s, shortest_lag_s};
pub use matching::{
    Errors, Found, FoundBalance, Matching, Pair, Tolerance, TrueBalance, match_balances,
};
pub use summary::ErrorSummary;
