use super::knowns::{Piece, Traced, TracedPieces};
use std::f64::consts::PI;

/// A law of the form `constant * product of powers = 1`, the piece on its left with power -1.
#[derive(Debug)]
pub(super) struct Law {
    /// In words, for messages.
    pub(super) words: &'static str,
    constant: f64,
    powers: &'static [(Piece, f64)],
}

/// The three laws; their sources stand at [`super::Knowns::complete`].
pub(super) const LAWS: [Law; 3] = [
    Law {
        words: "the period by inertia and stiffness",
        constant: 2.0 * PI,
        powers: &[
            (Piece::PeriodS, -1.0),
            (Piece::InertiaKgM2, 0.5),
            (Piece::StiffnessNMPerRad, -0.5),
        ],
    },
    Law {
        words: "the inertia of a thin ring",
        constant: 1.0,
        powers: &[(Piece::InertiaKgM2, -1.0), (Piece::RingMassKg, 1.0), (Piece::RingRadiusM, 2.0)],
    },
    Law {
        words: "the stiffness of a flat strip",
        constant: 1.0 / 12.0,
        powers: &[
            (Piece::StiffnessNMPerRad, -1.0),
            (Piece::YoungsModulusPa, 1.0),
            (Piece::StripWidthM, 1.0),
            (Piece::StripThicknessM, 3.0),
            (Piece::StripLengthM, -1.0),
        ],
    },
];

impl Law {
    pub(super) fn pieces(&self) -> impl Iterator<Item = Piece> {
        self.powers.iter().map(|&(piece, _)| piece)
    }

    /// The piece that the law is usually written for.
    pub(super) fn left(&self) -> Piece {
        self.powers[0].0
    }

    /// Logarithm of what the law makes of all pieces but one; nothing where the law holds.
    pub(super) fn mismatch(&self, traced: &TracedPieces) -> Traced {
        let mut sum = Traced { ln: self.constant.ln(), powers: Default::default() };
        for &(piece, power) in self.powers {
            if let Some(known) = traced[piece as usize] {
                sum.ln += power * known.ln;
                for (into, from) in sum.powers.iter_mut().zip(known.powers) {
                    *into += power * from;
                }
            }
        }
        // Where the given piece is on the left, the rest of the law over it is what is compared.
        Traced { ln: -sum.ln, powers: sum.powers }
    }

    /// The one piece that is open.
    pub(super) fn solve_for(&self, open: Piece, traced: &TracedPieces) -> Traced {
        let own = self.powers.iter().find(|(piece, _)| *piece == open).map_or(1.0, |p| p.1);
        let rest = self.mismatch(traced);
        Traced { ln: rest.ln / own, powers: rest.powers.map(|power| -power / own) }
    }
}
