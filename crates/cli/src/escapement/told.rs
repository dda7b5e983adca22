//! An escapement for people.

use super::Told;
use crate::text::{self, Ink, wrapped};
use words::sums::{self, Sum};

pub(super) fn text(told: &Told, ink: Ink) -> String {
    let mut told_sums: Vec<Sum> = Vec::new();
    let mut notes = String::new();
    if let Some((seen, lift)) = told.by_sight {
        told_sums.extend(sums::by_sight(seen, lift));
        notes.push_str(sums::SIGHT_NOTE);
        notes.push(' ');
    }
    if let Some(work) = &told.work {
        told_sums.extend(sums::lever(work));
        notes.push_str(sums::LEVER_NOTE);
        notes.push(' ');
    }
    told_sums.extend(told.free_arc_deg.map(sums::free_arc));
    told_sums.extend(told.locking_arc_deg.map(sums::locking_arc));
    told_sums.extend(told.drop_deg.into_iter().flat_map(|deg| sums::drop(deg, told.drop_mm)));
    let mut lines = vec![ink.bold("Escapement")];
    lines.extend(text::set(&text::sums(&told_sums)));
    lines.push(String::new());
    notes.push_str(text::ONE_DEVIATION);
    lines.extend(wrapped(&notes, "").iter().map(|line| ink.dim(line)));
    text::joined(&lines)
}
