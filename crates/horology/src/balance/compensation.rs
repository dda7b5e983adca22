use super::error::{BalanceError, finite};
use quantities::{Measured, SECONDS_PER_DAY};

/// How a balance and its spring answer to temperature, per °C.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpringAndBalance {
    /// Relative change of the balance's radius: its metal's expansion. For a compensating balance
    /// the effective one, which is negative: its rims curl inwards in heat.
    pub balance_expansion_per_deg_c: Measured,
    /// Expansion of the spring's metal.
    pub spring_expansion_per_deg_c: Measured,
    /// Relative change of the spring's modulus; negative for steel.
    pub modulus_change_per_deg_c: Measured,
}

/// Rate per °C of a balance and spring, s/d, from the materials.
///
/// Inertia goes as the radius squared; stiffness as `E b h^3 / L`, that is as the modulus and the
/// third power of the spring's expansion; so the rate changes by
/// `86400 (e/2 + 3 s/2 - b)` per degree with `e` the modulus' change, `s` the spring's expansion,
/// `b` the balance's (derived from the laws at [`super::Knowns::complete`]).
///
/// # Errors
/// [`BalanceError::NotANumber`].
pub fn coefficient_s_per_d_per_deg_c(pair: &SpringAndBalance) -> Result<Measured, BalanceError> {
    let parts = [
        pair.modulus_change_per_deg_c.scaled(0.5),
        pair.spring_expansion_per_deg_c.scaled(1.5),
        pair.balance_expansion_per_deg_c.scaled(-1.0),
    ];
    let sum = parts.iter().fold(Measured::new(0.0, 0.0), |sum, part| {
        Measured::new(sum.value + part.value, sum.sd.hypot(part.sd))
    });
    finite("a coefficient of temperature", sum.value + sum.sd)?;
    Ok(sum.scaled(SECONDS_PER_DAY))
}

/// Effective expansion of the balance per °C, relative, at which a spring's own answer to
/// temperature is made up for: `e/2 + 3 s/2`, where the formula of
/// [`coefficient_s_per_d_per_deg_c`] is nought. Negative: the masses must go inwards in heat.
///
/// # Errors
/// [`BalanceError::NotANumber`].
pub fn compensating_expansion_per_deg_c(
    spring_expansion_per_deg_c: Measured,
    modulus_change_per_deg_c: Measured,
) -> Result<Measured, BalanceError> {
    let (spring, modulus) =
        (spring_expansion_per_deg_c.scaled(1.5), modulus_change_per_deg_c.scaled(0.5));
    let value = finite("a coefficient of temperature", spring.value + modulus.value)?;
    Ok(Measured::new(value, spring.sd.hypot(modulus.sd)))
}

/// What the expansion of the balance alone costs per °C, s/d: `-86400 b`.
///
/// # Errors
/// [`BalanceError::NotANumber`].
pub fn expansion_alone_s_per_d_per_deg_c(expansion_per_deg_c: f64) -> Result<f64, BalanceError> {
    Ok(-SECONDS_PER_DAY * finite("an expansion", expansion_per_deg_c)?)
}

/// Daily rates of one watch in one position at two or three temperatures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TemperatureRates {
    /// Lower temperature, °C.
    pub cold_deg_c: f64,
    /// Daily rate there, s/d.
    pub cold_s_per_d: Measured,
    /// Higher temperature, °C.
    pub hot_deg_c: f64,
    /// Daily rate there, s/d.
    pub hot_s_per_d: Measured,
    /// A temperature between and the daily rate there, where it was taken.
    pub middle: Option<(f64, Measured)>,
}

/// What rates at several temperatures say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TemperatureResult {
    /// Change of the rate per °C, s/d: `(hot - cold) / (t_hot - t_cold)`, as bib:iso3159 has it.
    pub coefficient_s_per_d_per_deg_c: Measured,
    /// Rate in heat less rate in cold, s/d; negative: slow in heat.
    pub hot_less_cold_s_per_d: Measured,
    /// How much faster the watch is between than the straight line from cold to hot says, s/d:
    /// the middle-temperature error.
    pub middle_error_s_per_d: Option<Measured>,
}

