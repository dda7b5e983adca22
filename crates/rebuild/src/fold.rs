//! From the entries of the log to what holds now.
//!
//! Entries are taken in the order in which they are kept. An entry that makes no sense where it
//! stands counts for nothing and leaves a warning; the rest goes on.

use crate::state::{
    EntryProblem, Made, PartState, Said, State, StateWarning, Step, StepScrews, UserRelation,
    WorkRecord,
};
use crate::{
    Change, Entry, EntryId, LeftOut, PartFix, PartId, Piece, Side, StepFix, StepId, TakenOut,
    WorkOn,
};
use std::collections::{HashMap, HashSet};

/// A log with what holds after it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Log {
    entries: Vec<Entry>,
    at: HashMap<EntryId, usize>,
    state: State,
}

/// What became of an entry that was added.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Added {
    /// It is new.
    New,
    /// It was there already: it was sent twice.
    Known,
    /// Another entry has its id and says something else; this one was not taken.
    IdTaken,
}

impl Log {
    /// From entries that were kept, in their order.
    #[must_use]
    pub fn new(entries: Vec<Entry>) -> Self {
        let mut log = Self::default();
        let mut clashes = Vec::new();
        for entry in entries {
            if log.keep(&entry) == Added::IdTaken {
                clashes.push(StateWarning { entry: entry.id, problem: EntryProblem::IdTaken });
            }
        }
        log.state = State::of(&log.entries);
        log.state.warnings.extend(clashes);
        log
    }

    fn keep(&mut self, entry: &Entry) -> Added {
        match self.at.get(&entry.id) {
            Some(at) if self.entries[*at] == *entry => Added::Known,
            Some(_) => Added::IdTaken,
            None => {
                self.at.insert(entry.id, self.entries.len());
                self.entries.push(entry.clone());
                Added::New
            }
        }
    }

    /// Adds an entry at the end. Cost: that of the entry, but for one that takes another back,
    /// which folds all again.
    pub fn add(&mut self, entry: &Entry) -> Added {
        let added = self.keep(entry);
        if added == Added::New {
            if matches!(entry.change, Change::TakenBack { .. }) {
                self.state = State::of(&self.entries);
            } else {
                self.state.apply(entry);
            }
        }
        added
    }

    /// All entries, each once.
    #[must_use]
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// What holds now.
    #[must_use]
    pub const fn state(&self) -> &State {
        &self.state
    }
}

impl State {
    /// What holds after these entries, each of which has its own id.
    fn of(entries: &[Entry]) -> Self {
        let mut state = Self::default();
        let taken_back = taken_back(entries, &mut state.warnings);
        for entry in entries.iter().filter(|entry| !taken_back.contains(&entry.id)) {
            state.apply(entry);
        }
        state
    }

    /// Takes in one more entry, which takes back nothing.
    fn apply(&mut self, entry: &Entry) {
        let made =
            Made { entry: entry.id, seq: self.seq, by: entry.by.clone(), at_ms: entry.at_ms };
        self.seq += 1;
        if let Err(problem) = self.change(&entry.change, made) {
            self.warnings.push(StateWarning { entry: entry.id, problem });
        }
    }

    fn change(&mut self, change: &Change, made: Made) -> Result<(), EntryProblem> {
        match change {
            Change::TookOut(out) => self.took_out(out, made),
            Change::Amended { step, fix } => self.amend(*step, fix),
            Change::PartAmended { part, fix } => self.amend_part(*part, fix),
            Change::Split { step, into } => self.split(*step, into),
            Change::Moved { step, after } => self.move_step(*step, *after),
            Change::Annotated { step, note } => {
                self.step_mut(*step)?.notes.push(note.clone());
                Ok(())
            }
            Change::PhotoAdded { step, photo } => {
                let photos = &mut self.step_mut(*step)?.photos;
                if !photos.contains(photo) {
                    photos.push(*photo);
                }
                Ok(())
            }
            Change::Placed { step } => self.place(*step, made),
            Change::Removed { step, reason } => self.remove(*step, reason, made),
            Change::Turned { up } => {
                self.face(*up);
                Ok(())
            }
            Change::WorkDone { work, bottle, note } => {
                let said = Said::Done { bottle: *bottle };
                self.say(work, WorkRecord { said, note: note.clone(), made })
            }
            Change::CheckMade { work, outcome, value, note } => {
                if value.is_some_and(|value| !value.is_finite()) {
                    return Err(EntryProblem::NotANumber);
                }
                let said = Said::Checked { outcome: *outcome, value: *value };
                self.say(work, WorkRecord { said, note: note.clone(), made })
            }
            Change::Skipped { work, reason } => {
                let said = Said::Skipped { reason: given(reason)? };
                self.say(work, WorkRecord { said, note: String::new(), made })
            }
            Change::RelationAdded { first, then, why } => {
                let relation = self.relation(*first, *then, why, made.entry)?;
                self.added.push(relation);
                Ok(())
            }
            Change::RelationDropped { first, then, why } => {
                let relation = self.relation(*first, *then, why, made.entry)?;
                self.dropped.push(relation);
                Ok(())
            }
            Change::LeftOut { what, reason } => self.leave_out(what, reason),
            // Seen to before; what it takes back is not among the entries that come here.
            Change::TakenBack { .. } => Ok(()),
        }
    }

