//! `endshake temperature`: how the rate goes with temperature.

mod told;

use crate::arguments::{TemperatureWishes, TextOrJson};
use crate::balance::impossible;
use crate::failure::{Failure, Status};
use crate::printed;
use crate::text::Ink;
use crate::wire::{self, TemperatureOutcome};
use clap::ColorChoice;
use horology::balance::{
    BalanceError, SpringAndBalance, TemperatureRates, TemperatureResult,
    coefficient_s_per_d_per_deg_c, compensating_expansion_per_deg_c,
};
use quantities::Measured;

/// One in a million.
pub(crate) const PPM: f64 = 1e-6;

/// What was asked for.
pub(crate) enum Told {
    /// From rates.
    Rates(TemperatureResult),
    /// From materials: what they make, and the expansion of the balance, per °C, that would make
    /// nothing.
    Materials {
        coefficient_s_per_d_per_deg_c: Option<Measured>,
        compensating_expansion_per_deg_c: Measured,
    },
}

/// Carries the command out.
pub(crate) fn run(wishes: &TemperatureWishes, color: ColorChoice) -> Result<Status, Failure> {
    let told = told(wishes)?;
    printed::whole(&match wishes.format {
        TextOrJson::Json => wire::line(&TemperatureOutcome::of(&told)),
        TextOrJson::Text => told::text(&told, Ink::for_output(color)),
    })
}

fn told(wishes: &TemperatureWishes) -> Result<Told, Failure> {
    let no = |error: BalanceError| impossible(&error);
    if let (Some(cold), Some(hot)) = (wishes.cold, wishes.hot) {
        let rates = TemperatureRates {
            cold_deg_c: cold.deg_c,
            cold_s_per_d: cold.s_per_d,
            hot_deg_c: hot.deg_c,
            hot_s_per_d: hot.s_per_d,
            middle: wishes.middle.map(|middle| (middle.deg_c, middle.s_per_d)),
        };
        return rates.result().map(Told::Rates).map_err(no);
    }
    let (Some(spring), Some(modulus)) = (wishes.spring_expansion_ppm, wishes.modulus_change_ppm)
    else {
        return Err(Failure::WrongUse(
            "Give rates at two temperatures with --cold and --hot, or the materials with \
             --spring-expansion-ppm and --modulus-change-ppm."
                .into(),
        ));
    };
    let (spring, modulus) = (spring.scaled(PPM), modulus.scaled(PPM));
    let coefficient = wishes.balance_expansion_ppm.map(|balance| {
        coefficient_s_per_d_per_deg_c(&SpringAndBalance {
            balance_expansion_per_deg_c: balance.scaled(PPM),
            spring_expansion_per_deg_c: spring,
            modulus_change_per_deg_c: modulus,
        })
    });
    Ok(Told::Materials {
        coefficient_s_per_d_per_deg_c: coefficient.transpose().map_err(no)?,
        compensating_expansion_per_deg_c: compensating_expansion_per_deg_c(spring, modulus)
            .map_err(no)?,
    })
}
