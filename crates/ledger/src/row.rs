//! One row as the records of a visit.

use crate::column::Column;
use crate::unfit::short;
use crate::{ids, written};
use jobs::{
    Answer, BalanceReading, Currency, Estimate, EstimateId, EstimateLine, Id, Job, JobId, Owner,
    OwnerId, Reading, ReadingId, ReadingSettings, Record, Watch, WatchId,
};
use quantities::{Measured, Position};

/// The records of one visit. What hangs on others comes after them.
#[derive(Debug, Clone, PartialEq)]
pub struct Visit {
    /// The line in which its row begins, from 1.
    pub line: u64,
    /// Whose the watch is, where it was written.
    pub owner: Option<(OwnerId, Owner)>,
    /// The watch.
    pub watch: (WatchId, Watch),
    /// The visit.
    pub job: (JobId, Job),
    /// Its price.
    pub estimate: Option<(EstimateId, Estimate)>,
    /// Its rates, where it was written how well they are known.
    pub readings: Vec<(ReadingId, Reading)>,
}

/// A rate as it was noted: nobody says by what, and how long it was listened to.
const DEVICE: &str = "paper record";

/// Each with the id that follows from its row.
type Readings = Vec<(ReadingId, Reading)>;

/// Rates beyond this are a slip of the pen, s/d; our own choice.
const RATE_S_PER_D: f64 = 10_000.0;

/// What stands in a row, by its columns; what is empty is not there.
pub(crate) struct Row<'a> {
    pub(crate) line: u64,
    pub(crate) words: Vec<(Column, &'a str)>,
}

