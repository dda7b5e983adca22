//! What a check has found, for people.

use crate::arguments::CheckWishes;
use crate::shown;
use crate::text::{self, Ink};
use doctor::size;
use store::{Checked, Places};

pub(super) fn text(places: &Places, wishes: &CheckWishes, checked: &Checked, ink: Ink) -> String {
    let mut lines = vec![ink.bold(&shown::safe(&places.database.shown()))];
    let (records, media) = (checked.records, checked.media);
    lines.push(ink.dim(&format!(
        "{records} {} · {media} {} · {}",
        if records == 1 { "record" } else { "records" },
        if media == 1 { "sound or photo" } else { "sounds and photos" },
        size(checked.media_bytes),
    )));
    lines.push(String::new());
    if checked.faults.is_empty() {
        lines.push("All is there and as it was.".into());
    }
    for fault in &checked.faults {
        let set = text::wrapped(&shown::safe(&fault.to_string()), "! ");
        lines.extend(set.iter().map(|line| ink.warning(line)));
    }
    let left_over = checked.left_over.len();
    if left_over > 0 {
        let files = if left_over == 1 { "file belongs" } else { "files belong" };
        let what = format!("{left_over} {files} to nothing ({})", size(checked.left_over_bytes));
        let then = if checked.swept {
            ": removed."
        } else if wishes.sweep {
            ". Not removed, because something is wrong or the database is empty: it may be the \
             wrong one for this folder."
        } else {
            ". That is no loss; remove them with --sweep."
        };
        lines.extend(text::wrapped(&(what + then), ""));
    }
    text::joined(&lines)
}
