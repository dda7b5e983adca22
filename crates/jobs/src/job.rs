use crate::condition::{ConditionEntry, check_condition, put_condition};
use crate::day_or_month::DayOrMonth;
use crate::fields::{Field, Fields};
use crate::id::WatchId;
use crate::invalid::{Invalid, Problem};
use crate::moment::Moment;
use crate::record::{AnyId, Kind, Record};
use crate::stage::{Stage, StageMove};
use crate::text::{self, limit};
use jiff::civil::Date;

/// One visit of a watch to the bench.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Job {
    /// Which watch.
    pub watch: WatchId,
    /// The job's number for people; 0 as long as it has none.
    pub number: u32,
    /// What the owner complains of.
    pub complaint: String,
    /// How the watch was found when it came in.
    pub condition: Vec<ConditionEntry>,
    /// Free notes.
    pub notes: String,
    /// By which day it should be done.
    pub due: Option<Date>,
    /// Its way through the stages, first to last, never empty: the last is where it is now.
    pub moves: Vec<StageMove>,
    /// When it went back to its owner.
    pub handed_over: Option<Moment>,
    /// What the owner should watch for, once it is back.
    pub to_watch: String,
    /// When it should come in again.
    pub next_service: Option<DayOrMonth>,
}

impl Job {
    /// A job that begins with intake, without a number yet.
    #[must_use]
    pub fn begun(watch: WatchId, complaint: impl Into<String>, at: Moment) -> Self {
        Self {
            watch,
            number: 0,
            complaint: complaint.into(),
            condition: Vec::new(),
            notes: String::new(),
            due: None,
            moves: vec![StageMove { to: Stage::Intake, at }],
            handed_over: None,
            to_watch: String::new(),
            next_service: None,
        }
    }

    /// Where it is now.
    #[must_use]
    pub fn stage(&self) -> Stage {
        self.moves.last().map_or(Stage::Intake, |last| last.to)
    }

    /// When it first came to a stage in which the watch is worked on.
    #[must_use]
    pub fn work_began(&self) -> Option<Moment> {
        self.moves.iter().find(|step| step.to > Stage::Estimate).map(|step| step.at)
    }

    /// Moves it to a stage, forward or back as the work goes. A move to where it is already is
    /// none. Taking a job up again that had gone back to its owner opens it again.
    pub fn move_to(&mut self, to: Stage, at: Moment) {
        if to != self.stage() || self.moves.is_empty() {
            self.moves.push(StageMove { to, at });
        }
        if to != Stage::HandOver {
            self.handed_over = None;
        }
    }

    /// The watch has gone back to its owner.
    pub fn hand_over(&mut self, at: Moment) {
        self.move_to(Stage::HandOver, at);
        self.handed_over = Some(at);
    }

    /// Whether there is still something to do.
    #[must_use]
    pub fn is_open(&self) -> bool {
        self.handed_over.is_none()
    }
}

impl Record for Job {
    const KIND: Kind = Kind::Job;

    fn check(&self) -> Result<(), Invalid> {
        text::notes("complaint", &self.complaint)?;
        check_condition(&self.condition)?;
        text::notes("notes", &self.notes)?;
        text::notes("what to watch for", &self.to_watch)?;
        if self.moves.is_empty() {
            return Err(Invalid::new("stage", Problem::Empty));
        }
        text::few_enough("moves between stages", &self.moves, limit::MOVES)?;
        if self.handed_over.is_some() && self.stage() != Stage::HandOver {
            return Err(Invalid::new(
                "stage",
                Problem::Contradiction(
                    "a job that has gone back to its owner is at the stage hand over; please move \
                     it there, or say that it is still here.",
                ),
            ));
        }
        Ok(())
    }

    fn fields(&self) -> Vec<Field> {
        let Self {
            watch,
            number,
            complaint,
            condition,
            notes,
            due,
            moves,
            handed_over,
            to_watch,
            next_service,
        } = self;
        let mut fields = Fields::default();
        fields.put("watch", watch);
        fields.put("number", number);
        fields.text("complaint", complaint);
        put_condition(condition, &mut fields);
        fields.text("notes", notes);
        fields.maybe("due date", *due);
        for (n, StageMove { to, at }) in (1..).zip(moves) {
            fields.put(format!("stage {n}"), to.words());
            fields.put(format!("stage {n}, since"), at);
        }
        fields.maybe("handed over", *handed_over);
        fields.text("what to watch for", to_watch);
        fields.maybe("next service", *next_service);
        fields.into_list()
    }

    fn title(&self) -> String {
        let first_line = self.complaint.lines().next().unwrap_or_default();
        if first_line.trim().is_empty() {
            format!("job {}", self.number)
        } else {
            let short: String = first_line.chars().take(limit::LINE).collect();
            format!("job {}: {short}", self.number)
        }
    }

    fn found_by(&self) -> Vec<String> {
        let mut texts = vec![
            self.number.to_string(),
            self.complaint.clone(),
            self.notes.clone(),
            self.to_watch.clone(),
        ];
        texts.extend(self.condition.iter().map(|entry| entry.note.clone()));
        texts
    }

    fn belongs_to(&self) -> Option<AnyId> {
        Some(AnyId { kind: Kind::Watch, uuid: self.watch.uuid() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::id::Id;
    use uuid::Uuid;

    fn job() -> Job {
        Job::begun(Id::from_uuid(Uuid::nil()), "loses a minute a day", Moment::from_ms(1))
    }

    #[test]
    fn moves_are_free_and_each_is_kept() {
        let mut job = job();
        job.move_to(Stage::Regulate, Moment::from_ms(2));
        job.move_to(Stage::Regulate, Moment::from_ms(3));
        job.move_to(Stage::TakeDown, Moment::from_ms(4));
        let way: Vec<_> = job.moves.iter().map(|m| (m.to, m.at.ms())).collect();
        assert_eq!(way, [(Stage::Intake, 1), (Stage::Regulate, 2), (Stage::TakeDown, 4)]);
    }

    #[test]
    fn work_begins_after_the_estimate() {
        let mut job = job();
        job.move_to(Stage::Estimate, Moment::from_ms(2));
        assert_eq!(job.work_began(), None);
        job.move_to(Stage::Rebuild, Moment::from_ms(3));
        job.move_to(Stage::TakeDown, Moment::from_ms(4));
        assert_eq!(job.work_began(), Some(Moment::from_ms(3)));
    }

    #[test]
    fn a_job_taken_up_again_is_open() {
        let mut job = job();
        job.hand_over(Moment::from_ms(5));
        assert!(!job.is_open());
        assert_eq!(job.check(), Ok(()));
        job.move_to(Stage::Regulate, Moment::from_ms(6));
        assert!(job.is_open());
        job.handed_over = Some(Moment::from_ms(7));
        assert!(job.check().is_err());
    }
}
