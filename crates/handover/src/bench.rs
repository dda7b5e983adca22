//! What was done at the bench, from the log.

use crate::paper::table;
use rebuild::{
    LubricantClass, PartState, Rules, Said, State, Step, Verdict, What, Work, WorkItem, WorkRecord,
};
use report::{Block, Cell, Column};
use words::bench::{part, said, work};

/// The log of a movement with the work that the rules in force ask for.
#[derive(Debug)]
pub struct Bench<'a> {
    /// What holds now.
    pub state: &'a State,
    /// The work.
    pub work: &'a Work,
    /// The rules in force.
    pub rules: &'a Rules,
}

impl Bench<'_> {
    pub(crate) fn parts(&self) -> impl Iterator<Item = &PartState> {
        self.state.steps().flat_map(|step| self.state.parts_of(step))
    }

    /// What was found at parts, a row each: only those of which something was said.
    pub(crate) fn found(&self) -> Vec<Vec<Cell>> {
        let said = |one: &&PartState| {
            !one.part.condition.trim().is_empty()
                || matches!(one.part.verdict, Some(Verdict::Repair | Verdict::Replace))
        };
        self.parts()
            .filter(said)
            .map(|one| {
                let verdict = match one.part.verdict {
                    Some(Verdict::Replace) => Cell::strong("replaced"),
                    Some(Verdict::Repair) => Cell::strong("repaired"),
                    Some(Verdict::Clean) => Cell::plain("cleaned"),
                    Some(Verdict::Keep) => Cell::plain("kept"),
                    None => Cell::plain(""),
                };
                let name = part(self.state, one.part.id);
                vec![Cell::plain(name), Cell::plain(one.part.condition.trim()), verdict]
            })
            .collect()
    }

    /// Names of the parts of which this was decided.
    pub(crate) fn with_verdict(&self, verdict: Verdict) -> Vec<String> {
        self.parts()
            .filter(|one| one.part.verdict == Some(verdict))
            .map(|one| part(self.state, one.part.id))
            .collect()
    }

    fn last(&self, item: &WorkItem) -> Option<&WorkRecord> {
        self.state.said_of(&item.work).last()
    }

    /// What was oiled with which class, in the order of the rules: class, places.
    pub(crate) fn oiled(&self) -> Vec<(LubricantClass, Vec<String>)> {
        let mut all: Vec<(LubricantClass, Vec<String>)> = Vec::new();
        for item in self.work.items() {
            let Some(rule) = self.rules.get(&item.work.rule) else { continue };
            let What::Oil { place, class, .. } = &rule.what else { continue };
            let done = self.last(item).is_some_and(|last| matches!(last.said, Said::Done { .. }));
            if !done {
                continue;
            }
            let words = format!("{}: {place}", work(rule, &item.work.on, self.state).on);
            match all.iter_mut().find(|(own, _)| own == class) {
                Some((_, places)) => places.push(words),
                None => all.push((*class, vec![words])),
            }
        }
        all
    }

    /// Checks that were made, a row each: what, on what, how it came out.
    pub(crate) fn checks(&self) -> Vec<Vec<Cell>> {
        self.rows(|last| matches!(last.said, Said::Checked { .. }))
    }

    /// What was left undone on purpose, with the reasons.
    pub(crate) fn skipped(&self) -> Vec<Vec<Cell>> {
        self.rows(|last| matches!(last.said, Said::Skipped { .. }))
    }

    fn rows(&self, wanted: impl Fn(&WorkRecord) -> bool) -> Vec<Vec<Cell>> {
        let rows = self.work.items().iter().filter_map(|item| {
            let rule = self.rules.get(&item.work.rule)?;
            let last = self.last(item).filter(|last| wanted(last))?;
            let words = work(rule, &item.work.on, self.state);
            let outcome = said(last, words.unit.as_deref());
            Some([words.on, words.words, outcome].map(Cell::plain).to_vec())
        });
        rows.collect()
    }

    /// The order in which it went together: steps that are in, the first first.
    pub(crate) fn as_rebuilt(&self) -> Vec<String> {
        let mut placed: Vec<(usize, &Step)> =
            self.state.steps().filter_map(|step| Some((step.placed.as_ref()?.seq, step))).collect();
        placed.sort_by_key(|(seq, _)| *seq);
        placed
            .into_iter()
            .map(|(_, step)| {
                let screws = step
                    .screws
                    .iter()
                    .map(|screws| words::bench::screws(&screws.screws, screws.to_place()));
                let mut words = self.state.name_of(step);
                if !step.way_up.trim().is_empty() {
                    words.push_str(&format!(" ({})", step.way_up.trim()));
                }
                for screws in screws {
                    words.push_str("; ");
                    words.push_str(&screws);
                }
                words
            })
            .collect()
    }

    /// What the next to open it should know before: left-handed threads, tension, notes, what is
    /// left out.
    pub(crate) fn oddities(&self) -> Vec<String> {
        let mut all = Vec::new();
        for step in self.state.steps() {
            let name = self.state.name_of(step);
            for screws in &step.screws {
                if screws.screws.thread == rebuild::ThreadHand::Left {
                    let words = words::bench::screws(&screws.screws, screws.screws.count);
                    all.push(format!("{name}: {words}"));
                }
            }
            if step.under_tension {
                all.push(format!("{name}: under tension."));
            }
            for note in step.notes.iter().filter(|note| !note.trim().is_empty()) {
                all.push(format!("{name}: {}", note.trim()));
            }
            for one in self.state.parts_of(step) {
                if let Some(reason) = &one.left_out {
                    let part = part(self.state, one.part.id);
                    all.push(format!("{part} was left out: {}", reason.trim()));
                }
            }
        }
        all
    }

    /// Lubricants by class, as a table.
    pub(crate) fn lubricants(&self) -> Option<Block> {
        let rows = self.oiled().into_iter().map(|(class, places)| {
            vec![Cell::plain(class.words()), Cell::plain(places.join("; "))]
        });
        table("", [Column::text("Class"), Column::wide("Where")], rows.collect())
    }
}
