use super::error::{BalanceError, finite, positive};
use super::masses::MassChange;
use quantities::{Measured, SECONDS_PER_DAY};

/// A change of the rate, as it is and as the rule of thumb has it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RateChange {
    /// By the law, s/d.
    pub exact_s_per_d: Measured,
    /// By the first term of its series, s/d: good while it is a few minutes a day.
    pub first_order_s_per_d: f64,
}

/// Rate from a change of inertia, kg m², of a balance with this inertia, kg m²; the rest as it was.
///
/// The beat goes as `I^(-1/2)` (from `T = 2 pi sqrt(I/k)`), so the rate is
/// `86400 ((1 + dI/I)^(-1/2) - 1)`, and `-43200 dI/I` to first order.
///
/// # Errors
/// [`BalanceError::NotPositive`], [`BalanceError::NotANumber`], [`BalanceError::NothingLeft`].
pub fn rate_from_inertia_change(
    inertia_kg_m2: Measured,
    change_kg_m2: f64,
) -> Result<RateChange, BalanceError> {
    let inertia = positive("the inertia", inertia_kg_m2.value)?;
    let share = finite("the change of inertia", change_kg_m2)? / inertia;
    if share <= -1.0 {
        return Err(BalanceError::NothingLeft { change_kg_m2, inertia_kg_m2: inertia });
    }
    // d/dI of the exact formula: the share falls as 1/I.
    let slope = 0.5 * SECONDS_PER_DAY * share * (1.0 + share).powf(-1.5);
    let sd = slope * inertia_kg_m2.sd / inertia;
    Ok(RateChange {
        exact_s_per_d: Measured::new(SECONDS_PER_DAY * power_less_one(share, -0.5), sd),
        first_order_s_per_d: -0.5 * SECONDS_PER_DAY * share,
    })
}

/// Rate from masses added, taken or moved, all at once, on a balance with this inertia, kg m².
///
/// # Errors
/// As [`MassChange::inertia_kg_m2`] and [`rate_from_inertia_change`].
pub fn rate_from_masses(
    inertia_kg_m2: Measured,
    changes: &[MassChange],
) -> Result<RateChange, BalanceError> {
    let parts: Result<Vec<f64>, _> = changes.iter().map(|c| c.inertia_kg_m2()).collect();
    rate_from_inertia_change(inertia_kg_m2, parts?.iter().sum())
}

/// Change of inertia as a share of it that changes the rate by so much:
/// `(1 + r/86400)^(-2) - 1`, the formula of [`rate_from_inertia_change`] turned round.
///
/// # Errors
/// [`BalanceError::StandsStill`] for a loss of a whole day or more; [`BalanceError::NotANumber`].
pub fn inertia_change_for_rate(change_s_per_d: f64) -> Result<f64, BalanceError> {
    Ok(power_less_one(fraction(change_s_per_d)?, -2.0))
}

/// Mass, kg, to add at a radius, m (to take off, where negative) for a change of the rate, s/d, of
/// a balance with this inertia, kg m². On one side it puts the balance out of poise: halve it, and
/// put the halves opposite each other.
///
/// # Errors
/// As [`inertia_change_for_rate`]; [`BalanceError::NotPositive`] for inertia or radius.
pub fn mass_for_rate(
    inertia_kg_m2: Measured,
    radius_m: f64,
    change_s_per_d: f64,
) -> Result<Measured, BalanceError> {
    positive("the inertia", inertia_kg_m2.value)?;
    let radius = positive("a radius", radius_m)?;
    Ok(inertia_kg_m2.scaled(inertia_change_for_rate(change_s_per_d)? / (radius * radius)))
}

