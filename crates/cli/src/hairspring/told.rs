//! A hairspring for people.

use super::Told;
use crate::text::{self, Ink, Row, measured_or_exact, plain, rate_change, signed, wrapped};
use quantities::Measured;
use words::sums;

pub(super) fn text(told: &Told, ink: Ink) -> String {
    let (head, rows, note) = match told {
        Told::Length { wished, length } => (
            format!("Hairspring for {} beats an hour", plain(wished.per_hour(), 0)),
            text::sums(&sums::hairspring(length)),
            sums::hairspring_note(length),
        ),
        Told::Shortened { share, change } => (
            format!(
                "Spring {} by {} %",
                if share.value < 0.0 { "let out" } else { "shortened" },
                words::figures(100.0 * share.value.abs(), 4)
            ),
            rate_change(change),
            "Taken off at the inner end, what it does to the isochronism may matter more.".into(),
        ),
        Told::Wanted { s_per_d, share, take_off_mm } => {
            let what = if *share < 0.0 { "let out" } else { "take off" };
            let size = |value: Measured| Measured::new(value.value.abs(), value.sd);
            let per_cent = size(Measured::new(100.0 * share, 0.0));
            let mut rows = vec![row(what, per_cent, "%")];
            rows.extend(take_off_mm.map(|mm| row(what, size(mm), "mm")));
            (format!("For {} s/d", signed(*s_per_d, 1)), rows, String::new())
        }
    };
    let mut lines = vec![ink.bold(&head)];
    lines.extend(text::set(&rows));
    lines.push(String::new());
    let notes = format!("{note} {}", text::ONE_DEVIATION);
    lines.extend(wrapped(notes.trim(), "").iter().map(|line| ink.dim(line)));
    text::joined(&lines)
}

fn row(name: &str, value: Measured, unit: &'static str) -> Row {
    Row { name: name.into(), cells: vec![measured_or_exact(value)], unit }
}
