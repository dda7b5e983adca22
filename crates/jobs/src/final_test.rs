use crate::fields::{Field, Fields};
use crate::final_test_words::{FigureOf, SignOf, TestKind, TestOutcome, TestStandard, TestWay};
use crate::id::{JobId, PhotoId, ReadingId};
use crate::invalid::{Invalid, Problem};
use crate::moment::Moment;
use crate::record::{AnyId, Kind, Record};
use crate::text::{self, limit};
use std::collections::BTreeMap;

/// What a watch was put through before it goes back, and what was seen of it. One record is one test
/// done once: of a test that has several ways, each way is one.
///
/// What follows from its numbers is worked out elsewhere and never kept: beside it stands what the
/// repairer says of it.
#[derive(Debug, Clone, PartialEq)]
pub struct FinalTest {
    /// In which job.
    pub job: JobId,
    /// The letter of the balance; empty: the watch.
    pub balance: String,
    /// What was tested.
    pub kind: TestKind,
    /// Which way, where the kind has several and it was said.
    pub way: Option<TestWay>,
    /// By what.
    pub standard: TestStandard,
    /// What it is called, where the kind does not say it.
    pub what: String,
    /// What it was tested with.
    pub instrument: String,
    /// Room, temperature, how the watch was worn.
    pub conditions: String,
    /// When it was done.
    pub done: Moment,
    /// Numbers, by the code of a [`FigureOf`]. A code that is not known here, from a later version of
    /// the program, is kept as it is.
    pub figures: BTreeMap<String, Figure>,
    /// What somebody looked for, by the code of a [`SignOf`], and whether it was so; what is not here
    /// nobody looked at. Unknown codes are kept as they are.
    pub signs: BTreeMap<String, bool>,
    /// Photos of the job that belong to it.
    pub photos: Vec<PhotoId>,
    /// Readings of the job that its numbers come from.
    pub readings: Vec<ReadingId>,
    /// What the repairer says of it.
    pub outcome: TestOutcome,
    /// Free note.
    pub note: String,
}

/// A number of a test, in the unit of its [`FigureOf`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figure {
    /// The number.
    pub value: f64,
    /// Its standard uncertainty, where it is known.
    pub sd: Option<f64>,
}

impl FinalTest {
    /// A test that nothing is known of yet but that it was done.
    #[must_use]
    pub fn begun(job: JobId, kind: TestKind, done: Moment) -> Self {
        Self {
            job,
            balance: String::new(),
            kind,
            way: None,
            standard: TestStandard::Own,
            what: String::new(),
            instrument: String::new(),
            conditions: String::new(),
            done,
            figures: BTreeMap::new(),
            signs: BTreeMap::new(),
            photos: Vec::new(),
            readings: Vec::new(),
            outcome: TestOutcome::NotDecided,
            note: String::new(),
        }
    }

    /// A number, where it was entered.
    #[must_use]
    pub fn figure(&self, of: FigureOf) -> Option<Figure> {
        self.figures.get(of.code()).copied()
    }

    /// Whether something was seen; nothing where nobody looked.
    #[must_use]
    pub fn sign(&self, of: SignOf) -> Option<bool> {
        self.signs.get(of.code()).copied()
    }

    /// What it is called: its own name where it has one, else that of its kind and way.
    #[must_use]
    pub fn called(&self) -> String {
        if !self.what.is_empty() {
            return self.what.clone();
        }
        let way = self.way.map_or_else(String::new, |way| format!(", {}", way.words()));
        format!("{}{way}", self.kind.words())
    }
}

/// Longest code of a number or sign; our own choice.
const CODE: usize = 60;

fn check_code(field: &str, code: &str) -> Result<(), Invalid> {
    text::filled_line(field, code)?;
    let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_';
    if code.len() <= CODE && code.chars().all(plain) {
        return Ok(());
    }
    let problem = "the code of a number or sign has small letters, digits and _ only, 60 at most.";
    Err(Invalid::new(field, Problem::Contradiction(problem)))
}

fn not_of_this_kind(field: impl Into<String>) -> Invalid {
    let problem = "a test of this kind has none; please remove it, or choose another kind.";
    Invalid::new(field, Problem::Contradiction(problem))
}

fn check_figure(kind: TestKind, code: &str, figure: Figure) -> Result<(), Invalid> {
    let Some(of) = FigureOf::from_code(code) else {
        check_code("number", code)?;
        let all = [Some(figure.value), figure.sd];
        return if all.into_iter().flatten().all(f64::is_finite) {
            Ok(())
        } else {
            Err(Invalid::new(code, Problem::NotANumber))
        };
    };
    if !of.kinds().contains(&kind) {
        return Err(not_of_this_kind(of.words()));
    }
    let (from, to) = of.range();
    text::within(of.words(), figure.value, from, to)?;
    let Some(sd) = figure.sd else { return Ok(()) };
    let field = format!("uncertainty of {}", of.words());
    if of.is_measured() {
        text::within(&field, sd, 0.0, to)
    } else {
        let problem = "this number is set, not measured: it has no uncertainty. Please remove it.";
        Err(Invalid::new(field, Problem::Contradiction(problem)))
    }
}

