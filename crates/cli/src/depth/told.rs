//! Sizes of wheels for people.

use super::{Pair, Sizes};
use crate::text::{self, Ink, Row, measured_or_exact, wrapped};
use quantities::Measured;

pub(super) fn text(sizes: &Sizes, ink: Ink) -> String {
    let (head, rows, note) = match sizes {
        Sizes::Pair(pair) => of_pair(pair),
        Sizes::EscapeWheel { teeth, over_three_teeth_mm, full_diameter_mm } => (
            format!("Escape wheel of {teeth} teeth"),
            vec![
                row("over three teeth", *over_three_teeth_mm),
                row("full diameter", *full_diameter_mm),
            ],
            String::new(),
        ),
        Sizes::Barrel { plate_diameter_mm, usual_mm, most_mm } => (
            "Barrel".to_owned(),
            vec![
                row("pillar plate", exactly(*plate_diameter_mm)),
                row("usual diameter over the teeth", exactly(*usual_mm)),
                row("most, where the teeth can sit low", exactly(*most_mm)),
            ],
            "A rule of thumb: 0.47 of the plate, up to 0.485.".to_owned(),
        ),
    };
    let mut lines = vec![ink.bold(&head)];
    lines.extend(text::set(&rows));
    if !note.is_empty() {
        lines.push(String::new());
        lines.extend(wrapped(&note, "").iter().map(|line| ink.dim(line)));
    }
    text::joined(&lines)
}

fn of_pair(pair: &Pair) -> (String, Vec<Row>, String) {
    let depth = &pair.depth;
    let rows = vec![
        row("module", depth.module_mm()),
        row("centre distance", depth.centre_distance_mm()),
        row("wheel, pitch radius", depth.wheel_pitch_radius_mm()),
        row("wheel, full diameter", pair.wheel_full_diameter_mm),
        row("pinion, pitch radius", depth.pinion_pitch_radius_mm()),
        row("pinion, full diameter", pair.pinion_full_diameter_mm),
    ];
    let note = format!(
        "Full diameters with addenda of {} and {} modules. Tables for cutters differ: measure what is \
         left of the old wheel, where there is something.",
        pair.addenda.wheel_modules, pair.addenda.pinion_modules
    );
    (format!("Wheel of {} and pinion of {}", pair.wheel, pair.pinion), rows, note)
}

fn exactly(mm: f64) -> Measured {
    Measured::new(mm, 0.0)
}

fn row(name: &str, mm: Measured) -> Row {
    Row { name: name.into(), cells: vec![measured_or_exact(mm)], unit: "mm" }
}