impl TemperatureRates {
    /// Coefficient and middle-temperature error.
    ///
    /// # Errors
    /// [`BalanceError::OneTemperature`], [`BalanceError::NotANumber`].
    pub fn result(&self) -> Result<TemperatureResult, BalanceError> {
        let span = finite("a temperature", self.hot_deg_c - self.cold_deg_c)?;
        if span == 0.0 {
            return Err(BalanceError::OneTemperature { deg_c: self.hot_deg_c });
        }
        let difference = self.hot_s_per_d.minus(self.cold_s_per_d);
        finite("a rate", difference.value)?;
        let middle_error = |(deg_c, rate): (f64, Measured)| {
            let share = (deg_c - self.cold_deg_c) / span;
            rate.minus(self.hot_s_per_d.scaled(share)).minus(self.cold_s_per_d.scaled(1.0 - share))
        };
        Ok(TemperatureResult {
            coefficient_s_per_d_per_deg_c: difference.scaled(1.0 / span),
            hot_less_cold_s_per_d: difference,
            middle_error_s_per_d: self.middle.map(middle_error),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn exactly(value: f64) -> Measured {
        Measured::new(value, 0.0)
    }

    /// bib:hsn161: the expansion of a brass balance alone costs 1.64 s/d per °C, of steel 0.95.
    /// (Their metals: 19e-6 and 11e-6 per °C.)
    #[test]
    fn expansion_of_brass_and_steel() {
        for (per_deg_c, s_per_d) in [(19e-6, -1.64), (11e-6, -0.95)] {
            let got = expansion_alone_s_per_d_per_deg_c(per_deg_c).unwrap();
            assert!((got - s_per_d).abs() <= 0.005, "{got}");
        }
    }

    /// bib:boettcher2024: steel spring and plain brass balance lose about 11 s/d per °C. The
    /// modulus of steel falling by 2.4e-4 per °C is from memory; "about" is read as one second.
    #[test]
    fn plain_brass_and_steel_lose_about_eleven() {
        let pair = SpringAndBalance {
            balance_expansion_per_deg_c: exactly(19e-6),
            spring_expansion_per_deg_c: exactly(11e-6),
            modulus_change_per_deg_c: Measured::new(-2.4e-4, 0.1e-4),
        };
        let got = coefficient_s_per_d_per_deg_c(&pair).unwrap();
        assert!((got.value + 11.0).abs() < 1.0, "{got:?}");
        // Half of 0.1e-4 of a day.
        assert!((got.sd - 0.432).abs() < 1e-9);
    }

    /// There and back: the balance that makes up for its spring leaves no coefficient. Steel wants
    /// masses that go inwards.
    #[test]
    fn compensated() {
        let (spring, modulus) = (exactly(11e-6), exactly(-2.4e-4));
        let expansion = compensating_expansion_per_deg_c(spring, modulus).unwrap();
        assert!(expansion.value < 0.0);
        let pair = SpringAndBalance {
            balance_expansion_per_deg_c: expansion,
            spring_expansion_per_deg_c: spring,
            modulus_change_per_deg_c: modulus,
        };
        assert!(coefficient_s_per_d_per_deg_c(&pair).unwrap().value.abs() < 1e-9);
    }

    /// bib:kleinlein1920, Nos. 12-14 and 20, daily rates in heat and cold: figure 3 is 12 s slow
    /// in heat, then right; figure 4 is 9 s fast in heat; figure 7 is 28 s slow, 8 s fast, 2 s
    /// slow. No. 10: 5 s over 50 degrees are 0.1 s a degree.
    const CARDS: [(f64, f64, f64); 7] = [
        (4.0, 16.0, -12.0),
        (2.0, 2.0, 0.0),
        (8.0, -1.0, 9.0),
        (-10.0, 18.0, -28.0),
        (4.0, -4.0, 8.0),
        (1.0, 3.0, -2.0),
        (5.0, 0.0, 5.0),
    ];

    #[test]
    fn cards_of_the_temperature_test() {
        for (hot, cold, error) in CARDS {
            let got = TemperatureRates {
                cold_deg_c: 0.0,
                cold_s_per_d: Measured::new(cold, 0.3),
                hot_deg_c: 50.0,
                hot_s_per_d: Measured::new(hot, 0.4),
                middle: None,
            }
            .result()
            .unwrap();
            assert_eq!(got.hot_less_cold_s_per_d, Measured::new(error, 0.5));
            assert!((got.coefficient_s_per_d_per_deg_c.value - error / 50.0).abs() < 1e-12);
        }
    }

    /// By hand: 3 s/d above the middle of a line from 0 to 4.
    #[test]
    fn middle_temperature_error() {
        let rates = TemperatureRates {
            cold_deg_c: 8.0,
            cold_s_per_d: exactly(0.0),
            hot_deg_c: 38.0,
            hot_s_per_d: exactly(4.0),
            middle: Some((23.0, exactly(5.0))),
        };
        let got = rates.result().unwrap().middle_error_s_per_d.unwrap();
        assert!((got.value - 3.0).abs() < 1e-12);
        let one = TemperatureRates { hot_deg_c: 8.0, ..rates };
        assert_eq!(
            one.result().unwrap_err().to_string(),
            "the two temperatures are both 8 °C; a coefficient wants two that differ"
        );
    }
}
