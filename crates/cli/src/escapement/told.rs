//! An escapement for people.

use super::Told;
use crate::text::{self, Ink, Row, measured_or_exact, wrapped};
use quantities::Measured;

pub(super) fn text(told: &Told, ink: Ink) -> String {
    let mut rows = Vec::new();
    let mut notes = String::new();
    if let Some((seen, lift)) = told.by_sight {
        rows.push(row("amplitude as it was seen", seen, "°"));
        rows.push(row("lift angle", lift, "°"));
        notes.push_str(
            "The lift angle's uncertainty is mostly that of the eye, and goes into every amplitude of \
             this watch. ",
        );
    }
    if let Some(work) = &told.work {
        rows.push(row("lock and run, fork", work.total_lock_deg, "°"));
        rows.push(row("lift, fork", work.lift_deg, "°"));
        rows.push(row("banking to drop, fork", work.fork_to_drop_deg, "°"));
        rows.push(row("to unlock, balance", work.balance_to_unlock_deg, "°"));
        rows.push(row("lift angle, balance", work.balance_lift_deg, "°"));
        notes.push_str("Angle of the fork times the ratio is exact on the line of centres only. ");
    }
    let exact = [
        ("free of the fork, of the whole arc", told.free_arc_deg, "°"),
        ("between the two lockings, wheel", told.locking_arc_deg, "°"),
        ("drop, wheel", told.drop_deg, "°"),
        ("drop at the rim", told.drop_mm, "mm"),
    ];
    rows.extend(
        exact
            .into_iter()
            .filter_map(|(name, value, unit)| Some(row(name, Measured::new(value?, 0.0), unit))),
    );
    let mut lines = vec![ink.bold("Escapement")];
    lines.extend(text::set(&rows));
    lines.push(String::new());
    notes.push_str(text::ONE_DEVIATION);
    lines.extend(wrapped(&notes, "").iter().map(|line| ink.dim(line)));
    text::joined(&lines)
}

fn row(name: &str, value: Measured, unit: &'static str) -> Row {
    Row { name: name.into(), cells: vec![measured_or_exact(value)], unit }
}
