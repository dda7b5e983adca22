//! What repeats in the beats of a balance.

use super::{Value, code};
use crate::error::{Error, Result};
use jobs::{RepeatingWave, Repeats, RepeatsIn};
use quantities::Measured;
use serde::{Deserialize, Serialize};

#[derive(Serialize, Deserialize)]
pub(super) struct Repeating {
    of: String,
    beat_s: f64,
    shortest_period_s: f64,
    longest_period_s: f64,
    each_beat: bool,
    least_seen: f64,
    waves: Vec<Wave>,
}

#[derive(Serialize, Deserialize)]
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
    type Error = Error;

    fn try_from(repeating: Repeating) -> Result<Self> {
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

#[cfg(test)]
mod tests {
    use super::super::{BalanceRead, read_list};
    use jobs::BalanceReading;

    /// As it was kept before anybody looked for what repeats: nothing is known, and nothing is said
    /// to have been looked for.
    #[test]
    fn a_balance_of_before_is_read() {
        let kept = r#"[{"label":"A","beats_per_hour":28800.0,"measured_beats_per_hour":null,
            "rate_s_per_d":{"value":5.1,"sd":0.04},"rate_sd_with_clock_s_per_d":1.7,
            "amplitude_deg":null,"lift_angle_deg":52.0,"beat_error_ms":null,"beats_used":158,
            "beats_expected":160,"signal_to_noise_db":24.0}]"#;
        let read: Vec<BalanceReading> = read_list::<_, BalanceRead>(kept).unwrap();
        assert_eq!(read[0].repeats, None);
    }
}
