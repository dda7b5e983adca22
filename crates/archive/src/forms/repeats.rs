//! What repeats in the beats of a balance.

use super::lists::Value;
use super::{Unread, code};
use jobs::{RepeatingWave, Repeats, RepeatsIn};
use quantities::Measured;
use serde::{Deserialize, Serialize};

/// What was looked for in a series of a balance, and what was found.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Repeating {
    of: String,
    beat_s: f64,
    shortest_period_s: f64,
    longest_period_s: f64,
    each_beat: bool,
    least_seen: f64,
    waves: Vec<Wave>,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Wave {
    period_s: Value,
    half_swing: f64,
    chance: f64,
}

impl From<&Repeats> for Repeating {
    fn from(repeats: &Repeats) -> Self {
        let Repeats {
            of,
            beat_s,
            shortest_period_s,
            longest_period_s,
            each_beat,
            least_seen,
            waves,
        } = repeats;
        let wave = |one: &RepeatingWave| {
            let RepeatingWave { period_s, half_swing, chance } = *one;
            let Measured { value, sd } = period_s;
            Wave { period_s: Value { value, sd }, half_swing, chance }
        };
        Self {
            of: of.code().into(),
            beat_s: *beat_s,
            shortest_period_s: *shortest_period_s,
            longest_period_s: *longest_period_s,
            each_beat: *each_beat,
            least_seen: *least_seen,
            waves: waves.iter().map(wave).collect(),
        }
    }
}

impl TryFrom<Repeating> for Repeats {
    type Error = Unread;

    fn try_from(repeating: Repeating) -> Result<Self, Unread> {
        let wave = |Wave { period_s: Value { value, sd }, half_swing, chance }| RepeatingWave {
            period_s: Measured { value, sd },
            half_swing,
            chance,
        };
        Ok(Self {
            of: code(RepeatsIn::from_code(&repeating.of), &repeating.of)?,
            beat_s: repeating.beat_s,
            shortest_period_s: repeating.shortest_period_s,
            longest_period_s: repeating.longest_period_s,
            each_beat: repeating.each_beat,
            least_seen: repeating.least_seen,
            waves: repeating.waves.into_iter().map(wave).collect(),
        })
    }
}
