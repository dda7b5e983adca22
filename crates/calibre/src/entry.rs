//! What a file may hold, as it is written.

use crate::size::{Number, RateAt, Size};
use crate::teeth::Teeth;
use crate::time::turn_s_in_words;
use horology::train::Ratio;
use serde::de::{self, Deserialize, Deserializer, Visitor};
use std::collections::BTreeMap;
use std::fmt;
use toml::Spanned;

/// A whole file.
#[derive(Debug, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Sheet {
    #[serde(default)]
    pub(crate) title: String,
    #[serde(default)]
    pub(crate) arbor: Vec<Spanned<ArborEntry>>,
    #[serde(default)]
    pub(crate) mesh: Vec<Spanned<MeshEntry>>,
    #[serde(default)]
    pub(crate) balance: Vec<Spanned<BalanceEntry>>,
    #[serde(default)]
    pub(crate) hand: Vec<Spanned<HandEntry>>,
    #[serde(default)]
    pub(crate) barrel: Vec<Spanned<BarrelEntry>>,
    #[serde(default)]
    pub(crate) mainspring: Vec<Spanned<MainspringEntry>>,
}

#[derive(Debug, serde::Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(crate) struct ArborEntry {
    pub(crate) name: String,
    #[serde(default)]
    pub(crate) carries: BTreeMap<String, Teeth>,
    pub(crate) turns_in: Option<TurnTime>,
}

#[derive(Debug, serde::Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(crate) struct MeshEntry {
    pub(crate) between: [Spanned<String>; 2],
    #[serde(default)]
    pub(crate) inside: bool,
    pub(crate) centre_distance_mm: Option<Size>,
    pub(crate) module_mm: Option<Size>,
}

#[derive(Debug, serde::Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(crate) struct BalanceEntry {
    pub(crate) name: String,
    pub(crate) escape: Spanned<String>,
    pub(crate) beats_per_hour: Option<Decimal>,
    pub(crate) beats_per_tooth: Option<u32>,
    pub(crate) lift_angle_deg: Option<Size>,
    pub(crate) mass_mg: Option<Size>,
    pub(crate) radius_mm: Option<Size>,
    pub(crate) inertia_mg_cm2: Option<Size>,
    pub(crate) stiffness_n_m_per_rad: Option<Size>,
    pub(crate) spring_height_mm: Option<Size>,
    pub(crate) spring_thickness_mm: Option<Size>,
    pub(crate) spring_length_mm: Option<Size>,
    pub(crate) youngs_modulus_gpa: Option<Size>,
    pub(crate) lock_deg: Option<Number>,
    pub(crate) run_deg: Option<Number>,
    pub(crate) lift_on_tooth_deg: Option<Number>,
    pub(crate) lift_on_pallet_deg: Option<Number>,
    pub(crate) fork_ratio: Option<Size>,
    pub(crate) tooth_width_deg: Option<Size>,
    pub(crate) pallet_width_deg: Option<Size>,
    pub(crate) escape_diameter_mm: Option<Size>,
    pub(crate) over_three_teeth_mm: Option<Size>,
    pub(crate) seen_amplitude_deg: Option<Size>,
    pub(crate) unlocking_to_drop_ms: Option<Size>,
    pub(crate) rate_cold: Option<RateAt>,
    pub(crate) rate_middle: Option<RateAt>,
    pub(crate) rate_hot: Option<RateAt>,
    pub(crate) balance_expansion_ppm: Option<Number>,
    pub(crate) spring_expansion_ppm: Option<Number>,
    pub(crate) modulus_change_ppm: Option<Number>,
    pub(crate) trial_length_mm: Option<Size>,
    pub(crate) trial_beats: Option<Size>,
    pub(crate) trial_time_s: Option<Size>,
}

#[derive(Debug, serde::Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(crate) struct HandEntry {
    pub(crate) name: String,
    pub(crate) on: Spanned<String>,
    pub(crate) shows: Option<Shows>,
    pub(crate) turns_in: Option<TurnTime>,
    #[serde(default)]
    pub(crate) anticlockwise: bool,
}

#[derive(Debug, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct BarrelEntry {
    pub(crate) name: String,
    pub(crate) drum: Spanned<String>,
    pub(crate) arbor: Option<Spanned<String>>,
    pub(crate) turns: Option<Decimal>,
}

#[derive(Debug, serde::Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(crate) struct MainspringEntry {
    pub(crate) barrel: Spanned<String>,
    pub(crate) inner_diameter_mm: Size,
    pub(crate) arbor_diameter_mm: Size,
    pub(crate) barrel_height_mm: Option<Size>,
    pub(crate) thickness_mm: Size,
    pub(crate) length_mm: Option<Size>,
    pub(crate) height_mm: Option<Size>,
    #[serde(default)]
    pub(crate) coils_free: f64,
}

/// What usual hands show.
#[derive(Debug, Clone, Copy, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub(crate) enum Shows {
    Hours,
    Minutes,
    Seconds,
    #[serde(rename = "24-hours")]
    TwentyFourHours,
}

impl Shows {
    /// Seconds of one turn.
    pub(crate) fn turn_s(self) -> Option<Ratio> {
        Ratio::whole(match self {
            Self::Hours => 43_200,
            Self::Minutes => 3_600,
            Self::Seconds => 60,
            Self::TwentyFourHours => 86_400,
        })
    }
}

/// The time of a turn.
#[derive(Debug, Clone, Copy)]
pub(crate) struct TurnTime(pub(crate) Ratio);

/// A number above zero, exactly as it is written.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Decimal(pub(crate) Ratio);

/// Reads a number, or a text by a function of its own.
struct Reading {
    wanted: &'static str,
    text: fn(&str) -> Option<Ratio>,
}

impl Visitor<'_> for Reading {
    type Value = Ratio;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.wanted)
    }

    fn visit_i64<E: de::Error>(self, number: i64) -> Result<Ratio, E> {
        let above = u128::try_from(number).ok().and_then(Ratio::whole);
        above.ok_or_else(|| E::custom(format_args!("write {}, not {number}", self.wanted)))
    }

    fn visit_f64<E: de::Error>(self, number: f64) -> Result<Ratio, E> {
        // The shortest number that reads as the same is the one that was written.
        let exact = Ratio::from_decimal(&number.to_string());
        exact.ok_or_else(|| E::custom(format_args!("write {}, not {number}", self.wanted)))
    }

    fn visit_str<E: de::Error>(self, text: &str) -> Result<Ratio, E> {
        (self.text)(text).ok_or_else(|| E::custom(format_args!("write {}", self.wanted)))
    }
}

impl<'de> Deserialize<'de> for TurnTime {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let wanted = "the time of a turn, like \"1h 30min\", \"29.53d\" or seconds";
        deserializer.deserialize_any(Reading { wanted, text: turn_s_in_words }).map(Self)
    }
}

impl<'de> Deserialize<'de> for Decimal {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let wanted = "a number above zero";
        deserializer.deserialize_any(Reading { wanted, text: |_| None }).map(Self)
    }
}
