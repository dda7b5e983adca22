//! A mainspring for people.

use super::{InBarrel, Told};
use crate::text::{self, Cell, Ink, Row, duration, measured_or_exact, plain, wrapped};
use quantities::Measured;
use words::trains::{RUNNING_TIME_NOTE, torque_note};

pub(super) fn text(told: &Told, ink: Ink) -> String {
    let mut lines = vec![ink.bold("Mainspring")];
    lines.extend(text::set(&spring_rows(told, &told.spring)));
    lines.push(String::new());
    warnings(&mut lines, ink, &told.spring);
    if let Some(used) = told.stop_work {
        let words = format!(
            "With the stop-work the spring works from turn {} to turn {}; {} above are never wound.",
            plain(used.from_turn, 1),
            plain(used.to_turn, 1),
            plain(used.unused_above, 1)
        );
        lines.extend(wrapped(&words, ""));
        lines.push(String::new());
    }
    if let Some((new, changes)) = &told.new {
        lines.push(ink.bold("Another spring in its place"));
        let mut rows = spring_rows(told, new);
        rows.push(row("turns, new over old", changes.turns, ""));
        rows.extend(changes.torque.map(|torque| row("torque, new over old", torque, "")));
        lines.extend(text::set(&rows));
        lines.push(String::new());
        warnings(&mut lines, ink, new);
    }
    lines.extend(wrapped(&notes(told), "").iter().map(|line| ink.dim(line)));
    text::joined(&lines)
}

fn warnings(lines: &mut Vec<String>, ink: Ink, spring: &InBarrel) {
    for warning in &spring.warnings {
        let set = wrapped(&warning.to_string(), "! ");
        lines.extend(set.iter().map(|line| ink.warning(line)));
    }
    if !spring.warnings.is_empty() {
        lines.push(String::new());
    }
}

fn notes(told: &Told) -> String {
    let mut notes = String::new();
    if told.spring.torque.is_some() {
        notes.push_str(&torque_note(told.spring.spring.coils_free, told.modulus_gpa));
        notes.push(' ');
    }
    if told.turn_s.is_some() {
        notes.push_str(RUNNING_TIME_NOTE);
        notes.push(' ');
    }
    notes + "Uncertainties are one standard deviation."
}

fn spring_rows(told: &Told, one: &InBarrel) -> Vec<Row> {
    let (spring, fitted) = (&one.spring, &one.fitted);
    let is_first = std::ptr::eq(one, &told.spring);
    let found = |is: bool, name: &str| match is && is_first {
        true => format!("{name}, worked out"),
        false => name.to_owned(),
    };
    let mut rows = vec![
        row(&found(told.thickness_is_found, "thickness"), spring.thickness_mm, "mm"),
        row(&found(told.length_is_best, "length"), spring.length_mm, "mm"),
    ];
    rows.extend(spring.height_mm.map(|height| row("height", height, "mm")));
    if is_first && !told.length_is_best {
        rows.push(exact("best length", plain(told.best_length_mm, 0), "mm"));
    }
    rows.push(exact("fills of the free area", plain(100.0 * fitted.fill(), 1), "%"));
    rows.push(exact("coils run down", plain(fitted.coils_down(), 2), ""));
    rows.push(exact("coils wound up", plain(fitted.coils_up(), 2), ""));
    rows.push(row("turns", fitted.turns(), ""));
    if let Some(turn_s) = told.turn_s {
        let runs = duration(fitted.runs_s(turn_s).value);
        rows.push(exact("runs at most", runs, ""));
    }
    rows.extend(
        fitted.height_clearance_mm().map(|mm| exact("clearance in height", plain(mm, 2), "mm")),
    );
    for (turns, torque) in one.torque_curve() {
        rows.push(row(&format!("torque after {} turns", plain(turns, 2)), torque, "N mm"));
    }
    rows
}

fn row(name: &str, value: Measured, unit: &'static str) -> Row {
    Row { name: name.into(), cells: vec![measured_or_exact(value)], unit }
}

fn exact(name: &str, number: String, unit: &'static str) -> Row {
    Row { name: name.into(), cells: vec![Cell::new(number, "")], unit }
}
