//! A rate sheet for people.

use super::{ApartTold, BalanceTold, Judged, Told};
use crate::shown;
use crate::text::{self, Cell, Ink, Row, measured, plain, wrapped};
use horology::balance::BalanceFacts;
use horology::findings::Finding;
use horology::isochronism::{Candidate, Match};
use horology::rate_sheet::{Column, Verdict, Wind};
use horology::regulator::Advice;
use words::regulating as said;

pub(super) fn text(told: &Told, ink: Ink) -> String {
    let mut page = Page { lines: vec![ink.bold(&told.path), String::new()], ink };
    for balance in &told.balances {
        page.balance(balance);
    }
    if let Some(apart) = &told.apart {
        page.apart(apart);
    }
    if told.moves_not_seen > 0 {
        let words = format!(
            "Moves left out: {}. No place was read both before and after.",
            told.moves_not_seen
        );
        page.lines.extend(wrapped(&words, "! ").iter().map(|line| ink.warning(line)));
        page.lines.push(String::new());
    }
    let clock = match told.clock_sd_s_per_d > 0.0 {
        true => format!(
            " The clock's uncertainty, {}, is in means and single rates and cancels in differences.",
            said::rate_size(told.clock_sd_s_per_d)
        ),
        false => String::new(),
    };
    let notes = format!("{} Verdicts hold with 95 in 100.{clock}", text::ONE_DEVIATION);
    page.lines.extend(wrapped(&notes, "").iter().map(|line| ink.dim(line)));
    text::joined(&page.lines)
}

/// A verdict in a table.
pub(crate) fn verdict_cell(verdict: Verdict) -> Cell {
    Cell::new("", said::verdict(verdict))
}

struct Page {
    lines: Vec<String>,
    ink: Ink,
}

impl Page {
    fn head(&mut self, words: &str) {
        self.lines.push(self.ink.bold(words));
    }

    fn table(&mut self, rows: &[Row]) {
        self.lines.extend(text::set(rows).iter().map(|line| shown::safe(line).into_owned()));
        self.lines.push(String::new());
    }

    fn said(&mut self, words: &str) {
        self.lines.extend(wrapped(words, "  "));
    }

    fn section(&mut self, head: &str, sentences: Vec<String>) {
        if sentences.is_empty() {
            return;
        }
        self.head(head);
        for sentence in sentences {
            self.said(&sentence);
        }
        self.lines.push(String::new());
    }

    fn balance(&mut self, told: &BalanceTold) {
        self.head(&format!("Balance {}", told.letter));
        self.lines.push(String::new());
        for (wind, column) in &told.columns {
            self.head(&said::sentence(&wind.to_string()).replace('.', ""));
            self.table(&readings(column));
            self.table(&statistics(column));
        }
        let wind = told.columns.first().map_or(Wind::FULL, |(wind, _)| *wind);
        if !told.classes.is_empty() {
            self.head(&format!("Classes of tolerance, {wind}"));
            self.table(&told.classes.iter().flat_map(class).collect::<Vec<_>>());
        }
        self.section("Poise", poise(told));
        self.section("Isochronism", isochronism(told));
        for finding in &told.findings {
            self.finding(finding);
        }
        let wrist = match &told.wrist {
            Ok((rate, worn)) => said::wrist(rate, worn),
            Err(why) => why.clone(),
        };
        self.section("On the wrist", vec![wrist]);
        self.section("Next move", next_moves(told));
    }

    fn finding(&mut self, finding: &Finding) {
        let faint = if finding.is_plain() { "" } else { " (perhaps)" };
        self.head(&format!("{}{faint}", said::sign(finding.sign)));
        for evidence in &finding.evidence {
            self.said(&said::sentence(&said::evidence(evidence)));
        }
        if let Some(cause) = finding.causes.first() {
            let source = bibliography::written_out(cause.source);
            self.said(&format!("Likeliest cause: {} ({source}).", cause.words));
        }
        if let Some(test) = finding.next_tests.first() {
            let source = bibliography::written_out(test.source);
            self.said(&format!("Next test: {}. It tells {} ({source}).", test.words, test.tells));
        }
        self.lines.push(String::new());
    }

