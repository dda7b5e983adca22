use super::error::{BalanceError, positive};
use super::law::LAWS;
use quantities::Measured;
use std::fmt;

/// A piece of what can be known of a balance and its spring. The unit is in the name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Piece {
    /// Time of a whole oscillation (two beats), s.
    PeriodS,
    /// Moment of inertia of balance, staff and roller, kg m².
    InertiaKgM2,
    /// Stiffness of the hairspring, N m/rad.
    StiffnessNMPerRad,
    /// Mass of a thin ring that stands for the balance, kg.
    RingMassKg,
    /// Radius of that ring, m.
    RingRadiusM,
    /// Young's modulus of the spring, Pa.
    YoungsModulusPa,
    /// Width (height) of the strip, along the staff, m.
    StripWidthM,
    /// Thickness of the strip, along the radius, m.
    StripThicknessM,
    /// Active length of the strip, m.
    StripLengthM,
}

impl Piece {
    /// All of them.
    pub const ALL: [Self; 9] = [
        Self::PeriodS,
        Self::InertiaKgM2,
        Self::StiffnessNMPerRad,
        Self::RingMassKg,
        Self::RingRadiusM,
        Self::YoungsModulusPa,
        Self::StripWidthM,
        Self::StripThicknessM,
        Self::StripLengthM,
    ];

    /// Plain words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::PeriodS => "the period",
            Self::InertiaKgM2 => "the inertia",
            Self::StiffnessNMPerRad => "the spring's stiffness",
            Self::RingMassKg => "the mass of the ring",
            Self::RingRadiusM => "the radius of the ring",
            Self::YoungsModulusPa => "Young's modulus",
            Self::StripWidthM => "the width of the strip",
            Self::StripThicknessM => "the thickness of the strip",
            Self::StripLengthM => "the active length of the strip",
        }
    }
}

impl fmt::Display for Piece {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.words())
    }
}

/// What is known of a balance, each with its standard uncertainty (zero where it is exact).
///
/// ```
/// use horology::balance::{Knowns, Piece};
/// use quantities::Measured;
///
/// // A ring of 0.90 g and 0.55 cm that makes an oscillation in half a second.
/// let found = Knowns::default()
///     .with(Piece::PeriodS, Measured::new(0.5, 0.0))?
///     .with(Piece::RingMassKg, Measured::new(0.90e-3, 0.0))?
///     .with(Piece::RingRadiusM, Measured::new(0.55e-2, 0.0))?
///     .complete()?;
/// let k = found.require(Piece::StiffnessNMPerRad)?;
/// assert!((k.value - 4.30e-6).abs() < 0.005e-6);
/// # Ok::<(), horology::balance::BalanceError>(())
/// ```
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Knowns {
    known: [Option<Measured>; Piece::ALL.len()],
}

impl Knowns {
    /// These and one more; a piece that was given before takes its new value.
    ///
    /// # Errors
    /// [`BalanceError::NotPositive`]; [`BalanceError::NotANumber`] for an uncertainty.
    pub fn with(mut self, piece: Piece, measured: Measured) -> Result<Self, BalanceError> {
        positive(piece.words(), measured.value)?;
        super::error::finite("an uncertainty", measured.sd)?;
        self.known[piece as usize] = Some(measured);
        Ok(self)
    }

    /// Everything that follows from these by the three laws of a balance.
    ///
    /// The laws are `T = 2 pi sqrt(I/k)` (bib:horopedia, "moment of inertia"), `I = m r^2` of a
    /// thin ring, and `k = E b h^3 / (12 L)` of a flat strip (strength of materials, from
    /// memory). Each is a product of powers, and any two share one piece at most, so that using
    /// whichever law has one piece open, again and again, finds all that can be found.
    /// Uncertainties go through to first order (GUM, bib:jcgm100 clause 5.1.2); what was given
    /// counts as independent, and what follows remembers what it came from.
    ///
    /// # Errors
    /// [`BalanceError::Contradiction`] where more is given than is needed and it does not agree
    /// within three standard uncertainties (or a millionth, where all are exact).
    pub fn complete(&self) -> Result<Completed, BalanceError> {
        let mut traced = Piece::ALL.map(|piece| {
            self.known[piece as usize]
                .map(|known| Traced { ln: known.value.ln(), powers: unit_power(piece) })
        });
        loop {
            let mut found = false;
            for law in &LAWS {
                let open: Vec<Piece> =
                    law.pieces().filter(|&piece| traced[piece as usize].is_none()).collect();
                match open[..] {
                    [] => self.check(law, &traced)?,
                    [piece] => {
                        traced[piece as usize] = Some(law.solve_for(piece, &traced));
                        found = true;
                    }
                    _ => {}
                }
            }
            if !found {
                break;
            }
        }
        Ok(Completed {
            // What was given comes back as it was, without the logarithm's rounding.
            pieces: Piece::ALL.map(|piece| {
                let followed = || traced[piece as usize].map(|t| self.measured(&t));
                self.known[piece as usize].or_else(followed)
            }),
            from: traced.map(|t| t.map_or(Vec::new(), |t| t.sources())),
        })
    }

