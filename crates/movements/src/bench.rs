//! Writing a take-down the way it is entered at the bench: what came out, one line after the other.

use rebuild::{
    Change, Entry, EntryId, Group, KindId, Part, PartId, RuleId, Screws, ScrewsId, Side, StepId,
    TakenOut, ThreadHand, TraitId, Verdict, WorkOn, WorkRef,
};
use uuid::Uuid;

/// From one entry to the next.
const SPACING_MS: i64 = 150_000;

/// All ids come from this one and from names, so that they are the same in every run.
const NAMESPACE: Uuid = Uuid::from_u128(0x5b0c_3f6e_91d2_4f0a_8f27_6a1f_c6e0_d3b4);

/// Ids for what belongs to one movement.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ids(Uuid);

impl Ids {
    pub(crate) fn of(movement: &str) -> Self {
        Self(Uuid::new_v5(&NAMESPACE, movement.as_bytes()))
    }

    pub(crate) fn id(self, what: &str, name: &str) -> Uuid {
        Uuid::new_v5(&self.0, format!("{what} {name}").as_bytes())
    }

    pub(crate) fn part(self, name: &str) -> PartId {
        PartId::from_uuid(self.id("part", name))
    }
}

/// A take-down that is being written. What is said of side, groups and compartment holds for all
/// that follows, until something else is said.
///
/// Parts are named by their kind, or by the name they were given, followed by their group, and from
/// the second of a name on by a number: "balance-cock left", "reverser-wheel 2".
#[derive(Debug)]
pub(crate) struct Bench {
    ids: Ids,
    start_ms: i64,
    entries: Vec<Entry>,
    names: Vec<String>,
    side: Side,
    groups: Vec<Group>,
    whole: Option<PartId>,
    compartment: String,
}

impl Bench {
    pub(crate) fn new(movement: &str, start_ms: i64) -> Self {
        Self {
            ids: Ids::of(movement),
            start_ms,
            entries: Vec::new(),
            names: Vec::new(),
            side: Side::Case,
            groups: Vec::new(),
            whole: None,
            compartment: String::new(),
        }
    }

    pub(crate) fn finished(self) -> Vec<Entry> {
        self.entries
    }

    /// What follows comes out from this side.
    pub(crate) fn side(&mut self, side: Side) -> &mut Self {
        self.side = side;
        self.whole = None;
        self
    }

    /// What follows is taken in hand from a whole that is out already.
    pub(crate) fn apart(&mut self, whole: &str) -> &mut Self {
        self.side = Side::Hand;
        self.whole = Some(self.ids.part(whole));
        self
    }

    /// What follows belongs to these groups.
    pub(crate) fn of(&mut self, groups: &[&str]) -> &mut Self {
        self.groups = groups.iter().map(|group| Group::new(group)).collect();
        self
    }

    /// What follows lies in this compartment of the tray.
    pub(crate) fn tray(&mut self, compartment: &str) -> &mut Self {
        self.compartment = compartment.to_owned();
        self
    }

