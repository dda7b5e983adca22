//! Between the records that are kept and what travels.

mod adjustment;
mod final_test;
mod job;
mod owner;
mod part;
mod photo;
mod reading;
mod repeats;
mod role;
mod trial;
mod watch;

pub(crate) use adjustment::{adjustment, change_adjustment, new_adjustment};
pub(crate) use final_test::{
    change_final_test, final_test, new_final_test, test_figures, test_kind, test_kind_from,
    test_outcome, test_standard, test_way,
};
pub(crate) use job::{
    change_job, currency, day, estimate, estimate_from, job, stage_from, summary,
};
pub(crate) use owner::{change_owner, new_owner, owner};
pub(crate) use part::{change_part, new_part, part};
pub(crate) use photo::photo;
pub use reading::{Circumstances, kept_reading};
pub(crate) use reading::{
    heard_balance, heard_relation, heard_warnings, kept_balance, position, position_from, reading,
    settings_of, told,
};
pub(crate) use repeats::{repeats, series, series_from};
pub(crate) use role::{role, role_wished};
pub(crate) use trial::{change_trial, new_trial, trial_rate, trial_size};
pub(crate) use watch::{MOST_BALANCES, change_watch, new_watch, watch};

use crate::failure::Failure;
use crate::wire;
use jobs::Id;

/// An id from an address; what is none names nothing.
pub(crate) fn id<T>(text: &str) -> Result<Id<T>, Failure> {
    text.parse()
        .map_err(|_| Failure::NotFound("There is no such thing: the address is wrong.".into()))
}

pub(crate) fn moment(moment: jobs::Moment) -> wire::Moment {
    wire::Moment(moment.to_string())
}

pub(crate) fn moment_from(moment: &wire::Moment) -> Result<jobs::Moment, Failure> {
    let parsed: Result<jiff::Timestamp, _> = moment.0.parse();
    parsed
        .map(|t| jobs::Moment::from_ms(t.as_millisecond()))
        .map_err(|_| Failure::Invalid(format!("“{}” is no instant as RFC 3339 has it.", moment.0)))
}

pub(crate) fn version(version: i64) -> u32 {
    u32::try_from(version).unwrap_or(u32::MAX)
}

pub(crate) fn value(measured: quantities::Measured) -> wire::Value {
    wire::Value { value: measured.value, sd: measured.sd }
}

/// An index in an answer; no list in one is as long as that.
pub(crate) fn index(place: usize) -> u32 {
    u32::try_from(place).unwrap_or(u32::MAX)
}

pub(crate) fn count(count: u64) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}

/// Lines of a text, without empty ones.
pub(crate) fn lines(text: &str) -> Vec<String> {
    text.lines().map(str::trim).filter(|line| !line.is_empty()).map(str::to_owned).collect()
}