fn check_sign(kind: TestKind, code: &str) -> Result<(), Invalid> {
    match SignOf::from_code(code) {
        None => check_code("sign", code),
        Some(of) if of.kinds().contains(&kind) => Ok(()),
        Some(of) => Err(not_of_this_kind(of.words())),
    }
}

fn no_two_alike<T: PartialEq>(field: &str, what: &str, list: &[T]) -> Result<(), Invalid> {
    text::few_enough(field, list, limit::ENTRIES)?;
    let twice = list.iter().enumerate().any(|(n, one)| list[..n].contains(one));
    if twice {
        return Err(Invalid::new(field, Problem::Twice { what: what.into() }));
    }
    Ok(())
}

impl Record for FinalTest {
    const KIND: Kind = Kind::FinalTest;

    fn check(&self) -> Result<(), Invalid> {
        text::line("balance", &self.balance)?;
        if self.kind == TestKind::Other {
            text::filled_line("what was tested", &self.what)?;
        } else {
            text::line("what was tested", &self.what)?;
        }
        if self.way.is_some_and(|way| way.kind() != self.kind) {
            return Err(not_of_this_kind("way"));
        }
        if !self.kind.standards().contains(&self.standard) {
            let problem =
                "this standard does not ask for a test of this kind; please choose another.";
            return Err(Invalid::new("standard", Problem::Contradiction(problem)));
        }
        text::line("instrument", &self.instrument)?;
        text::notes("conditions", &self.conditions)?;
        if self.done.ms() < 0 || jiff::Timestamp::from_millisecond(self.done.ms()).is_err() {
            let problem = "this is no day of a calendar in use; please check the date.";
            return Err(Invalid::new("done", Problem::Contradiction(problem)));
        }
        for (field, is) in [("numbers", self.figures.len()), ("signs", self.signs.len())] {
            if is > limit::ENTRIES {
                return Err(Invalid::new(field, Problem::TooMany { is, limit: limit::ENTRIES }));
            }
        }
        for (code, figure) in &self.figures {
            check_figure(self.kind, code, *figure)?;
        }
        for code in self.signs.keys() {
            check_sign(self.kind, code)?;
        }
        no_two_alike("photos", "a photo", &self.photos)?;
        no_two_alike("readings", "a reading", &self.readings)?;
        text::notes("note", &self.note)
    }

    fn fields(&self) -> Vec<Field> {
        let Self {
            job,
            balance,
            kind,
            way,
            standard,
            what,
            instrument,
            conditions,
            done,
            figures,
            signs,
            photos,
            readings,
            outcome,
            note,
        } = self;
        let mut fields = Fields::default();
        fields.put("job", job);
        fields.text("balance", balance);
        fields.put("kind", kind.words());
        fields.maybe("way", way.map(TestWay::words));
        fields.put("by", standard.words());
        fields.text("what was tested", what);
        fields.text("instrument", instrument);
        fields.text("conditions", conditions);
        fields.put("done", done);
        for (code, Figure { value, sd }) in figures {
            let name = FigureOf::from_code(code)
                .map_or_else(|| format!("number {code}"), FigureOf::words_with_unit);
            fields.number(&name, Some(*value));
            fields.number(&format!("uncertainty of {name}"), *sd);
        }
        for (code, seen) in signs {
            let name = SignOf::from_code(code)
                .map_or_else(|| format!("sign {code}"), |of| of.words().into());
            fields.put(name, if *seen { "yes" } else { "no" });
        }
        for (n, photo) in (1..).zip(photos) {
            fields.put(format!("photo {n}"), photo);
        }
        for (n, reading) in (1..).zip(readings) {
            fields.put(format!("reading {n}"), reading);
        }
        fields.put("outcome", outcome.words());
        fields.text("note", note);
        fields.into_list()
    }

    fn title(&self) -> String {
        let whose =
            if self.balance.is_empty() { String::new() } else { format!(" {}", self.balance) };
        format!("test: {}{whose}, {}", self.called(), self.outcome.words())
    }

    fn found_by(&self) -> Vec<String> {
        vec![
            self.kind.words().to_owned(),
            self.what.clone(),
            self.instrument.clone(),
            self.conditions.clone(),
            self.note.clone(),
        ]
    }

    fn belongs_to(&self) -> Option<AnyId> {
        Some(AnyId { kind: Kind::Job, uuid: self.job.uuid() })
    }
}