    fn step_mut(&mut self, id: StepId) -> Result<&mut Step, EntryProblem> {
        let at = self.step_at.get(&id).ok_or(EntryProblem::NoSuchStep(id))?;
        Ok(&mut self.steps[*at])
    }

    fn has_part(&self, id: PartId) -> Result<(), EntryProblem> {
        self.parts.get(&id).map(|_| ()).ok_or(EntryProblem::NoSuchPart(id))
    }

    fn took_out(&mut self, out: &TakenOut, made: Made) -> Result<(), EntryProblem> {
        if self.step_at.contains_key(&out.step) {
            return Err(EntryProblem::StepTwice(out.step));
        }
        if out.parts.is_empty() {
            return Err(EntryProblem::NoParts);
        }
        let mut seen = HashSet::new();
        for part in &out.parts {
            if self.parts.contains_key(&part.id) || !seen.insert(part.id) {
                return Err(EntryProblem::PartTwice(part.id));
            }
        }
        self.new_screws(&out.screws, None)?;
        let at = self.steps.len();
        for part in &out.parts {
            let state = PartState { part: part.clone(), step: out.step, left_out: None };
            self.parts.insert(part.id, state);
        }
        for set in &out.screws {
            self.screws.insert(set.id, at);
        }
        let note = out.note.trim();
        self.steps.push(Step {
            id: out.step,
            parts: out.parts.iter().map(|part| part.id).collect(),
            side: out.side,
            groups: groups(&out.groups),
            from_assembly: out.from_assembly,
            screws: out.screws.iter().map(not_left_out).collect(),
            way_up: out.way_up.clone(),
            rested_on: out.rested_on.clone(),
            was_under: out.was_under.clone(),
            under_tension: out.under_tension,
            compartment: out.compartment.clone(),
            photos: out.photos.clone(),
            notes: if note.is_empty() { Vec::new() } else { vec![out.note.clone()] },
            taken_out: made,
            placed: None,
            removed_again: None,
        });
        self.step_at.insert(out.step, at);
        self.order.push(at);
        Ok(())
    }

    /// Whether these screws are not there yet, but for those of the step `of`.
    fn new_screws(&self, screws: &[crate::Screws], of: Option<usize>) -> Result<(), EntryProblem> {
        let mut seen = HashSet::new();
        for set in screws {
            let elsewhere = self.screws.get(&set.id).is_some_and(|at| Some(*at) != of);
            if elsewhere || !seen.insert(set.id) {
                return Err(EntryProblem::ScrewsTwice(set.id));
            }
        }
        Ok(())
    }

