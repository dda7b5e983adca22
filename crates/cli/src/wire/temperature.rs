//! `endshake.temperature/1`: what `temperature --format json` prints.

use super::numbers::WithSd;
use crate::temperature::Told;
use serde::Serialize;

/// How the rate goes with temperature; null is what was not asked for.
#[derive(Debug, Default, Serialize)]
pub(crate) struct TemperatureOutcome {
    schema: &'static str,
    coefficient_s_per_d_per_deg_c: Option<WithSd>,
    hot_less_cold_s_per_d: Option<WithSd>,
    middle_error_s_per_d: Option<WithSd>,
    compensating_expansion_per_deg_c: Option<WithSd>,
}

impl TemperatureOutcome {
    pub(crate) fn of(told: &Told) -> Self {
        let schema = "endshake.temperature/1";
        match told {
            Told::Rates(result) => Self {
                schema,
                coefficient_s_per_d_per_deg_c: Some(result.coefficient_s_per_d_per_deg_c.into()),
                hot_less_cold_s_per_d: Some(result.hot_less_cold_s_per_d.into()),
                middle_error_s_per_d: result.middle_error_s_per_d.map(WithSd::from),
                compensating_expansion_per_deg_c: None,
            },
            Told::Materials { coefficient_s_per_d_per_deg_c, compensating_expansion_per_deg_c } => {
                Self {
                    schema,
                    coefficient_s_per_d_per_deg_c: coefficient_s_per_d_per_deg_c.map(WithSd::from),
                    compensating_expansion_per_deg_c: Some(
                        (*compensating_expansion_per_deg_c).into(),
                    ),
                    ..Self::default()
                }
            }
        }
    }
}
