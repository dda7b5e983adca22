//! What still works when some of the numbers are wrong: medians, quantiles, the median absolute
//! deviation, and fits that give outlying points less say or none.
//!
//! | piece | what it is |
//! |---|---|
//! | [`median`], [`quantile`], [`weighted_median`], [`ranked`] | by selection, without sorting everything |
//! | [`median_absolute_deviation`], [`robust_sd`] | spread |
//! | [`RunningQuantile`], [`running_median`] | over a moving window |
//! | [`robust_columns`], [`robust_line`] | Huber and bisquare fits with standard deviations |
//!
//! A NaN among the numbers gives None; infinities are numbers that lie outside all others.

mod order;
mod rank;
mod regression;
mod running;

pub use order::{
    MAD_TO_SD, median, median_absolute_deviation, median_in_place, quantile, quantile_in_place,
    robust_sd, weighted_median,
};
pub use rank::{in_order, out_of_order, ranked};
pub use regression::{
    BISQUARE_95, HUBER_95, RobustFit, RobustLine, RobustOptions, Scale, Weighting, robust_columns,
    robust_line,
};
pub use running::{RunningQuantile, running_median};
