//! Heat and cold for people.

use super::{PPM, Told};
use crate::text::{self, Ink, Row, signed_or_exact, wrapped};
use quantities::Measured;

pub(super) fn text(told: &Told, ink: Ink) -> String {
    let mut lines = vec![ink.bold("Rate and temperature")];
    let mut note = String::new();
    let rows = match told {
        Told::Rates(result) => {
            let mut rows = vec![
                row("change of the rate", result.coefficient_s_per_d_per_deg_c, "s/d per °C"),
                row("hot less cold", result.hot_less_cold_s_per_d, "s/d"),
            ];
            rows.extend(result.middle_error_s_per_d.map(|middle| {
                note =
                    "Middle-temperature error: how much faster it is between than a straight line \
                        from cold to hot says. "
                        .into();
                row("middle-temperature error", middle, "s/d")
            }));
            rows
        }
        Told::Materials { coefficient_s_per_d_per_deg_c, compensating_expansion_per_deg_c } => {
            let mut rows = Vec::new();
            rows.extend(
                coefficient_s_per_d_per_deg_c.map(|c| row("change of the rate", c, "s/d per °C")),
            );
            let compensating = compensating_expansion_per_deg_c.scaled(1.0 / PPM);
            rows.push(row("balance's expansion that compensates", compensating, "ppm per °C"));
            note = "Negative: the masses must go inwards in heat. ".into();
            rows
        }
    };
    lines.extend(text::set(&rows));
    lines.push(String::new());
    let notes = format!("{note}{}", text::ONE_DEVIATION);
    lines.extend(wrapped(&notes, "").iter().map(|line| ink.dim(line)));
    text::joined(&lines)
}

fn row(name: &str, value: Measured, unit: &'static str) -> Row {
    Row { name: name.into(), cells: vec![signed_or_exact(value)], unit }
}