/// Rate from a change of the spring's stiffness, as a share of it:
/// `86400 ((1 + dk/k)^(1/2) - 1)`, and `43200 dk/k` to first order (from `T = 2 pi sqrt(I/k)`).
///
/// # Errors
/// [`BalanceError::WholeSpring`] where nothing is left; [`BalanceError::NotANumber`].
pub fn rate_from_stiffness_change(share: Measured) -> Result<RateChange, BalanceError> {
    let by = finite("the change of stiffness", share.value)?;
    if by <= -1.0 {
        return Err(BalanceError::WholeSpring { given: -by });
    }
    let sd = 0.5 * SECONDS_PER_DAY * (1.0 + by).powf(-0.5) * share.sd;
    Ok(RateChange {
        exact_s_per_d: Measured::new(SECONDS_PER_DAY * power_less_one(by, 0.5), sd),
        first_order_s_per_d: 0.5 * SECONDS_PER_DAY * by,
    })
}

/// Rate from a spring shortened by a share of its active length (lengthened, where negative):
/// stiffness goes as one over the length, so `86400 ((1 - s)^(-1/2) - 1)`, and `43200 s` to first
/// order.
///
/// Taken at the inner end the coil is small, and what it does to the isochronism may matter more
/// than the rate (bib:excelsior1876, par. 138, against bib:kleinlein1920, No. 68).
///
/// # Errors
/// [`BalanceError::WholeSpring`] for the whole of it or more; [`BalanceError::NotANumber`].
pub fn rate_from_spring_shortened(share: Measured) -> Result<RateChange, BalanceError> {
    let by = finite("the share of the spring", share.value)?;
    if by >= 1.0 {
        return Err(BalanceError::WholeSpring { given: by });
    }
    let sd = 0.5 * SECONDS_PER_DAY * (1.0 - by).powf(-1.5) * share.sd;
    Ok(RateChange {
        exact_s_per_d: Measured::new(SECONDS_PER_DAY * power_less_one(-by, -0.5), sd),
        first_order_s_per_d: 0.5 * SECONDS_PER_DAY * by,
    })
}

/// Share of the active length to take off for a change of the rate, s/d (to let out, where
/// negative): [`rate_from_spring_shortened`] turned round.
///
/// # Errors
/// As [`inertia_change_for_rate`].
pub fn spring_share_for_rate(change_s_per_d: f64) -> Result<f64, BalanceError> {
    Ok(-power_less_one(fraction(change_s_per_d)?, -2.0))
}

fn fraction(change_s_per_d: f64) -> Result<f64, BalanceError> {
    let by = finite("the rate", change_s_per_d)? / SECONDS_PER_DAY;
    if by > -1.0 {
        Ok(by)
    } else {
        Err(BalanceError::StandsStill { loss_s_per_d: -change_s_per_d })
    }
}

