//! What was counted and measured at the bench beside the trains: the lever, the lift angle by sight,
//! heat and cold, a hairspring on trial, depths. What follows from it is for `horology` to say.

use crate::entry::{BalanceEntry, MeshEntry};
use crate::size::{Number, RateAt, Size};
use quantities::Measured;

/// What was measured at the bench of a balance and its escapement; what was not is nothing.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct BalanceCounted {
    /// Angles of the fork, degrees, as [`horology::escapement::LeverAngles`] has them.
    pub lock_deg: Option<Measured>,
    /// Run to the banking, fork degrees.
    pub run_deg: Option<Measured>,
    /// Lift on the tooth, fork degrees.
    pub lift_on_tooth_deg: Option<Measured>,
    /// Lift on the pallet, fork degrees.
    pub lift_on_pallet_deg: Option<Measured>,
    /// Angle of the balance over angle of the fork.
    pub fork_ratio: Option<Measured>,
    /// Width of a tooth of the escape wheel, degrees of the wheel.
    pub tooth_width_deg: Option<Measured>,
    /// Width of a pallet, degrees of the wheel.
    pub pallet_width_deg: Option<Measured>,
    /// Full diameter of the escape wheel, mm.
    pub escape_diameter_mm: Option<Measured>,
    /// Measure over one tooth of the escape wheel and the two opposite, mm.
    pub over_three_teeth_mm: Option<Measured>,
    /// Amplitude as it was judged by eye, degrees.
    pub seen_amplitude_deg: Option<Measured>,
    /// Time from unlocking to drop at that amplitude, ms.
    pub unlocking_to_drop_ms: Option<Measured>,
    /// Rate in the cold.
    pub rate_cold: Option<RateAt>,
    /// Rate between.
    pub rate_middle: Option<RateAt>,
    /// Rate in the heat.
    pub rate_hot: Option<RateAt>,
    /// Expansion of the balance's radius, millionths per °C.
    pub balance_expansion_ppm: Option<Measured>,
    /// Expansion of the spring's metal, millionths per °C.
    pub spring_expansion_ppm: Option<Measured>,
    /// Change of the spring's modulus, millionths per °C.
    pub modulus_change_ppm: Option<Measured>,
    /// Length of a hairspring at which its beats were counted, mm.
    pub trial_length_mm: Option<Measured>,
    /// Beats (single swings) that were counted.
    pub trial_beats: Option<Measured>,
    /// Time in which they were counted, s.
    pub trial_time_s: Option<Measured>,
}

impl BalanceCounted {
    pub(crate) fn of(entry: &BalanceEntry) -> Self {
        let size = |size: Option<Size>| size.map(|size| size.0);
        let number = |number: Option<Number>| number.map(|number| number.0);
        Self {
            lock_deg: number(entry.lock_deg),
            run_deg: number(entry.run_deg),
            lift_on_tooth_deg: number(entry.lift_on_tooth_deg),
            lift_on_pallet_deg: number(entry.lift_on_pallet_deg),
            fork_ratio: size(entry.fork_ratio),
            tooth_width_deg: size(entry.tooth_width_deg),
            pallet_width_deg: size(entry.pallet_width_deg),
            escape_diameter_mm: size(entry.escape_diameter_mm),
            over_three_teeth_mm: size(entry.over_three_teeth_mm),
            seen_amplitude_deg: size(entry.seen_amplitude_deg),
            unlocking_to_drop_ms: size(entry.unlocking_to_drop_ms),
            rate_cold: entry.rate_cold,
            rate_middle: entry.rate_middle,
            rate_hot: entry.rate_hot,
            balance_expansion_ppm: number(entry.balance_expansion_ppm),
            spring_expansion_ppm: number(entry.spring_expansion_ppm),
            modulus_change_ppm: number(entry.modulus_change_ppm),
            trial_length_mm: size(entry.trial_length_mm),
            trial_beats: size(entry.trial_beats),
            trial_time_s: size(entry.trial_time_s),
        }
    }
}

/// How large a mesh is; of the two the centre distance counts, where both are written.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct MeshSize {
    /// From centre to centre, mm.
    pub centre_distance_mm: Option<Measured>,
    /// Pitch diameter over teeth, mm.
    pub module_mm: Option<Measured>,
}

impl MeshSize {
    pub(crate) fn of(entry: &MeshEntry) -> Self {
        Self {
            centre_distance_mm: entry.centre_distance_mm.map(|size| size.0),
            module_mm: entry.module_mm.map(|size| size.0),
        }
    }
}
