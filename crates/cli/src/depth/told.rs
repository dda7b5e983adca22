//! Sizes of wheels for people.

use super::{Pair, Sizes};
use crate::text::{self, Ink, Row, measured_or_exact, wrapped};
use quantities::Measured;
use words::sums;

pub(super) fn text(sizes: &Sizes, ink: Ink) -> String {
    let (head, rows, note) = match sizes {
        Sizes::Pair(pair) => of_pair(pair),
        Sizes::EscapeWheel { teeth, over_three_teeth_mm, full_diameter_mm } => (
            format!("Escape wheel of {teeth} teeth"),
            text::sums(&sums::escape_wheel(*over_three_teeth_mm, *full_diameter_mm)),
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
    let (wheel, pinion) = (pair.wheel_full_diameter_mm, pair.pinion_full_diameter_mm);
    let rows = text::sums(&sums::depth(&pair.depth, wheel, pinion));
    let note = sums::depth_note(pair.addenda);
    (format!("Wheel of {} and pinion of {}", pair.wheel, pair.pinion), rows, note)
}

fn exactly(mm: f64) -> Measured {
    Measured::new(mm, 0.0)
}

fn row(name: &str, mm: Measured) -> Row {
    Row { name: name.into(), cells: vec![measured_or_exact(mm)], unit: "mm" }
}
