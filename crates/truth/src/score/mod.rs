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