    fn amend(&mut self, id: StepId, fix: &StepFix) -> Result<(), EntryProblem> {
        let at = *self.step_at.get(&id).ok_or(EntryProblem::NoSuchStep(id))?;
        if let Some(screws) = &fix.screws {
            self.new_screws(screws, Some(at))?;
            for set in &self.steps[at].screws {
                self.screws.remove(&set.screws.id);
            }
            for set in screws {
                self.screws.insert(set.id, at);
            }
        }
        let step = &mut self.steps[at];
        if let Some(screws) = &fix.screws {
            let old = std::mem::take(&mut step.screws);
            step.screws = screws
                .iter()
                .map(|set| {
                    let before = old.iter().find(|before| before.screws.id == set.id);
                    let left_out = before.map(|before| before.left_out.clone()).unwrap_or_default();
                    StepScrews { screws: set.clone(), left_out }
                })
                .collect();
        }
        set(&mut step.side, fix.side.as_ref());
        set(&mut step.groups, fix.groups.as_deref().map(groups).as_ref());
        set(&mut step.from_assembly, fix.from_assembly.as_ref());
        set(&mut step.way_up, fix.way_up.as_ref());
        set(&mut step.rested_on, fix.rested_on.as_ref());
        set(&mut step.was_under, fix.was_under.as_ref());
        set(&mut step.under_tension, fix.under_tension.as_ref());
        set(&mut step.compartment, fix.compartment.as_ref());
        if let Some(note) = &fix.note {
            // The note of the taking out stands first; notes that were added stay.
            match step.notes.first_mut() {
                Some(first) => first.clone_from(note),
                None => step.notes.push(note.clone()),
            }
        }
        Ok(())
    }

    fn amend_part(&mut self, id: PartId, fix: &PartFix) -> Result<(), EntryProblem> {
        let part = &mut self.parts.get_mut(&id).ok_or(EntryProblem::NoSuchPart(id))?.part;
        set(&mut part.kind, fix.kind.as_ref());
        set(&mut part.name, fix.name.as_ref());
        set(&mut part.traits, fix.traits.as_ref());
        set(&mut part.condition, fix.condition.as_ref());
        set(&mut part.verdict, fix.verdict.as_ref());
        Ok(())
    }

    fn split(&mut self, id: StepId, into: &[Piece]) -> Result<(), EntryProblem> {
        let at = *self.step_at.get(&id).ok_or(EntryProblem::NoSuchStep(id))?;
        let mut parts = HashSet::new();
        let mut sets = HashSet::new();
        let mut steps = HashSet::new();
        for piece in into {
            if self.step_at.contains_key(&piece.step) || !steps.insert(piece.step) {
                return Err(EntryProblem::StepTwice(piece.step));
            }
            if piece.parts.is_empty() {
                return Err(EntryProblem::NoParts);
            }
            for part in &piece.parts {
                if !self.steps[at].parts.contains(part) || !parts.insert(*part) {
                    return Err(EntryProblem::NoSuchPart(*part));
                }
            }
            for set in &piece.screws {
                if self.screws.get(set) != Some(&at) || !sets.insert(*set) {
                    return Err(EntryProblem::NoSuchScrews(*set));
                }
            }
        }
        let stays = self.steps[at].parts.iter().any(|part| !parts.contains(part));
        if !stays && self.steps[at].screws.iter().any(|set| !sets.contains(&set.screws.id)) {
            // Screws would belong to a step that is no more.
            return Err(EntryProblem::NoParts);
        }
        let place = self.order.iter().position(|other| *other == at).unwrap_or(self.order.len());
        for (n, piece) in into.iter().enumerate() {
            let new_at = self.steps.len();
            let whole = &self.steps[at];
            let screws = whole.screws.iter().filter(|set| piece.screws.contains(&set.screws.id));
            let step = Step {
                id: piece.step,
                parts: piece.parts.clone(),
                screws: screws.cloned().collect(),
                ..whole.clone()
            };
            for set in &step.screws {
                self.screws.insert(set.screws.id, new_at);
            }
            for part in &piece.parts {
                if let Some(part) = self.parts.get_mut(part) {
                    part.step = piece.step;
                }
            }
            self.steps.push(step);
            self.step_at.insert(piece.step, new_at);
            self.order.insert(place + n, new_at);
        }
        let whole = &mut self.steps[at];
        whole.parts.retain(|part| !parts.contains(part));
        whole.screws.retain(|set| !sets.contains(&set.screws.id));
        if !stays {
            self.step_at.remove(&id);
            self.order.retain(|other| *other != at);
        }
        Ok(())
    }

    fn move_step(&mut self, id: StepId, after: Option<StepId>) -> Result<(), EntryProblem> {
        let at = *self.step_at.get(&id).ok_or(EntryProblem::NoSuchStep(id))?;
        let after_at = match after {
            Some(other) if other == id => return Err(EntryProblem::AfterItself(id)),
            Some(other) => Some(*self.step_at.get(&other).ok_or(EntryProblem::NoSuchStep(other))?),
            None => None,
        };
        self.order.retain(|other| *other != at);
        let place = after_at
            .and_then(|after| self.order.iter().position(|other| *other == after))
            .map_or(0, |place| place + 1);
        self.order.insert(place, at);
        Ok(())
    }

