//! A movement's trains for people.

use super::Told;
use crate::shown;
use crate::text::{self, Cell, Ink, Row, duration, plain, wrapped};
use horology::train::Ratio;
use words::trains::{gains, gains_as_measured, sense, to_four_decimals, verdict};

pub(super) fn text(told: &Told, ink: Ink) -> String {
    let parts = told.input.calibre.movement.parts();
    let running = &told.running;
    let mut lines = vec![ink.bold(told.input.shown())];
    let counts = [
        counted(parts.arbors.len(), "arbor"),
        counted(parts.meshes.len(), "mesh"),
        counted(parts.balances.len(), "balance"),
        counted(parts.hands.len(), "hand"),
        counted(parts.barrels.len(), "barrel"),
    ];
    lines.push(ink.dim(&counts.join(" · ")));
    lines.push(String::new());
    for problem in &running.problems {
        let set = wrapped(&problem.to_string(), "! ");
        lines.extend(set.iter().map(|line| ink.warning(line)));
        lines.push(String::new());
    }
    section(&mut lines, ink, "Beats", balances(told));
    section(&mut lines, ink, "Hands", hands(told));
    section(&mut lines, ink, "Barrels", barrels(told));
    section(&mut lines, ink, "Turns", turns(told));
    section(&mut lines, ink, "Teeth", teeth(told));
    section(&mut lines, ink, "What repeats", cycles(told));
    for seen in &told.seen {
        let words = format!(
            "Where the hand {} {}, balance {} makes {} beats an hour.",
            seen.hand,
            gains(seen.s_per_d),
            seen.balance,
            to_four_decimals(seen.beats_per_hour)
        );
        lines.extend(wrapped(&words, ""));
    }
    while lines.last().is_some_and(String::is_empty) {
        lines.pop();
    }
    text::joined(&lines)
}

fn section(lines: &mut Vec<String>, ink: Ink, head: &str, rows: Vec<Row>) {
    if !rows.is_empty() {
        lines.push(ink.bold(head));
        lines.extend(text::set(&rows).iter().map(|line| shown::safe(line).into_owned()));
        lines.push(String::new());
    }
}

fn counted(count: usize, what: &str) -> String {
    match (count, what.ends_with("sh")) {
        (1, _) => format!("1 {what}"),
        (count, true) => format!("{count} {what}es"),
        (count, false) => format!("{count} {what}s"),
    }
}

fn row(name: &str, cells: Vec<Cell>, unit: &'static str) -> Row {
    Row { name: format!("  {name}"), cells, unit }
}

fn balances(told: &Told) -> Vec<Row> {
    let balances = told.input.calibre.movement.parts().balances.iter();
    let runs = told.running.balances.iter();
    let each = balances.zip(runs).map(|(balance, runs)| {
        let number = runs.beats_per_hour.map_or_else(unknown, |b| to_four_decimals(b.to_f64()));
        row(&format!("balance {}", balance.name), vec![Cell::new(number, "")], "per hour")
    });
    each.collect()
}

fn hands(told: &Told) -> Vec<Row> {
    let parts = told.input.calibre.movement.parts();
    let each = parts.hands.iter().zip(&told.running.hands).zip(&told.measured_rates);
    let each = each.map(|((hand, runs), measured)| {
        let turn = runs.turn_s.map_or_else(unknown, |s| duration(s.to_f64()));
        let balance = runs
            .balance
            .map_or_else(String::new, |at| format!("on balance {}", parts.balances[at].name));
        let mut words = verdict(runs);
        if let Some(rate) = measured {
            words = format!("{words}, as measured {}", gains_as_measured(*rate));
        }
        row(&hand.name, vec![Cell::new(turn, words), Cell::new("", balance)], "")
    });
    each.collect()
}

fn barrels(told: &Told) -> Vec<Row> {
    let barrels = told.input.calibre.movement.parts().barrels.iter();
    let each = barrels.zip(&told.running.barrels).map(|(barrel, runs)| {
        let turn = match runs.turn_s {
            Some(turn_s) => Cell::new(duration(turn_s.to_f64()), "a turn"),
            None => Cell::new("", "turns while it winds another"),
        };
        let turns = runs.turns.map_or_else(String::new, |t| plain(t.to_f64(), 1) + " turns");
        let runs =
            runs.runs_s.map_or_else(String::new, |s| format!("at most {}", duration(s.to_f64())));
        row(&format!("barrel {}", barrel.name), vec![turn, Cell::new(turns, runs)], "")
    });
    each.collect()
}

fn turns(told: &Told) -> Vec<Row> {
    let arbors = told.input.calibre.movement.parts().arbors.iter();
    let each = arbors.zip(&told.running.arbors).map(|(arbor, runs)| {
        let sense = runs.sense.map_or("", sense);
        row(
            &arbor.name,
            vec![Cell::new(runs.turn_s.map_or_else(unknown, seconds), "s"), Cell::new("", sense)],
            "",
        )
    });
    each.collect()
}

fn teeth(told: &Told) -> Vec<Row> {
    let movement = &told.input.calibre.movement;
    let each = movement.parts().meshes.iter().zip(&told.running.meshes).map(|(mesh, runs)| {
        let [one, other] = mesh.between.map(|at| movement.toothed_name(at));
        let again = runs.repeat_s.map_or_else(unknown, |s| duration(s.to_f64()));
        let cells = vec![
            Cell::new(runs.tooth_s.map_or_else(unknown, seconds), "s"),
            Cell::new(again, "until the same teeth meet"),
        ];
        row(&format!("{one}, {other}"), cells, "")
    });
    each.collect()
}

fn cycles(told: &Told) -> Vec<Row> {
    let each = told.cycles.iter().flatten().map(|cycle| {
        let in_beats =
            cycle.beats.map_or_else(String::new, |beats| to_four_decimals(beats.to_f64()));
        let unit = if in_beats.is_empty() { "" } else { "beats" };
        let cells = vec![Cell::new(seconds(cycle.period_s), "s"), Cell::new(in_beats, unit)];
        row(&cycle.name, cells, "")
    });
    each.collect()
}

fn unknown() -> String {
    "–".into()
}

fn seconds(ratio: Ratio) -> String {
    to_four_decimals(ratio.to_f64())
}