    fn check(&self, law: &super::law::Law, traced: &TracedPieces) -> Result<(), BalanceError> {
        let mismatch = law.mismatch(traced);
        let allowed = (3.0 * self.relative_sd(&mismatch.powers)).max(EXACT_TO);
        if mismatch.ln.abs() <= allowed {
            Ok(())
        } else {
            Err(BalanceError::Contradiction {
                law: law.words,
                piece: law.left(),
                factor: (-mismatch.ln).exp(),
            })
        }
    }

    fn measured(&self, traced: &Traced) -> Measured {
        let value = traced.ln.exp();
        Measured::new(value, value * self.relative_sd(&traced.powers))
    }

    fn relative_sd(&self, powers: &Powers) -> f64 {
        let part = |piece: &Piece| {
            let relative = self.known[*piece as usize].map_or(0.0, |known| known.sd / known.value);
            (powers[*piece as usize] * relative).powi(2)
        };
        Piece::ALL.iter().map(part).sum::<f64>().sqrt()
    }
}

/// How well numbers without uncertainty must agree, as a fraction: they are typed by people.
const EXACT_TO: f64 = 1e-6;

/// Powers to which what was given enters something that follows from it.
pub(super) type Powers = [f64; Piece::ALL.len()];

pub(super) type TracedPieces = [Option<Traced>; Piece::ALL.len()];

/// A value, by its logarithm, that remembers what it was made from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Traced {
    pub(super) ln: f64,
    pub(super) powers: Powers,
}

impl Traced {
    fn sources(&self) -> Vec<Piece> {
        Piece::ALL.into_iter().filter(|&piece| self.powers[piece as usize] != 0.0).collect()
    }
}

fn unit_power(piece: Piece) -> Powers {
    let mut powers = [0.0; Piece::ALL.len()];
    powers[piece as usize] = 1.0;
    powers
}

/// All that is known or follows.
#[derive(Debug, Clone, PartialEq)]
pub struct Completed {
    pieces: [Option<Measured>; Piece::ALL.len()],
    from: [Vec<Piece>; Piece::ALL.len()],
}

impl Completed {
    /// The piece, where it is known or follows.
    #[must_use]
    pub fn get(&self, piece: Piece) -> Option<Measured> {
        self.pieces[piece as usize]
    }

    /// The given pieces that it came from; itself alone, where it was given.
    #[must_use]
    pub fn came_from(&self, piece: Piece) -> &[Piece] {
        &self.from[piece as usize]
    }

    /// The piece, or a sentence that says what to add.
    ///
    /// # Errors
    /// [`BalanceError::NotEnough`].
    pub fn require(&self, piece: Piece) -> Result<Measured, BalanceError> {
        self.get(piece).ok_or_else(|| BalanceError::NotEnough {
            wanted: piece,
            would_do: self.would_do(piece),
        })
    }

