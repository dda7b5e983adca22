//! `endshake.balance/1`: what `balance --format json` prints. All in SI units.

use super::numbers::WithSd;
use crate::balance::{Told, Wanted};
use horology::balance::{Piece, RateChange};
use serde::Serialize;

/// A balance and its spring; null is what neither was given nor follows.
#[derive(Debug, Serialize)]
pub(crate) struct BalanceResult {
    schema: &'static str,
    beats_per_hour: Option<WithSd>,
    period_s: Option<WithSd>,
    inertia_kg_m2: Option<WithSd>,
    stiffness_n_m_per_rad: Option<WithSd>,
    ring_mass_kg: Option<WithSd>,
    ring_radius_m: Option<WithSd>,
    youngs_modulus_pa: Option<WithSd>,
    strip_width_m: Option<WithSd>,
    strip_thickness_m: Option<WithSd>,
    strip_length_m: Option<WithSd>,
    change: Option<RateChangeResult>,
    wanted: Option<WantedResult>,
}

/// A change of the rate.
#[derive(Debug, Serialize)]
pub(super) struct RateChangeResult {
    exact_s_per_d: WithSd,
    first_order_s_per_d: f64,
}

#[derive(Debug, Serialize)]
struct WantedResult {
    s_per_d: f64,
    inertia_share: f64,
    radius_mm: Option<f64>,
    /// To put on; to take off, where negative.
    mass_kg: Option<WithSd>,
}

impl BalanceResult {
    pub(crate) fn of(told: &Told) -> Self {
        let piece = |piece| told.completed.get(piece).map(WithSd::from);
        Self {
            schema: "endshake.balance/1",
            beats_per_hour: told.beats_per_hour.map(WithSd::from),
            period_s: piece(Piece::PeriodS),
            inertia_kg_m2: piece(Piece::InertiaKgM2),
            stiffness_n_m_per_rad: piece(Piece::StiffnessNMPerRad),
            ring_mass_kg: piece(Piece::RingMassKg),
            ring_radius_m: piece(Piece::RingRadiusM),
            youngs_modulus_pa: piece(Piece::YoungsModulusPa),
            strip_width_m: piece(Piece::StripWidthM),
            strip_thickness_m: piece(Piece::StripThicknessM),
            strip_length_m: piece(Piece::StripLengthM),
            change: told.change.as_ref().map(RateChangeResult::of),
            wanted: told.wanted.as_ref().map(WantedResult::of),
        }
    }
}

impl RateChangeResult {
    pub(super) fn of(change: &RateChange) -> Self {
        Self {
            exact_s_per_d: change.exact_s_per_d.into(),
            first_order_s_per_d: change.first_order_s_per_d,
        }
    }
}

impl WantedResult {
    fn of(wanted: &Wanted) -> Self {
        Self {
            s_per_d: wanted.s_per_d,
            inertia_share: wanted.inertia_share,
            radius_mm: wanted.mass.map(|(radius_mm, _)| radius_mm),
            mass_kg: wanted.mass.map(|(_, mass_kg)| mass_kg.into()),
        }
    }
}