    fn place(&mut self, id: StepId, made: Made) -> Result<(), EntryProblem> {
        let step = self.step_mut(id)?;
        if step.placed.is_some() {
            return Err(EntryProblem::PlacedAlready(id));
        }
        step.placed = Some(made);
        let side = step.side;
        self.face(side);
        Ok(())
    }

    fn face(&mut self, side: Side) {
        if side.is_of_movement() {
            self.facing = Some(side);
        }
    }

    fn remove(&mut self, id: StepId, reason: &str, made: Made) -> Result<(), EntryProblem> {
        given(reason)?;
        let step = self.step_mut(id)?;
        if step.placed.take().is_none() {
            return Err(EntryProblem::NotPlaced(id));
        }
        step.notes.push(reason.to_owned());
        step.removed_again = Some(made);
        let side = step.side;
        self.face(side);
        Ok(())
    }

    fn say(&mut self, work: &crate::WorkRef, record: WorkRecord) -> Result<(), EntryProblem> {
        if let WorkOn::Part(part) = &work.on {
            self.has_part(*part)?;
        }
        self.work.entry(work.clone()).or_default().push(record);
        Ok(())
    }

    fn relation(
        &self,
        first: PartId,
        then: PartId,
        why: &str,
        entry: EntryId,
    ) -> Result<UserRelation, EntryProblem> {
        self.has_part(first)?;
        self.has_part(then)?;
        if first == then {
            return Err(EntryProblem::RelationToItself(first));
        }
        Ok(UserRelation { first, then, why: why.to_owned(), entry })
    }

    fn leave_out(&mut self, what: &LeftOut, reason: &str) -> Result<(), EntryProblem> {
        let reason = given(reason)?;
        match what {
            LeftOut::Part(id) => {
                let part = self.parts.get_mut(id).ok_or(EntryProblem::NoSuchPart(*id))?;
                part.left_out = Some(reason);
            }
            LeftOut::Screws { set, count } => {
                let at = *self.screws.get(set).ok_or(EntryProblem::NoSuchScrews(*set))?;
                let screws = self.steps[at].screws.iter_mut().find(|all| all.screws.id == *set);
                let screws = screws.ok_or(EntryProblem::NoSuchScrews(*set))?;
                if *count > screws.to_place() {
                    return Err(EntryProblem::TooManyScrews(*set));
                }
                screws.left_out.push((*count, reason));
            }
        }
        Ok(())
    }
}

/// Which entries count for nothing because a later one takes them back.
fn taken_back(entries: &[Entry], warnings: &mut Vec<StateWarning>) -> HashSet<EntryId> {
    let place: HashMap<EntryId, usize> =
        entries.iter().enumerate().map(|(n, entry)| (entry.id, n)).collect();
    let mut gone = HashSet::new();
    // From the end, so that whether a taking back still holds is known when it is looked at.
    for (n, entry) in entries.iter().enumerate().rev() {
        let Change::TakenBack { entry: target } = entry.change else { continue };
        if gone.contains(&entry.id) {
            continue;
        }
        let before = place.get(&target).is_some_and(|at| *at < n);
        if !before || !gone.insert(target) {
            let problem = EntryProblem::NothingToTakeBack(target);
            warnings.push(StateWarning { entry: entry.id, problem });
        }
    }
    gone
}

fn set<T: Clone>(place: &mut T, new: Option<&T>) {
    if let Some(new) = new {
        place.clone_from(new);
    }
}

/// Each group once, without those that have no name.
fn groups(entered: &[crate::Group]) -> Vec<crate::Group> {
    let mut groups: Vec<crate::Group> = Vec::with_capacity(entered.len());
    for group in entered {
        if !group.as_str().is_empty() && !groups.contains(group) {
            groups.push(group.clone());
        }
    }
    groups
}

fn not_left_out(screws: &crate::Screws) -> StepScrews {
    StepScrews { screws: screws.clone(), left_out: Vec::new() }
}

fn given(reason: &str) -> Result<String, EntryProblem> {
    let reason = reason.trim();
    if reason.is_empty() { Err(EntryProblem::NoReason) } else { Ok(reason.to_owned()) }
}
