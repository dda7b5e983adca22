//! The two maps of the study `two`: what became of the recordings, and how large the errors are.

use crate::families::{Cell, FAINTER_DB, LAGS_MS, RATE_DIFFERENCES_S_PER_D, cell};
use crate::map::{Map, Panel, Shares, Swatch};
use crate::one::Case;
use crate::outcome::{Outcome, Outcomes};
use crate::verdict::Quantity;

/// Colours of M. Okabe and K. Ito, "Color Universal Design" (2002, revised 2008), figure 16:
/// bluish green, its tint, a grey, orange; a dark red with a cross for what must not be.
fn swatch(outcome: Outcome) -> Swatch {
    match outcome {
        Outcome::Right => Swatch::plain("#009e73"),
        Outcome::Coarse => Swatch::plain("#8fd3be"),
        Outcome::Admitted => Swatch::plain("#c9ccd0"),
        Outcome::Unsaid => Swatch::plain("#e69f00"),
        Outcome::Wrong => Swatch::crossed("#b3261e"),
    }
}

/// What became of the recordings of every cell.
pub(crate) fn outcome_map(cases: &[Case], title: &str) -> Map {
    let fill = |here: &[&Case]| {
        let counts: Outcomes = here.iter().map(|c| Outcome::of(&c.verdict)).collect();
        let share = |o| counts.of(o) as f64 / counts.total().max(1) as f64;
        Outcome::ALL.map(|o| (swatch(o), share(o))).to_vec()
    };
    let key = Outcome::ALL.map(|o| (swatch(o), o.name().to_owned())).to_vec();
    let panels = FAINTER_DB.map(|db| panel(loudness(db), cases, db, fill)).into();
    map(format!("Two balances. {title}"), key, panels, 2)
}

/// Steps of the error map: largest error in the cell as a part of what matters at the bench.
/// Single-hued from light to dark, so that they stand in order for everybody.
const STEPS: [(f64, Swatch, &str); 5] = [
    (0.1, Swatch::plain("#e3eef7"), "to a tenth of the limit"),
    (0.33, Swatch::plain("#a9cde6"), "to a third"),
    (1.0, Swatch::plain("#56a0d3"), "to the limit"),
    (3.0, Swatch::plain("#0072b2"), "to three times"),
    (f64::INFINITY, Swatch::plain("#00304d"), "beyond"),
];
const NOTHING: Swatch = Swatch::plain("#f1efe9");

/// The largest error that was claimed in every cell, for each quantity.
pub(crate) fn error_map(cases: &[Case]) -> Map {
    let mut panels = Vec::new();
    for quantity in Quantity::ALL {
        let fill = |here: &[&Case]| {
            let values = here.iter().flat_map(|c| &c.verdict.values);
            let errors = values.filter(|v| v.quantity == quantity).filter_map(|v| v.claim);
            let largest = errors.map(|(error, _)| error.abs()).reduce(f64::max);
            vec![(largest.map_or(NOTHING, |e| step(e / quantity.limit())), 1.0)]
        };
        panels.extend(FAINTER_DB.map(|db| {
            let limit = format!("{} {}", quantity.limit(), quantity.unit());
            panel(format!("{} (limit {limit}), {}", quantity.name(), loudness(db)), cases, db, fill)
        }));
    }
    let mut key: Vec<(Swatch, String)> =
        STEPS.iter().map(|(_, swatch, name)| (*swatch, (*name).to_owned())).collect();
    key.push((NOTHING, "nothing claimed".to_owned()));
    map("Two balances. Largest error in each cell".to_owned(), key, panels, FAINTER_DB.len())
}

/// An error that is not a number is as large as any.
fn step(of_limit: f64) -> Swatch {
    STEPS.iter().find(|s| of_limit <= s.0).unwrap_or(&STEPS[STEPS.len() - 1]).1
}

fn loudness(fainter_db: f64) -> String {
    if fainter_db == 0.0 {
        "equally loud".to_owned()
    } else {
        format!("second {fainter_db} dB fainter")
    }
}

fn panel(
    title: String,
    cases: &[Case],
    fainter_db: f64,
    fill: impl Fn(&[&Case]) -> Shares,
) -> Panel {
    let of_cell = |lag_ms, rate_difference_s_per_d| {
        let place = Cell { lag_ms, rate_difference_s_per_d, fainter_db };
        fill(&cases.iter().filter(|c| cell(c.seed) == place).collect::<Vec<_>>())
    };
    let cells = RATE_DIFFERENCES_S_PER_D
        .map(|difference| LAGS_MS.map(|lag_ms| of_cell(lag_ms, difference)).to_vec());
    Panel { title, cells: cells.to_vec() }
}

fn map(
    title: String,
    key: Vec<(Swatch, String)>,
    panels: Vec<Panel>,
    panels_in_a_row: usize,
) -> Map {
    Map {
        title,
        across: "lag between their beats in mid-recording, ms".to_owned(),
        across_labels: LAGS_MS.map(|l| l.to_string()).to_vec(),
        down: "difference of their rates, s/d".to_owned(),
        down_labels: RATE_DIFFERENCES_S_PER_D.map(|d| d.to_string()).to_vec(),
        key,
        panels,
        panels_in_a_row,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_by_hand() {
        let fills = [0.05, 0.2, 0.9, 2.0, 50.0, f64::NAN].map(step);
        let expected = [0, 1, 2, 3, 4, 4].map(|n: usize| STEPS[n].1);
        assert_eq!(fills, expected);
    }
}
