//! Teeth that were found, for people.

use super::Found;
use crate::shown;
use crate::text::{self, Cell, Ink, Row, plain, signed, wrapped};
use horology::train::missing::Answer;
use words::trains::sought;

pub(super) fn text(found: &Found, ink: Ink) -> String {
    let answers = &found.answers;
    let mut lines = vec![ink.bold(found.input.shown())];
    let words = sought(&found.input.calibre.movement, &found.wanted.unknowns, answers);
    lines.extend(wrapped(&words, "").iter().map(|line| ink.dim(line)));
    lines.push(String::new());
    if answers.good.is_empty() {
        let none = format!("Nothing is within {} s/d.", plain(found.wanted.within_s_per_d, 1));
        lines.extend(wrapped(&format!("{none} The nearest, which are no answer:"), "! "));
    }
    let shown: Vec<&Answer> =
        answers.good.iter().take(found.most).chain(&answers.nearest).collect();
    let mut rows = text::set(&table(found, &shown)).into_iter();
    lines.extend(rows.next().map(|head| ink.bold(&head)));
    lines.extend(rows.map(|row| shown::safe(&row).into_owned()));
    let more = answers.good.len().saturating_sub(found.most);
    if more > 0 {
        lines.push(String::new());
        lines.push(ink.dim(&format!("{more} more: --most {}", answers.good.len())));
    }
    text::joined(&lines)
}

fn table(found: &Found, shown: &[&Answer]) -> Vec<Row> {
    let mut head: Vec<Cell> = found.names().into_iter().map(|name| Cell::new(name, "")).collect();
    head.extend(found.answers.judged_by.iter().map(|judged| Cell::new(judged.clone(), "")));
    let head = Row { name: String::new(), cells: head, unit: "" };
    let rows = shown.iter().map(|answer| {
        let teeth = answer.teeth.iter().map(|teeth| Cell::new(teeth.to_string(), ""));
        let rates = answer.rates.iter().map(|rate| match rate.s_per_d() {
            0.0 => Cell::new("right", ""),
            rate => Cell::new(signed(rate, 1), "s/d"),
        });
        Row { name: String::new(), cells: teeth.chain(rates).collect(), unit: "" }
    });
    std::iter::once(head).chain(rows).collect()
}
