//! What is known of a balance and of a mainspring, beside how they sit in the trains.

use crate::counted::BalanceCounted;
use crate::entry::{BalanceEntry, MainspringEntry};
use horology::balance::{BalanceError, Knowns, Piece};
use quantities::Measured;

/// What was measured of a balance and its hairspring.
#[derive(Debug, Clone, PartialEq)]
pub struct BalanceKnown {
    /// The line of its entry, counted from 1.
    pub line: usize,
    /// Lift angle, degrees.
    pub lift_angle_deg: Option<Measured>,
    /// Mass, radius, inertia, stiffness and the spring's sizes, as far as they are known, in SI units.
    pub knowns: Knowns,
    /// What else was counted and measured of it.
    pub counted: BalanceCounted,
}

/// A mainspring and the room for it, as they were measured. Whether the one fits the other is for
/// `horology::mainspring` to say.
#[derive(Debug, Clone, PartialEq)]
pub struct Mainspring {
    /// The line of its entry, counted from 1.
    pub line: usize,
    /// The place of its barrel among the movement's barrels.
    pub barrel: usize,
    /// Inner diameter of the barrel, mm.
    pub inner_diameter_mm: Measured,
    /// Diameter of the arbor, hook left out, mm.
    pub arbor_diameter_mm: Measured,
    /// Height inside the barrel, mm.
    pub barrel_height_mm: Option<Measured>,
    /// Thickness of the strip, mm.
    pub thickness_mm: Measured,
    /// Its length, mm; `None` where the best is to be taken.
    pub length_mm: Option<Measured>,
    /// Its height (width of the strip), mm.
    pub height_mm: Option<Measured>,
    /// Coils that it has lying free, as [`horology::mainspring::Spring`] counts them.
    pub coils_free: f64,
}

/// The unit in which a piece of a balance stands in the file: what it is called, and what one of it is
/// in SI. Mass and inertia of watch balances are usual in these.
#[must_use]
pub fn bench_unit(piece: Piece) -> (&'static str, f64) {
    match piece {
        Piece::PeriodS => ("s", 1.0),
        Piece::InertiaKgM2 => ("mg cm²", 1e-10),
        Piece::StiffnessNMPerRad => ("N m/rad", 1.0),
        Piece::RingMassKg => ("mg", 1e-6),
        Piece::YoungsModulusPa => ("GPa", 1e9),
        Piece::RingRadiusM | Piece::StripWidthM | Piece::StripThicknessM | Piece::StripLengthM => {
            ("mm", 1e-3)
        }
    }
}

impl BalanceKnown {
    pub(crate) fn of(entry: &BalanceEntry, line: usize) -> Result<Self, BalanceError> {
        let pieces = [
            (Piece::RingMassKg, entry.mass_mg),
            (Piece::RingRadiusM, entry.radius_mm),
            (Piece::InertiaKgM2, entry.inertia_mg_cm2),
            (Piece::StiffnessNMPerRad, entry.stiffness_n_m_per_rad),
            (Piece::StripWidthM, entry.spring_height_mm),
            (Piece::StripThicknessM, entry.spring_thickness_mm),
            (Piece::StripLengthM, entry.spring_length_mm),
            (Piece::YoungsModulusPa, entry.youngs_modulus_gpa),
        ];
        let mut knowns = Knowns::default();
        for (piece, size) in pieces {
            if let Some(size) = size {
                knowns = knowns.with(piece, size.0.scaled(bench_unit(piece).1))?;
            }
        }
        let lift_angle_deg = entry.lift_angle_deg.map(|size| size.0);
        Ok(Self { line, lift_angle_deg, knowns, counted: BalanceCounted::of(entry) })
    }

    /// Whether nothing at all is known of its period, its inertia and its spring.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.lift_angle_deg.is_none() && self.knowns == Knowns::default()
    }
}

impl Mainspring {
    pub(crate) fn of(entry: &MainspringEntry, barrel: usize, line: usize) -> Self {
        Self {
            line,
            barrel,
            inner_diameter_mm: entry.inner_diameter_mm.0,
            arbor_diameter_mm: entry.arbor_diameter_mm.0,
            barrel_height_mm: entry.barrel_height_mm.map(|size| size.0),
            thickness_mm: entry.thickness_mm.0,
            length_mm: entry.length_mm.map(|size| size.0),
            height_mm: entry.height_mm.map(|size| size.0),
            coils_free: entry.coils_free,
        }
    }
}
