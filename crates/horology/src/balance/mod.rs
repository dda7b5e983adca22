//! Balance and hairspring: period, inertia and stiffness from whatever is known, what a change of
//! mass or of the spring does to the rate, temperature, and the choice of a hairspring.
//!
//! All in SI units: kilograms, metres, newton metres per radian. Rates are in s/d, gaining
//! positive.

mod beat;
mod compensation;
mod counted_trial;
mod effect;
mod error;
mod facts;
mod knowns;
mod law;
mod masses;

pub use beat::{beats_per_hour_of_period, gain_against_train_s_per_d, period_s_of_beats_per_hour};
pub use compensation::{
    SpringAndBalance, TemperatureRates, TemperatureResult, coefficient_s_per_d_per_deg_c,
    compensating_expansion_per_deg_c, expansion_alone_s_per_d_per_deg_c,
};
pub use counted_trial::{CountedTrial, SpringLength};
pub use effect::{
    RateChange, inertia_change_for_rate, mass_for_rate, rate_from_inertia_change, rate_from_masses,
    rate_from_spring_shortened, rate_from_stiffness_change, spring_share_for_rate,
};
pub use error::BalanceError;
pub use facts::BalanceFacts;
pub use knowns::{Completed, Knowns, Piece};
pub use masses::{MassAtRadius, MassChange, inertia_of_masses};
