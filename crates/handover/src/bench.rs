//! What was done at the bench, from the log.

use crate::paper::dense_table;
use jobs::PhotoId;
use rebuild::{
    LubricantClass, Outcome, PartState, PhotoRef, Rules, Said, State, Step, Verdict, What, Work,
    WorkItem, WorkRecord,
};
use report::{Block, Cell, Column};
use words::bench::{THE_MOVEMENT, WorkWords, part, said, work};

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
        self.parts()
            .filter(|one| is_found(one))
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

    /// Whether a photo shows a step with a part of which something was found; nothing where it belongs to
    /// no step.
    pub(crate) fn finds_in_photo(&self, photo: PhotoId) -> Option<bool> {
        let is_it = |own: &PhotoRef| own.uuid() == photo.uuid();
        let step = self.state.steps().find(|step| step.photos.iter().any(is_it))?;
        Some(self.state.parts_of(step).any(is_found))
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

    /// What was oiled with which class, in the order of the rules: class, and what was oiled there
    /// place by place.
    pub(crate) fn oiled(&self) -> Vec<(LubricantClass, Grouped)> {
        let mut all: Vec<(LubricantClass, Grouped)> = Vec::new();
        for item in self.work.items() {
            let Some(rule) = self.rules.get(&item.work.rule) else { continue };
            let What::Oil { place, class, .. } = &rule.what else { continue };
            let done = self.last(item).is_some_and(|last| matches!(last.said, Said::Done { .. }));
            if !done {
                continue;
            }
            let on = work(rule, &item.work.on, self.state).on;
            match all.iter_mut().find(|(own, _)| own == class) {
                Some((_, places)) => places.put(place, on),
                None => {
                    let mut places = Grouped::default();
                    places.put(place, on);
                    all.push((*class, places));
                }
            }
        }
        all
    }

    /// How many checks were made.
    pub(crate) fn checked(&self) -> usize {
        self.said(|said| matches!(said, Said::Checked { .. })).count()
    }

    /// Checks that were made, by their questions; what was not good stands first.
    pub(crate) fn checks(&self) -> Checks {
        let mut asked: Vec<Asked> = Vec::new();
        for (words, last) in self.said(|said| matches!(said, Said::Checked { .. })) {
            let question = question(&words.words);
            let found = said(last, words.unit.as_deref());
            let at = asked.iter().position(|own| own.question == question).unwrap_or_else(|| {
                asked.push(Asked { question: question.to_owned(), ..Asked::default() });
                asked.len() - 1
            });
            asked[at].put(last, &found, words.on);
        }
        asked.sort_by_key(|one| !one.is_bad);
        let mut checks = Checks::default();
        for one in asked {
            match one.is_told {
                true => checks.told.push(one.row()),
                false => checks.plainly_good.push(one.line()),
            }
        }
        checks
    }

    /// What was left undone on purpose, with the reasons.
    pub(crate) fn skipped(&self) -> Vec<Vec<Cell>> {
        let rows = self.said(|said| matches!(said, Said::Skipped { .. })).map(|(words, last)| {
            let outcome = said(last, words.unit.as_deref());
            [words.on, question(&words.words).to_owned(), outcome].map(Cell::plain).to_vec()
        });
        rows.collect()
    }

    /// Work of which something was said, with what was said last.
    fn said(
        &self,
        wanted: impl Fn(&Said) -> bool,
    ) -> impl Iterator<Item = (WorkWords, &WorkRecord)> {
        self.work.items().iter().filter_map(move |item| {
            let rule = self.rules.get(&item.work.rule)?;
            let last = self.last(item).filter(|last| wanted(&last.said))?;
            Some((work(rule, &item.work.on, self.state), last))
        })
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

    /// What the next to open it should know before: left-handed threads, what is left out, notes,
    /// what is under tension.
    pub(crate) fn oddities(&self) -> Vec<String> {
        let mut all = Vec::new();
        let named = || self.state.steps().map(|step| (self.state.name_of(step), step));
        for (name, step) in named() {
            let left = |set: &&rebuild::StepScrews| set.screws.thread == rebuild::ThreadHand::Left;
            all.extend(step.screws.iter().filter(left).map(|screws| {
                let words = words::bench::screws(&screws.screws, screws.screws.count);
                format!("{name}: {words}")
            }));
        }
        for one in self.parts() {
            if let Some(reason) = &one.left_out {
                let part = part(self.state, one.part.id);
                all.push(format!("{part} was left out: {}", reason.trim()));
            }
        }
        for (name, step) in named() {
            let notes = step.notes.iter().map(|note| note.trim()).filter(|note| !note.is_empty());
            all.extend(notes.map(|note| format!("{name}: {note}")));
        }
        let tense = named().filter(|(_, step)| step.under_tension).map(|(name, _)| name);
        let tense: Vec<String> = tense.collect();
        if !tense.is_empty() {
            all.push(format!("Under tension: {}.", tense.join(", ")));
        }
        all
    }

    /// Lubricants by class, as a table.
    pub(crate) fn lubricants(&self) -> Option<Block> {
        let rows = self
            .oiled()
            .into_iter()
            .map(|(class, places)| vec![Cell::plain(class.words()), Cell::plain(places.lines())]);
        dense_table("", [Column::text("Class"), Column::wide("Where")], rows.collect())
    }
}

/// Whether something was said of a part that is told to its owner.
fn is_found(one: &PartState) -> bool {
    !one.part.condition.trim().is_empty()
        || matches!(one.part.verdict, Some(Verdict::Repair | Verdict::Replace))
}

/// Things under what they have in common, both in the order in which they came.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Grouped(Vec<(String, Vec<String>)>);

impl Grouped {
    fn put(&mut self, common: &str, thing: String) {
        match self.0.iter_mut().find(|(own, _)| own == common) {
            Some((_, things)) => things.push(thing),
            None => self.0.push((common.to_owned(), vec![thing])),
        }
    }

    /// How many things there are.
    pub(crate) fn count(&self) -> usize {
        self.0.iter().map(|(_, things)| things.len()).sum()
    }

    /// All of them: "third wheel, fourth wheel".
    fn things(&self) -> String {
        let all: Vec<&str> =
            self.0.iter().flat_map(|(_, things)| things).map(String::as_str).collect();
        all.join(", ")
    }

    /// A line each: "upper pivot: third wheel, fourth wheel".
    fn lines(&self) -> String {
        let line =
            |(common, things): &(String, Vec<String>)| format!("{common}: {}", things.join(", "));
        self.0.iter().map(line).collect::<Vec<_>>().join("\n")
    }
}

/// Checks that were made.
#[derive(Debug, Default)]
pub(crate) struct Checks {
    /// Where more is to be told than that all was good: a row a question, and what was found on what.
    pub(crate) told: Vec<Vec<Cell>>,
    /// The others: the question, and on what.
    pub(crate) plainly_good: Vec<String>,
}

/// A question with what was found.
#[derive(Default)]
struct Asked {
    question: String,
    found: Grouped,
    is_bad: bool,
    is_told: bool,
}

impl Asked {
    fn put(&mut self, record: &WorkRecord, found: &str, on: String) {
        let Said::Checked { outcome, value } = &record.said else { return };
        let is_good = *outcome == Outcome::Good;
        self.is_bad |= !is_good;
        self.is_told |= !is_good || value.is_some() || !record.note.trim().is_empty();
        self.found.put(found, on);
    }

    fn line(self) -> String {
        match self.found.things() {
            // That goes without saying.
            things if things == THE_MOVEMENT => self.question,
            things => format!("{} ({things})", self.question),
        }
    }

    fn row(self) -> Vec<Cell> {
        let found = self.found.lines();
        let found = if self.is_bad { Cell::strong(found) } else { Cell::plain(found) };
        vec![Cell::plain(self.question), found]
    }
}

/// What is asked, without the advice that follows it at the bench: up to the first question mark, or
/// the end of the first sentence.
fn question(words: &str) -> &str {
    let end = words.find('?').or_else(|| words.find(". "));
    end.map_or(words, |end| &words[..=end]).trim()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn advice_is_for_the_bench_alone() {
        for (words, asked) in [
            ("Endshake? Small, thin watches take the lower values.", "Endshake?"),
            ("Draw: does the fork go back? About 12 degrees.", "Draw: does the fork go back?"),
            ("Look for rust. It hides in pinions.", "Look for rust."),
            ("Look for rust", "Look for rust"),
        ] {
            assert_eq!(question(words), asked);
        }
    }

    #[test]
    fn what_is_alike_stands_together() {
        let mut all = Grouped::default();
        for (common, thing) in [("good", "third wheel"), ("bad", "fork"), ("good", "fourth wheel")]
        {
            all.put(common, thing.to_owned());
        }
        assert_eq!(all.lines(), "good: third wheel, fourth wheel\nbad: fork");
        assert_eq!(all.count(), 3);
        assert_eq!(all.things(), "third wheel, fourth wheel, fork");
    }
}
