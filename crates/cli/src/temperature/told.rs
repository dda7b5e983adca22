//! Heat and cold for people.

use super::Told;
use crate::text::{self, Ink, wrapped};
use words::sums;

pub(super) fn text(told: &Told, ink: Ink) -> String {
    let mut lines = vec![ink.bold("Rate and temperature")];
    let (told_sums, note) = match told {
        Told::Rates(result) => {
            let middle = result.middle_error_s_per_d.is_some();
            (sums::temperature(result), if middle { sums::MIDDLE_NOTE } else { "" })
        }
        Told::Materials { coefficient_s_per_d_per_deg_c, compensating_expansion_per_deg_c } => (
            sums::materials(*coefficient_s_per_d_per_deg_c, *compensating_expansion_per_deg_c),
            sums::COMPENSATING_NOTE,
        ),
    };
    lines.extend(text::set(&text::sums(&told_sums)));
    lines.push(String::new());
    let notes = format!("{note} {}", text::ONE_DEVIATION);
    lines.extend(wrapped(notes.trim(), "").iter().map(|line| ink.dim(line)));
    text::joined(&lines)
}
