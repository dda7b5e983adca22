//! A balance for people.

use super::{KG_PER_MG, Told, Wanted, as_people_count};
use crate::text::{self, Cell, Ink, Row, measured_or_exact, plain, rate_change, signed, wrapped};
use horology::balance::Piece;
use words::regulating::with_unit;

pub(super) fn text(told: &Told, ink: Ink) -> String {
    let mut lines = Vec::new();
    let rows = rows(told);
    if !rows.is_empty() {
        lines.push(ink.bold("Balance and spring"));
        lines.extend(text::set(&rows));
        lines.push(String::new());
    }
    let open = [Piece::PeriodS, Piece::InertiaKgM2, Piece::StiffnessNMPerRad];
    for piece in open.into_iter().filter(|_| !rows.is_empty()) {
        if let Err(open) = told.completed.require(piece) {
            lines.extend(wrapped(&words::regulating::sentence(&open.to_string()), ""));
            lines.push(String::new());
        }
    }
    if let Some(change) = &told.change {
        lines.push(ink.bold("What the masses do"));
        lines.extend(text::set(&rate_change(change)));
        lines.push(String::new());
    }
    if let Some(wanted) = &told.wanted {
        lines.push(ink.bold(&format!("For {} s/d", signed(wanted.s_per_d, 1))));
        lines.extend(wanted_words(wanted).iter().flat_map(|words| wrapped(words, "")));
        lines.push(String::new());
    }
    lines.extend(wrapped(text::ONE_DEVIATION, "").iter().map(|line| ink.dim(line)));
    text::joined(&lines)
}

fn rows(told: &Told) -> Vec<Row> {
    let mut rows = Vec::new();
    for piece in Piece::ALL {
        let Some(value) = told.completed.get(piece) else { continue };
        let (name, unit, per_si) = as_people_count(piece);
        let from = told.completed.came_from(piece);
        let from = match from {
            [own] if *own == piece => "given".to_owned(),
            from => format!("from {}", listed(from)),
        };
        let value = measured_or_exact(value.scaled(per_si));
        if piece == Piece::PeriodS
            && let Some(beats) = told.beats_per_hour
        {
            let cells = vec![measured_or_exact(beats), Cell::new("", "per hour")];
            rows.push(Row { name: "beats".into(), cells, unit: "" });
        }
        let from = Cell::new("", format!("{unit}, {from}"));
        rows.push(Row { name: name.into(), cells: vec![value, from], unit: "" });
    }
    rows
}

fn listed(pieces: &[Piece]) -> String {
    let words: Vec<&str> = pieces.iter().map(|piece| piece.words()).collect();
    match words.split_last() {
        Some((last, [])) => (*last).to_owned(),
        Some((last, others)) => format!("{} and {last}", others.join(", ")),
        None => String::new(),
    }
}

fn wanted_words(wanted: &Wanted) -> Vec<String> {
    let per_cent = 100.0 * wanted.inertia_share;
    let mut all = vec![format!("The inertia must change by {}\u{a0}%.", signed(per_cent, 4))];
    if let Some((radius_mm, mass_kg)) = wanted.mass {
        let mass_mg = mass_kg.scaled(1.0 / KG_PER_MG);
        let (what, mass_mg) = match mass_mg.value < 0.0 {
            true => ("Take off", mass_mg.scaled(-1.0)),
            false => ("Put on", mass_mg),
        };
        let mass = match mass_mg.sd > 0.0 {
            true => with_unit(mass_mg, "mg", false),
            false => format!("{}\u{a0}mg", words::figures(mass_mg.value, 4)),
        };
        all.push(format!(
            "{what} {mass} in all at {} mm: halves of it opposite each other keep the poise.",
            plain(radius_mm, 2)
        ));
    }
    all
}