    /// A part of a kind came out.
    pub(crate) fn out(&mut self, kind: &str) -> Out<'_> {
        self.step(Some(kind), "")
    }

    /// A part of a kind came out that is called by a name of its own.
    pub(crate) fn named(&mut self, kind: &str, name: &str) -> Out<'_> {
        self.step(Some(kind), name)
    }

    /// A part came out for which the words of the trade have no kind.
    pub(crate) fn odd(&mut self, name: &str) -> Out<'_> {
        self.step(None, name)
    }

    /// Something that a rule demands for the whole movement was done.
    pub(crate) fn done(&mut self, rule: &str, note: &str) -> &mut Self {
        // Names of rules are held against the library in the tests.
        if let Ok(rule) = RuleId::new(rule) {
            let work = WorkRef { rule, on: WorkOn::Movement };
            self.enter(Change::WorkDone { work, bottle: None, note: note.to_owned() });
        }
        self
    }

    /// One part goes in before another, which no order of removal says.
    pub(crate) fn first(&mut self, first: &str, then: &str, why: &str) -> &mut Self {
        let (first, then) = (self.ids.part(first), self.ids.part(then));
        self.enter(Change::RelationAdded { first, then, why: why.to_owned() });
        self
    }

    fn enter(&mut self, change: Change) {
        let number = self.entries.len();
        let id = EntryId::from_uuid(self.ids.id("entry", &number.to_string()));
        let at_ms = i64::try_from(number)
            .ok()
            .and_then(|number| number.checked_mul(SPACING_MS)?.checked_add(self.start_ms))
            .unwrap_or(i64::MAX);
        self.entries.push(Entry { id, by: "bench".to_owned(), at_ms, change });
    }

    fn step(&mut self, kind: Option<&str>, name: &str) -> Out<'_> {
        let (part, key) = self.part(kind, name);
        let out = TakenOut {
            step: StepId::from_uuid(self.ids.id("step", &key)),
            parts: vec![part],
            side: self.side,
            groups: self.groups.clone(),
            from_assembly: self.whole,
            screws: Vec::new(),
            way_up: String::new(),
            rested_on: Vec::new(),
            was_under: Vec::new(),
            under_tension: false,
            compartment: self.compartment.clone(),
            photos: Vec::new(),
            note: String::new(),
        };
        self.enter(Change::TookOut(out));
        Out { bench: self, key }
    }

    fn part(&mut self, kind: Option<&str>, name: &str) -> (Part, String) {
        let called = if name.is_empty() { kind.unwrap_or_default() } else { name };
        let mut plain = called.to_owned();
        for group in &self.groups {
            plain.push(' ');
            plain.push_str(group.as_str());
        }
        let mut key = plain.clone();
        for number in 2.. {
            if !self.names.contains(&key) {
                break;
            }
            key = format!("{plain} {number}");
        }
        self.names.push(key.clone());
        let part = Part {
            id: self.ids.part(&key),
            kind: kind.and_then(|kind| KindId::new(kind).ok()),
            name: name.to_owned(),
            traits: Vec::new(),
            condition: String::new(),
            verdict: Some(Verdict::Clean),
        };
        (part, key)
    }
}

/// What came out last, and what else is said of it.
pub(crate) struct Out<'a> {
    bench: &'a mut Bench,
    key: String,
}

impl Out<'_> {
    fn change(self, change: impl FnOnce(&mut TakenOut)) -> Self {
        if let Some(Entry { change: Change::TookOut(out), .. }) = self.bench.entries.last_mut() {
            change(out);
        }
        self
    }

    fn last_part(self, change: impl FnOnce(&mut Part)) -> Self {
        self.change(|out| {
            if let Some(part) = out.parts.last_mut() {
                change(part);
            }
        })
    }

    fn held(self, count: u16, mm: f64, thread: ThreadHand, look: &str, place: &str) -> Self {
        let name = format!("{} {place}", self.key);
        let set = Screws {
            id: ScrewsId::from_uuid(self.bench.ids.id("screws", &name)),
            count,
            length_mm: Some(mm),
            look: look.to_owned(),
            thread,
            place: place.to_owned(),
        };
        self.change(|out| out.screws.push(set))
    }

    /// Another part came out in the same go.
    pub(crate) fn with(self, kind: &str) -> Self {
        let (part, _) = self.bench.part(Some(kind), "");
        self.change(|out| out.parts.push(part))
    }

    /// It was held by screws: how many, how long, how they look, where they belong.
    pub(crate) fn screws(self, count: u16, mm: f64, look: &str, place: &str) -> Self {
        self.held(count, mm, ThreadHand::Right, look, place)
    }

    /// It was held by a screw with a left-handed thread.
    pub(crate) fn left_handed(self, mm: f64, look: &str, place: &str) -> Self {
        self.held(1, mm, ThreadHand::Left, look, place)
    }

    /// Which way up it sat.
    pub(crate) fn up(self, way_up: &str) -> Self {
        self.change(|out| out.way_up = way_up.to_owned())
    }

    /// What lay over it.
    pub(crate) fn under(self, parts: &[&str]) -> Self {
        let ids = self.bench.ids;
        self.change(|out| out.was_under.extend(parts.iter().map(|name| ids.part(name))))
    }

    /// It was under tension.
    pub(crate) fn sprung(self) -> Self {
        self.change(|out| out.under_tension = true)
    }

    /// What rules may depend on.
    pub(crate) fn is(self, traits: &[&str]) -> Self {
        let traits: Vec<TraitId> =
            traits.iter().filter_map(|name| TraitId::new(name).ok()).collect();
        self.last_part(|part| part.traits.extend(traits))
    }

    /// In what condition it was, and what is to become of it.
    pub(crate) fn found(self, condition: &str, verdict: Verdict) -> Self {
        self.last_part(|part| {
            condition.clone_into(&mut part.condition);
            part.verdict = Some(verdict);
        })
    }

    /// What else there is to say.
    pub(crate) fn note(self, note: &str) -> Self {
        self.change(|out| out.note = note.to_owned())
    }
}
