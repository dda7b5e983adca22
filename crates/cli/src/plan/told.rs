//! A plan for people, step by step.

use super::planned::{Planned, ToDo};
use crate::arguments::PlanWishes;
use crate::standard_input;
use crate::text::{self, Ink, wrapped};
use rebuild::{Action, Advice, Rule, Side, StepId, Verdict, WorkItem, WorkRef};
use std::collections::HashMap;
use words::bench;

/// Columns that a number and the space behind it take; all that belongs to it stands behind them.
const NUMBER: usize = 5;

pub(super) fn text(wishes: &PlanWishes, planned: &Planned, ink: Ink) -> String {
    let mut telling = Telling { planned, ink, sources: wishes.sources, lines: Vec::new() };
    telling.head(&standard_input::shown(&wishes.log));
    telling.noticed();
    telling.missed();
    telling.loops();
    telling.twins();
    telling.plan();
    telling.end();
    text::joined(&telling.lines)
}

struct Telling<'a> {
    planned: &'a Planned,
    ink: Ink,
    sources: bool,
    lines: Vec<String>,
}

impl Telling<'_> {
    fn plain(&mut self, mark: &str, words: &str) {
        self.lines.extend(wrapped(words, mark));
    }

    fn dim(&mut self, mark: &str, words: &str) {
        let ink = self.ink;
        self.lines.extend(wrapped(words, mark).iter().map(|line| ink.dim(line)));
    }

    fn bold(&mut self, mark: &str, words: &str) {
        let ink = self.ink;
        self.lines.extend(wrapped(words, mark).iter().map(|line| ink.bold(line)));
    }

    fn warning(&mut self, mark: &str, words: &str) {
        let ink = self.ink;
        self.lines.extend(wrapped(words, mark).iter().map(|line| ink.warning(line)));
    }

    /// An empty line, where there is none yet.
    fn gap(&mut self) {
        if self.lines.last().is_some_and(|line| !line.is_empty()) {
            self.lines.push(String::new());
        }
    }

    fn head(&mut self, file: &str) {
        let planned = self.planned;
        let title = planned.title.trim();
        self.bold("", if title.is_empty() { file } else { title });
        let state = planned.state();
        let screws = state.steps().flat_map(|step| &step.screws);
        let screws: u64 = screws.map(|set| u64::from(set.screws.count)).sum();
        let facts = [
            counted(planned.log.entries().len() as u64, "entry", "entries"),
            counted(state.steps().len() as u64, "step", "steps"),
            counted(state.part_count() as u64, "part", "parts"),
            counted(screws, "screw", "screws"),
            counted(planned.plan.turnings() as u64, "turning to come", "turnings to come"),
        ];
        let mut facts = facts.join(" · ");
        if state.groups().len() > 1 {
            facts.push_str(" · trains ");
            facts.push_str(planned.trains.words());
        }
        self.dim("", &facts);
    }

    fn noticed(&mut self) {
        self.gap();
        for noticed in self.planned.noticed() {
            self.warning("! ", &noticed.message);
        }
    }

    fn missed(&mut self) {
        let missed: Vec<&WorkItem> = self.planned.missed().collect();
        for item in missed {
            let Some(words) = self.work_words(item) else { continue };
            let then = "What closes it off is in already: take that out again, or skip the work \
                        with a reason.";
            self.warning("! ", &format!("Missed: {words} {then}"));
        }
    }

    fn loops(&mut self) {
        let planned = self.planned;
        for found in planned.graph.loops() {
            self.gap();
            self.warning("! ", "These contradict each other:");
            for (at, relation) in found.relations.iter().enumerate() {
                let words = bench::relation(relation, planned.state());
                let aside = if at == found.set_aside { " (Set aside in this plan.)" } else { "" };
                self.plain("  - ", &(words + aside));
            }
            self.plain("  ", "To settle it, do one of these:");
            for way in &found.ways_out {
                self.plain("  - ", &bench::way_out(way, found, planned.state()));
            }
        }
    }

    fn twins(&mut self) {
        let planned = self.planned;
        for twins in planned.twins().iter().filter(|twins| !twins.differences.is_empty()) {
            self.gap();
            self.bold(
                "",
                &format!("{} and {} look like twins; they differ:", twins.one, twins.other),
            );
            for difference in &twins.differences {
                let words = bench::twin_difference(difference, planned.state(), &planned.rules);
                self.plain("  - ", &words);
            }
        }
    }

    fn plan(&mut self) {
        let planned = self.planned;
        let mut up = planned.state().facing();
        let all = planned.to_do();
        let goes = planned.together();
        let of_go: HashMap<&WorkRef, &(String, Vec<&WorkItem>)> =
            goes.iter().flat_map(|go| go.1.iter().map(move |item| (&item.work, go))).collect();
        let by_work: HashMap<&WorkRef, &ToDo<'_>> = all
            .iter()
            .filter_map(|to_do| match to_do.action {
                Action::Do { work } => Some((work, to_do)),
                _ => None,
            })
            .collect();
        let mut number = 0;
        for to_do in &all {
            let go = match to_do.action {
                Action::Do { work } => of_go.get(work).map(|(words, items)| (work, words, items)),
                _ => None,
            };
            if go.is_some_and(|(work, _, items)| items.first().is_none_or(|f| f.work != *work)) {
                // It was told with the first of its go.
                continue;
            }
            number += 1;
            let mark = format!("{number:>3}  ");
            let side = self.side_of(to_do.action);
            if up.is_none() && side.is_some() {
                up = side;
                self.gap();
                self.bold("", &format!("Begin with the {} up.", side.map_or("", Side::words)));
            }
            self.gap();
            match to_do.action {
                Action::Turn { up: side } => {
                    up = Some(*side);
                    self.bold(&mark, &format!("Turn it over: {} up.", side.words()));
                }
                Action::Place { step } => self.place(&mark, *step, to_do),
                Action::Do { work } => {
                    if let Some((_, words, items)) = go {
                        self.bold(&mark, words);
                        self.plain(
                            &behind("  "),
                            "In one go where all is well, or each by itself:",
                        );
                        for item in items {
                            if let Some(to_do) = by_work.get(&item.work) {
                                self.work(None, item, to_do);
                            }
                        }
                    } else if let Some(item) = planned.work.item(work) {
                        self.work(Some(&mark), item, to_do);
                    }
                }
            }
            if let Some(why) = &to_do.why {
                self.dim(&behind("  "), &why.sentence(planned.state()));
            }
        }
    }

    fn side_of(&self, action: &Action) -> Option<Side> {
        let side = match action {
            Action::Turn { up } => Some(*up),
            Action::Place { step } => self.planned.state().step(*step).map(|step| step.side),
            Action::Do { work } => self.planned.work.item(work).and_then(|item| item.side),
        };
        side.filter(|side| side.is_of_movement())
    }

    fn place(&mut self, mark: &str, id: StepId, to_do: &ToDo<'_>) {
        let Some(step) = self.planned.state().step(id) else { return };
        self.bold(mark, &format!("Put in: {}", bench::step(self.planned.state(), id)));
        for part in self.planned.state().parts_of(step).filter(|part| part.left_out.is_none()) {
            if let Some(verdict @ (Verdict::Repair | Verdict::Replace)) = part.part.verdict {
                let why = part.part.condition.trim();
                let because = if why.is_empty() { String::new() } else { format!(" ({why})") };
                let words = format!("{}: {}{because}.", part.part.called(), verdict.words());
                self.warning(&behind("! "), &words);
            }
        }
        for set in step.screws.iter().filter(|set| set.to_place() > 0) {
            let words = bench::screws(&set.screws, set.to_place());
            match set.screws.thread {
                rebuild::ThreadHand::Left => self.warning(&behind("! "), &words),
                _ => self.plain(&behind("  "), &words),
            }
        }
        for (name, words) in [("Way up", &step.way_up), ("Compartment", &step.compartment)] {
            if !words.trim().is_empty() {
                self.plain(&behind("  "), &format!("{name}: {}", words.trim()));
            }
        }
        for note in step.notes.iter().filter(|note| !note.trim().is_empty()) {
            self.plain(&behind("  "), &format!("Note: {}", note.trim()));
        }
        self.advice(&to_do.advice);
    }

    /// Work, with a mark of its own or as one of several.
    fn work(&mut self, mark: Option<&str>, item: &WorkItem, to_do: &ToDo<'_>) {
        let planned = self.planned;
        let Some(rule) = planned.rules.get(&item.work.rule) else { return };
        let words = bench::work(rule, &item.work.on, planned.state());
        let what = format!("{} · {}", words.on, words.words);
        match mark {
            Some(mark) => self.bold(mark, &what),
            None => self.plain(&behind("- "), &what),
        }
        if !words.detail.is_empty() {
            self.plain(&behind("  "), &words.detail);
        }
        if let Some((_, bottle, warning)) = planned.bottle(rule) {
            self.plain(&behind("  "), &format!("Take: {bottle}."));
            if let Some(warning) = warning {
                self.warning(&behind("! "), &warning);
            }
        }
        if let Some(last) = planned.state().said_of(&item.work).last() {
            let said = bench::said(last, words.unit.as_deref());
            self.plain(&behind("  "), &format!("Last time: {said}."));
        }
        self.who_says_so(rule);
        for other in planned.otherwise(item) {
            self.plain(&behind("  "), &format!("Another rule says: {}", bench::saying(other)));
            self.who_says_so(other);
        }
        self.advice(&to_do.advice);
    }

    fn advice(&mut self, all: &[Advice<'_>]) {
        for advice in all {
            for set in &advice.hand_unknown {
                let words = bench::screws(set, set.count);
                let unknown = "it is not known which way the thread turns";
                self.warning(&behind("! "), &format!("{words}: {unknown}."));
            }
            if advice.under_tension {
                self.warning(&behind("! "), "It was under tension.");
            }
            for rule in advice.cautions.iter().chain(&advice.never_oil) {
                self.warning(&behind("! "), &bench::saying(rule));
                self.who_says_so(rule);
            }
        }
    }

    fn who_says_so(&mut self, rule: &Rule) {
        if self.sources {
            let sources = bench::sources(rule).join("; ");
            self.dim(&behind("    "), &format!("{} ({sources})", rule.id));
        }
    }

    /// Work, and what it is done on.
    fn work_words(&self, item: &WorkItem) -> Option<String> {
        let rule = self.planned.rules.get(&item.work.rule)?;
        let words = bench::work(rule, &item.work.on, self.planned.state());
        Some(format!("{} · {}", words.on, words.words))
    }

    fn end(&mut self) {
        let planned = self.planned;
        let end = planned.end();
        self.gap();
        if end.is_complete() {
            self.bold("", "All is in, and all work is settled.");
        } else {
            let parts = counted(end.tray.parts.len() as u64, "part", "parts");
            let screws = counted(end.tray.screw_count(), "screw", "screws");
            let open = counted(end.open.len() as u64, "piece", "pieces");
            self.bold("", &format!("Left to do: {parts} and {screws} to put in, {open} of work."));
        }
        for (part, reason) in &end.parts_left_out {
            let part = bench::part(planned.state(), *part);
            self.plain("  ", &format!("Left out: {part}: {}", reason.trim()));
        }
        for (screws, count, reason) in &end.screws_left_out {
            let screws = bench::screws(screws, *count);
            self.plain("  ", &format!("Left out: {screws}: {}", reason.trim()));
        }
        for item in &end.skipped {
            let Some(words) = self.work_words(item) else { continue };
            let said = planned.state().said_of(&item.work).last();
            let said = said.map(|said| bench::said(said, None)).unwrap_or_default();
            self.plain("  ", &format!("{words} {said}."));
        }
    }
}

/// A mark behind the column of the numbers.
fn behind(mark: &str) -> String {
    " ".repeat(NUMBER) + mark
}

fn counted(count: u64, one: &str, more: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { more })
}