    /// Law by law, what is still missing for it to give the piece.
    fn would_do(&self, wanted: Piece) -> String {
        let ways: Vec<String> = LAWS
            .iter()
            .filter(|law| law.pieces().any(|piece| piece == wanted))
            .map(|law| {
                let missing: Vec<&str> = law
                    .pieces()
                    .filter(|&piece| piece != wanted && self.get(piece).is_none())
                    .map(Piece::words)
                    .collect();
                missing.join(" and ")
            })
            .collect();
        ways.join(", or ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn exact(pairs: &[(Piece, f64)]) -> Completed {
        let knowns = pairs.iter().fold(Knowns::default(), |knowns, &(piece, value)| {
            knowns.with(piece, Measured::new(value, 0.0)).unwrap()
        });
        knowns.complete().unwrap()
    }

    fn close(got: Option<Measured>, expected: f64, half_digit: f64) {
        let got = got.unwrap().value;
        assert!((got - expected).abs() <= half_digit, "{got} {expected}");
    }

    /// bib:young-freedman, problem 13.35 with its published solution: 4 ticks a second, thin rim
    /// of 0.55 cm and 0.90 g. Printed to three figures.
    #[test]
    fn textbook_ring_of_nine_tenths_of_a_gram() {
        let found = exact(&[
            (Piece::PeriodS, 0.5),
            (Piece::RingMassKg, 0.90e-3),
            (Piece::RingRadiusM, 0.55e-2),
        ]);
        close(found.get(Piece::InertiaKgM2), 2.72e-8, 0.005e-8);
        close(found.get(Piece::StiffnessNMPerRad), 4.30e-6, 0.005e-6);
        assert_eq!(found.came_from(Piece::InertiaKgM2), [Piece::RingMassKg, Piece::RingRadiusM]);
        // The negative example: half the inertia (a disc) and a tick for a whole oscillation,
        // as a published wrong answer has it, is another spring altogether.
        let wrong = 0.5 * 2.7225e-8 * (2.0 * std::f64::consts::PI / 0.25).powi(2);
        assert!(wrong > 1.9 * found.get(Piece::StiffnessNMPerRad).unwrap().value);
    }

    /// bib:young-freedman, the like problem with 900 mg and 12 mm. Two figures are printed of
    /// the inertia (1.296), three of the stiffness.
    #[test]
    fn textbook_ring_of_twelve_millimetres() {
        let found = exact(&[
            (Piece::PeriodS, 0.5),
            (Piece::RingMassKg, 900e-6),
            (Piece::RingRadiusM, 12e-3),
        ]);
        close(found.get(Piece::InertiaKgM2), 1.3e-7, 0.05e-7);
        close(found.get(Piece::StiffnessNMPerRad), 2.05e-5, 0.005e-5);
    }

    /// bib:giancoli, chapter on oscillations: radius 0.95 cm, 3.10 Hz, 1.1e-5 N m for 45 degrees
    /// is a mass of 0.41 g; at 1.55 Hz 1.636 g.
    #[test]
    fn textbook_mass_from_a_torque() {
        for (hz, grams, half_digit) in [(3.10, 0.41, 0.005), (1.55, 1.636, 0.0005)] {
            let stiffness = 1.1e-5 / std::f64::consts::FRAC_PI_4;
            let found = exact(&[
                (Piece::PeriodS, 1.0 / hz),
                (Piece::StiffnessNMPerRad, stiffness),
                (Piece::RingRadiusM, 0.95e-2),
            ]);
            let mass = found.get(Piece::RingMassKg).map(|mass| mass.scaled(1e3));
            close(mass, grams, half_digit);
        }
    }

    /// The period is wanted to the half of what the inertia is, and stiffness to thrice the
    /// thickness: powers of the laws, by hand.
    #[test]
    fn uncertainties_by_their_powers() {
        let found = Knowns::default()
            .with(Piece::InertiaKgM2, Measured::new(1e-9, 1e-11))
            .unwrap()
            .with(Piece::StiffnessNMPerRad, Measured::new(2.5e-7, 0.0))
            .unwrap()
            .complete()
            .unwrap();
        let period = found.get(Piece::PeriodS).unwrap();
        assert!((period.sd / period.value - 0.005).abs() < 1e-12);
        let strip = [
            (Piece::YoungsModulusPa, 210e9, 0.0),
            (Piece::StripWidthM, 0.15e-3, 0.0),
            (Piece::StripThicknessM, 0.03e-3, 0.0003e-3),
            (Piece::StripLengthM, 0.1, 0.0),
        ];
        let knowns = strip.into_iter().fold(Knowns::default(), |knowns, (piece, value, sd)| {
            knowns.with(piece, Measured::new(value, sd)).unwrap()
        });
        let k = knowns.complete().unwrap().get(Piece::StiffnessNMPerRad).unwrap();
        assert!((k.sd / k.value - 0.03).abs() < 1e-12);
        // 210e9 x 0.15e-3 x (0.03e-3)^3 / (12 x 0.1) = 7.0875e-7, by hand.
        assert!((k.value - 7.0875e-7).abs() < 1e-15);
    }

    /// What was used twice is not counted twice: mass from inertia, and inertia from the mass
    /// again, has the uncertainty that was given.
    #[test]
    fn what_follows_remembers_where_it_came_from() {
        let found = Knowns::default()
            .with(Piece::PeriodS, Measured::new(0.4, 0.004))
            .unwrap()
            .with(Piece::InertiaKgM2, Measured::new(1e-9, 0.0))
            .unwrap()
            .with(Piece::RingRadiusM, Measured::new(4e-3, 0.0))
            .unwrap()
            .complete()
            .unwrap();
        assert_eq!(found.came_from(Piece::RingMassKg), [Piece::InertiaKgM2, Piece::RingRadiusM]);
        assert_eq!(found.get(Piece::RingMassKg).unwrap().sd, 0.0);
        let k = found.get(Piece::StiffnessNMPerRad).unwrap();
        assert!((k.sd / k.value - 0.02).abs() < 1e-12);
    }

    #[test]
    fn says_what_to_add() {
        let found = exact(&[(Piece::PeriodS, 0.5), (Piece::RingRadiusM, 4e-3)]);
        assert_eq!(found.get(Piece::RingRadiusM), Some(Measured::new(4e-3, 0.0)));
        assert_eq!(
            found.require(Piece::InertiaKgM2).unwrap_err().to_string(),
            "the inertia cannot be found from what is given; add the spring's stiffness, or the \
             mass of the ring"
        );
    }

    #[test]
    fn refuses_contradictions_and_nonsense() {
        let knowns = |sd: f64| {
            Knowns::default()
                .with(Piece::PeriodS, Measured::new(0.5, sd))
                .unwrap()
                .with(Piece::InertiaKgM2, Measured::new(1e-9, 0.0))
                .unwrap()
                .with(Piece::StiffnessNMPerRad, Measured::new(1.5e-7, 0.0))
                .unwrap()
        };
        // 2 pi sqrt(1e-9 / 1.5e-7) = 0.513 s, 2.6 % more than what was given.
        let sentence = knowns(1e-4).complete().unwrap_err().to_string();
        assert!(sentence.contains("the period 1.0260 times"), "{sentence}");
        assert!(knowns(0.01).complete().is_ok());
        let bad = Knowns::default().with(Piece::PeriodS, Measured::new(-1.0, 0.0));
        assert_eq!(bad.unwrap_err().to_string(), "the period must be above zero, not -1");
        assert!(Knowns::default().with(Piece::PeriodS, Measured::new(1.0, f64::NAN)).is_err());
    }

    proptest! {
        /// Round trip: whatever two of period, inertia and stiffness are given, the third leads
        /// back to them.
        #[test]
        fn any_two_give_the_third(inertia in 1e-11..1e-6_f64, period in 0.05..2.0_f64) {
            let one = exact(&[(Piece::InertiaKgM2, inertia), (Piece::PeriodS, period)]);
            let k = one.get(Piece::StiffnessNMPerRad).unwrap().value;
            let two = exact(&[(Piece::StiffnessNMPerRad, k), (Piece::PeriodS, period)]);
            let three = exact(&[(Piece::StiffnessNMPerRad, k), (Piece::InertiaKgM2, inertia)]);
            prop_assert!((two.get(Piece::InertiaKgM2).unwrap().value / inertia - 1.0).abs() < 1e-12);
            prop_assert!((three.get(Piece::PeriodS).unwrap().value / period - 1.0).abs() < 1e-12);
        }

        /// Round trip through all three laws: a thickness from a ring and a beat, and the beat
        /// back from that thickness.
        #[test]
        fn thickness_and_back(period in 0.1..1.0_f64, mass in 1e-5..1e-3_f64) {
            let rest = [
                (Piece::RingMassKg, mass),
                (Piece::RingRadiusM, 4e-3),
                (Piece::YoungsModulusPa, 200e9),
                (Piece::StripWidthM, 0.1e-3),
                (Piece::StripLengthM, 0.12),
            ];
            let with = |piece, value| exact(&[&rest[..], &[(piece, value)]].concat());
            let thickness = with(Piece::PeriodS, period).get(Piece::StripThicknessM).unwrap().value;
            let back = with(Piece::StripThicknessM, thickness).get(Piece::PeriodS).unwrap().value;
            prop_assert!((back / period - 1.0).abs() < 1e-11);
        }
    }
}
