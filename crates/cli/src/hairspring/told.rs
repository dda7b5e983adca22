//! A hairspring for people.

use super::Told;
use crate::text::{self, Ink, Row, measured_or_exact, plain, rate_change, signed, wrapped};
use horology::balance::SpringLength;
use quantities::Measured;

pub(super) fn text(told: &Told, ink: Ink) -> String {
    let (head, rows, note) = match told {
        Told::Length { wished, length } => (
            format!("Hairspring for {} beats an hour", plain(wished.per_hour(), 0)),
            length_rows(length),
            format!(
                "Counting leaves {} s/d open: the index must be able to take that up.",
                words::figures(length.rate_sd.s_per_d().abs(), 2)
            ),
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

fn length_rows(length: &SpringLength) -> Vec<Row> {
    let far = length.move_mm;
    let (way, far) = match far.value < 0.0 {
        true => ("hold it further in by", far.scaled(-1.0)),
        false => ("hold it further out by", far),
    };
    vec![
        row("beats an hour at the trial length", length.trial_beats_per_hour, ""),
        row("active length", length.active_length_mm, "mm"),
        row(way, far, "mm"),
    ]
}

fn row(name: &str, value: Measured, unit: &'static str) -> Row {
    Row { name: name.into(), cells: vec![measured_or_exact(value)], unit }
}