    fn apart(&mut self, told: &ApartTold) {
        let [a, b] = &told.letters;
        let mut all = said::brothers([a, b], &told.found);
        for after in &told.after {
            let ahead = said::with_unit(after.a_ahead_s, "s", true);
            let days = plain(after.days, 0);
            let unit = if after.days == 1.0 { "day" } else { "days" };
            all.push(format!("After {days}\u{a0}{unit} hands on {a} are ahead by {ahead}."));
        }
        self.section(&format!("Hands apart, {}", told.wind), all);
    }
}

fn readings(column: &Column) -> Vec<Row> {
    let cell = |number| match number {
        Some(number) => measured(Some(number), false),
        None => Cell::default(),
    };
    let mut rows = vec![Row {
        name: String::new(),
        cells: ["s/d", "°", "ms"].map(|unit| Cell::new(unit, "")).to_vec(),
        unit: "",
    }];
    rows.extend(column.cells().iter().map(|one| Row {
        name: format!("  {}", one.stance),
        cells: vec![
            measured(Some(one.rate_s_per_d), true),
            cell(one.amplitude_deg),
            cell(one.beat_error_ms),
        ],
        unit: "",
    }));
    rows
}

fn statistics(column: &Column) -> Vec<Row> {
    let row = |one: said::Statistic| Row {
        name: format!("  {}", one.words),
        cells: vec![
            measured(Some(one.value), one.is_signed),
            Cell::new("", format!("{}  {}", one.unit, one.note).trim_end()),
        ],
        unit: "",
    };
    said::statistics(column).into_iter().map(row).collect()
}

fn class(class: &Judged) -> Vec<Row> {
    let verdict = verdict_cell(class.outcome.verdict);
    let mut rows = vec![Row { name: format!("  {}", class.name), cells: vec![verdict], unit: "" }];
    let seen = class.outcome.judgements.iter().filter(|limit| limit.found.is_some());
    rows.extend(seen.map(|limit| {
        let found = limit.found.map(|found| found.measured);
        let forecast = if limit.is_forecast { "a forecast" } else { "" };
        Row {
            name: format!("    {}", said::limit(&limit.limit)),
            cells: vec![
                verdict_cell(limit.verdict),
                measured(found, false),
                Cell::new("", forecast),
            ],
            unit: "",
        }
    }));
    rows
}

fn poise(told: &BalanceTold) -> Vec<String> {
    match &told.poise {
        Ok(finding) => {
            let facts = BalanceFacts { beat: told.beat, ..BalanceFacts::default() };
            said::poise(finding, &facts).sentences()
        }
        Err(why) => vec![why.clone()],
    }
}

fn isochronism(told: &BalanceTold) -> Vec<String> {
    let (seen, candidates) = match &told.isochronism {
        Ok(told) => told,
        Err(why) => return vec![why.clone()],
    };
    let mut all = said::isochronism(seen, true);
    let fits = candidates.iter().filter(|one| one.matches == Match::Fits);
    all.extend(fits.map(|one: &Candidate| {
        let cause = said::isochronism_cause(one.cause);
        format!("{cause} fits: {}. To tell it from others: {}.", one.would, one.test)
    }));
    all
}

fn next_moves(told: &BalanceTold) -> Vec<String> {
    let mut all = Vec::new();
    for (_, advice) in &told.advice {
        let (line, reasons) = said::move_now(advice);
        all.push(format!("{line} {}", reasons.join(" ")));
        // Nothing to move by any means is said once.
        if matches!(advice, Advice::Leave { .. } | Advice::ReadLonger { .. }) {
            break;
        }
    }
    if let Some((line, reason)) = told.stud.as_ref().and_then(said::stud_now) {
        all.push(format!("{line} {reason}"));
    }
    all
}