impl Row<'_> {
    fn get(&self, column: Column) -> Option<&str> {
        self.words.iter().find(|(own, _)| *own == column).map(|(_, words)| *words)
    }

    fn text(&self, column: Column) -> &str {
        self.get(column).unwrap_or_default()
    }

    /// The value of a column as it is written, or what would do.
    fn value<T>(
        &self,
        column: Column,
        read: impl FnOnce(&str) -> Result<T, &'static str>,
    ) -> Result<Option<T>, String> {
        let Some(words) = self.get(column) else { return Ok(None) };
        let wrong = |why| format!("{} cannot be “{}”: {why}.", column.name(), short(words));
        read(words).map(Some).map_err(wrong)
    }

    /// The records of it.
    pub(crate) fn visit(&self) -> Result<Visit, String> {
        let owner = self.owner();
        let watch = self.watch(owner.as_ref().map(|(id, _)| *id))?;
        let (job_id, mut job) = self.job(watch.0)?;
        let (readings, noted) = self.rates(job_id, &job)?;
        if !noted.is_empty() {
            let line = format!("Rates noted, s/d: {}.", noted.join(", "));
            job.notes = [job.notes, line].join("\n").trim_start().to_owned();
        }
        let estimate = self.estimate(job_id)?;
        let visit = Visit { line: self.line, owner, watch, job: (job_id, job), estimate, readings };
        visit.check()?;
        Ok(visit)
    }

    fn owner(&self) -> Option<(OwnerId, Owner)> {
        let (name, contact) = (self.get(Column::Owner)?, self.text(Column::Contact));
        let id = Id::from_uuid(ids::of("owner", &[name, contact]));
        let contact = contact.lines().map(str::to_owned).filter(|line| !line.is_empty());
        Some((id, Owner { name: name.into(), contact: contact.collect(), notes: String::new() }))
    }

    fn watch(&self, owner: Option<OwnerId>) -> Result<(WatchId, Watch), String> {
        let description = self.text(Column::Watch);
        if description.is_empty() {
            return Err("watch is empty: say what it is, like “steel wristwatch”.".into());
        }
        let (serial, mark) = (self.text(Column::Serial), self.text(Column::Mark));
        // A number tells a watch whoever brings it; without one it is this owner's watch of this name.
        let uuid = match (serial, mark, owner) {
            ("", "", None) => {
                return Err("give the owner, a serial number or a mark of your own: else nobody \
                            knows which watch it is."
                    .into());
            }
            ("", "", Some(owner)) => {
                ids::of("watch of an owner", &[&owner.to_string(), description])
            }
            ("", mark, _) => ids::of("watch by mark", &[mark]),
            (serial, _, _) => ids::of("watch by number", &[serial, description]),
        };
        let numbers = [serial, mark].into_iter().filter(|number| !number.is_empty());
        let watch = Watch {
            owner,
            description: description.into(),
            calibre: self.text(Column::Calibre).into(),
            serial_numbers: numbers.map(str::to_owned).collect(),
            ..Watch::default()
        };
        Ok((Id::from_uuid(uuid), watch))
    }

    fn job(&self, watch: WatchId) -> Result<(JobId, Job), String> {
        let came = self.value(Column::In, written::day)?;
        let came = came.ok_or("in is empty: give the day on which the watch came in.")?;
        let is_here = self.get(Column::Out).is_some_and(|words| words.eq_ignore_ascii_case("here"));
        let went = if is_here { None } else { self.value(Column::Out, written::day)? };
        if went.is_none() && !is_here {
            return Err(
                "out is empty: give the day on which the watch went back, or write “here” \
                        where it has not yet."
                    .into(),
            );
        }
        if went.is_some_and(|went| went < came) {
            return Err("out lies before in: check the two days.".into());
        }
        let words = [self.text(Column::Complaint), self.text(Column::Done)];
        let mut job = Job::begun(watch, words[0], written::noon(came));
        job.notes = words[1].to_owned();
        if let Some(went) = went {
            job.hand_over(written::noon(went));
        }
        let id = ids::of("job", &[&watch.to_string(), &came.to_string()]);
        Ok((Id::from_uuid(id), job))
    }

    /// Rates that are readings, because it is known how well they are known; and the others, as text.
    fn rates(&self, job_id: JobId, job: &Job) -> Result<(Readings, Vec<String>), String> {
        let rate = |words: &str| {
            let rate = written::number(words)?;
            if rate.abs() <= RATE_S_PER_D { Ok(rate) } else { Err("no watch is off by as much") }
        };
        let sd = self.value(Column::RateSd, |words| {
            let sd = written::number(words)?;
            if sd > 0.0 && sd <= RATE_S_PER_D { Ok(sd) } else { Err("it must be more than nought") }
        })?;
        let (mut readings, mut noted) = (Vec::new(), Vec::new());
        for (column, words) in &self.words {
            let Column::Rate(position) = *column else { continue };
            let Some(rate) = self.value(*column, rate)? else { continue };
            match sd {
                None => noted.push(format!("{} {words}", position.symbol())),
                Some(sd) => {
                    let id = ids::of("reading", &[&job_id.to_string(), position.symbol()]);
                    let reading = reading(job_id, job, position, Measured::new(rate, sd));
                    readings.push((Id::from_uuid(id), reading));
                }
            }
        }
        Ok((readings, noted))
    }

    fn estimate(&self, job: JobId) -> Result<Option<(EstimateId, Estimate)>, String> {
        let currency = self.value(Column::Currency, |words| {
            Currency::from_letters(&words.to_uppercase())
                .map_err(|_| "write three letters, like EUR")
        })?;
        if self.get(Column::Price).is_none() {
            return Ok(None);
        }
        let currency = currency.ok_or("currency is empty: say of what the price is, like EUR.")?;
        let Some(minor_units) =
            self.value(Column::Price, |words| written::amount(words, currency))?
        else {
            return Ok(None);
        };
        let lines = vec![EstimateLine { what: "as in the paper record".into(), minor_units }];
        // What the owner said was not written down.
        let estimate = Estimate { job, currency, lines, answer: Answer::NotAsked, answered: None };
        Ok(Some((Id::from_uuid(ids::of("estimate", &[&job.to_string()])), estimate)))
    }
}

fn reading(job_id: JobId, job: &Job, position: Position, rate: Measured) -> Reading {
    // Rates are noted when the watch is done.
    let taken = job.handed_over.or(job.moves.last().map(|last| last.at));
    let balance =
        BalanceReading { label: "A".into(), rate_s_per_d: Some(rate), ..BalanceReading::default() };
    Reading {
        job: job_id,
        position: Some(position),
        wind: String::new(),
        taken: taken.unwrap_or(jobs::Moment::from_ms(0)),
        duration_s: 0.0,
        device: DEVICE.into(),
        settings: ReadingSettings::default(),
        program: String::new(),
        sound: None,
        balances: vec![balance],
        relation: None,
        lost_samples: 0,
        warnings: Vec::new(),
        note: String::new(),
    }
}

impl Visit {
    /// Whether all of it may be kept.
    fn check(&self) -> Result<(), String> {
        let Self { line: _, owner, watch, job, estimate, readings } = self;
        let sentence = |invalid: jobs::Invalid| invalid.to_string();
        if let Some((_, owner)) = owner {
            owner.check().map_err(sentence)?;
        }
        watch.1.check().map_err(sentence)?;
        job.1.check().map_err(sentence)?;
        if let Some((_, estimate)) = estimate {
            estimate.check().map_err(sentence)?;
        }
        readings.iter().try_for_each(|(_, reading)| reading.check().map_err(sentence))
    }
}
