//! `endshake.hairspring/1`: what `hairspring --format json` prints.

use super::balance::RateChangeResult;
use super::numbers::WithSd;
use crate::hairspring::Told;
use serde::Serialize;

/// A hairspring.
#[derive(Debug, Serialize)]
pub(crate) struct HairspringResult {
    schema: &'static str,
    #[serde(flatten)]
    told: ToldResult,
}

#[derive(Debug, Serialize)]
#[serde(tag = "of", rename_all = "snake_case")]
enum ToldResult {
    Length {
        wished_beats_per_hour: f64,
        trial_beats_per_hour: WithSd,
        active_length_mm: WithSd,
        /// Further out, where positive.
        move_mm: WithSd,
        rate_sd_s_per_d: f64,
    },
    Shortened {
        share: WithSd,
        change: RateChangeResult,
    },
    Wanted {
        s_per_d: f64,
        share: f64,
        take_off_mm: Option<WithSd>,
    },
}

impl HairspringResult {
    pub(crate) fn of(told: &Told) -> Self {
        let told = match told {
            Told::Length { wished, length } => ToldResult::Length {
                wished_beats_per_hour: wished.per_hour(),
                trial_beats_per_hour: length.trial_beats_per_hour.into(),
                active_length_mm: length.active_length_mm.into(),
                move_mm: length.move_mm.into(),
                rate_sd_s_per_d: length.rate_sd.s_per_d(),
            },
            Told::Shortened { share, change } => ToldResult::Shortened {
                share: (*share).into(),
                change: RateChangeResult::of(change),
            },
            Told::Wanted { s_per_d, share, take_off_mm } => ToldResult::Wanted {
                s_per_d: *s_per_d,
                share: *share,
                take_off_mm: take_off_mm.map(WithSd::from),
            },
        };
        Self { schema: "endshake.hairspring/1", told }
    }
}