/// `(1 + x)^p - 1` that keeps its digits for small `x`.
fn power_less_one(x: f64, p: f64) -> f64 {
    (p * x.ln_1p()).exp_m1()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn exactly(value: f64) -> Measured {
        Measured::new(value, 0.0)
    }

    /// A textbook problem, author not named (physicsforums.com, thread 813592; question read,
    /// answer by arithmetic): a watch is 45 s/d fast. The inertia must grow by 2 x 45 / 86400,
    /// 0.104 %; exactly 0.10419 %.
    #[test]
    fn forty_five_seconds_fast() {
        let share = inertia_change_for_rate(-45.0).unwrap();
        assert!((share - 0.001_041_9).abs() < 0.000_000_75, "{share}");
        let back = rate_from_inertia_change(exactly(1e-9), share * 1e-9).unwrap();
        assert!((back.exact_s_per_d.value + 45.0).abs() < 1e-9);
    }

    /// First-order rules by hand: +0.1 % of inertia is -43.2 s/d; a hundredth of the spring is
    /// 432 s/d, exactly 435.3 (86400 x (1/sqrt 0.99 - 1) = 435.28).
    #[test]
    fn rules_of_thumb() {
        let inertia = rate_from_inertia_change(exactly(1.0), 0.001).unwrap();
        assert!((inertia.first_order_s_per_d + 43.2).abs() < 1e-9);
        // The next term is 3/8 of the square: 0.0324 s/d.
        assert!((inertia.exact_s_per_d.value + 43.2 - 0.0324).abs() < 0.001);
        let spring = rate_from_spring_shortened(exactly(0.01)).unwrap();
        assert!((spring.first_order_s_per_d - 432.0).abs() < 1e-9);
        assert!((spring.exact_s_per_d.value - 435.3).abs() < 0.05);
        // One part in a hundred of the thickness is three of the stiffness: 1,296 s/d.
        let thicker = rate_from_stiffness_change(exactly(0.03)).unwrap();
        assert!((thicker.first_order_s_per_d - 1_296.0).abs() < 1e-9);
    }

    /// bib:kleinlein1920, No. 68: half the inner coil would be about 10 minutes a day, which is
    /// 0.694 % of the rate and about 1.4 % of the length. Printed to two figures.
    #[test]
    fn half_the_inner_coil() {
        let share = spring_share_for_rate(600.0).unwrap();
        assert!((share - 0.014).abs() < 0.000_5, "{share}");
    }

    /// By hand: 10 micrograms at 4 mm on 1e-9 kg m² are 0.16 per mille, -6.912 s/d.
    #[test]
    fn masses_at_a_radius() {
        let added = [MassChange::Added { mass_kg: 10e-9, radius_m: 4e-3 }];
        let got = rate_from_masses(Measured::new(1e-9, 1e-11), &added).unwrap();
        assert!((got.first_order_s_per_d + 6.912).abs() < 1e-9);
        assert!((got.exact_s_per_d.sd - 0.069_1).abs() < 0.000_1, "{got:?}");
        let mass = mass_for_rate(exactly(1e-9), 4e-3, got.exact_s_per_d.value).unwrap();
        assert!((mass.value - 10e-9).abs() < 1e-20);
    }

    #[test]
    fn refuses_the_impossible() {
        let sentence = |e: BalanceError| e.to_string();
        assert_eq!(
            sentence(rate_from_inertia_change(exactly(1e-9), -2e-9).unwrap_err()),
            "a change of -2.000e-9 kg m2 would leave nothing of an inertia of 1.000e-9 kg m2"
        );
        assert_eq!(
            sentence(inertia_change_for_rate(-86_400.0).unwrap_err()),
            "no balance can lose 86400 seconds in a day of 86,400"
        );
        assert_eq!(
            sentence(rate_from_spring_shortened(exactly(1.5)).unwrap_err()),
            "1.5 of the spring's length cannot be taken; it must be below 1"
        );
        assert!(rate_from_stiffness_change(exactly(f64::NAN)).is_err());
    }

    proptest! {
        /// Round trips, and the first-order rule within the size of the next term, 3/2 of the
        /// square of the share (times 86,400, with room for the third).
        #[test]
        fn there_and_back(rate in -2_000.0..2_000.0_f64) {
            let share = inertia_change_for_rate(rate).unwrap();
            let back = rate_from_inertia_change(exactly(1.0), share).unwrap();
            prop_assert!((back.exact_s_per_d.value - rate).abs() < 1e-9);
            prop_assert!((back.first_order_s_per_d - rate).abs() <= 86_400.0 * share * share);
            let spring = spring_share_for_rate(rate).unwrap();
            let back = rate_from_spring_shortened(exactly(spring)).unwrap();
            prop_assert!((back.exact_s_per_d.value - rate).abs() < 1e-9);
            prop_assert!((back.first_order_s_per_d - rate).abs() <= 86_400.0 * spring * spring);
        }

        /// The uncertainty is the slope: a central difference gives the same.
        #[test]
        fn uncertainty_is_the_slope(share in -0.2..0.2_f64) {
            let at = |inertia| {
                rate_from_inertia_change(Measured::new(inertia, 1e-3), share).unwrap().exact_s_per_d
            };
            let h = 1e-5;
            let central = (at(1.0 + h).value - at(1.0 - h).value) / (2.0 * h);
            // Relative error of the difference of order h squared, times 86,400.
            prop_assert!((at(1.0).sd - central.abs() * 1e-3).abs() < 1e-7);
        }
    }
}
