use crate::fields::{Field, Fields};
use crate::id::JobId;
use crate::invalid::{Invalid, Problem};
use crate::moment::Moment;
use crate::money::{Currency, Money};
use crate::record::{AnyId, Kind, Record};
use crate::text::{self, limit};
use crate::wordlist::wordlist;

wordlist! {
    /// What the owner said to an estimate.
    pub enum Answer {
        /// Nothing yet: they were not asked, or have not answered.
        NotAsked = "not_asked", "not asked";
        /// Yes.
        Yes = "yes", "yes";
        /// No.
        No = "no", "no";
    }
}

/// What the work will cost.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Estimate {
    /// For which job.
    pub job: JobId,
    /// Currency of all lines.
    pub currency: Currency,
    /// What it is made up of.
    pub lines: Vec<EstimateLine>,
    /// What the owner said.
    pub answer: Answer,
    /// When they said it; nothing as long as they have not.
    pub answered: Option<Moment>,
}

/// One line of an estimate.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EstimateLine {
    /// What for.
    pub what: String,
    /// How much, in minor units of the estimate's currency; a reduction is negative.
    pub minor_units: i64,
}

impl Estimate {
    /// All lines together.
    ///
    /// # Errors
    ///
    /// Where the sum is beyond what can be counted.
    pub fn total(&self) -> Result<Money, Invalid> {
        let sum = self.lines.iter().try_fold(0_i64, |sum, line| sum.checked_add(line.minor_units));
        let minor_units = sum.ok_or_else(|| Invalid::new("total", Problem::Overflow))?;
        Ok(Money { minor_units, currency: self.currency })
    }
}

impl Record for Estimate {
    const KIND: Kind = Kind::Estimate;

    fn check(&self) -> Result<(), Invalid> {
        text::few_enough("lines", &self.lines, limit::ENTRIES)?;
        for line in &self.lines {
            text::filled_line("line", &line.what)?;
            Money { minor_units: line.minor_units, currency: self.currency }.check("amount")?;
        }
        self.total()?;
        let contradiction = match (self.answer, self.answered) {
            (Answer::NotAsked, Some(_)) => {
                "there is a time of an answer but no answer; please enter yes or no."
            }
            (Answer::Yes | Answer::No, None) => {
                "there is an answer without its time; please enter when it was given."
            }
            _ => return Ok(()),
        };
        Err(Invalid::new("answer", Problem::Contradiction(contradiction)))
    }

    fn fields(&self) -> Vec<Field> {
        let Self { job, currency, lines, answer, answered } = self;
        let mut fields = Fields::default();
        fields.put("job", job);
        fields.put("currency", currency);
        for (n, EstimateLine { what, minor_units }) in (1..).zip(lines) {
            fields.put(format!("line {n}"), what);
            let amount = Money { minor_units: *minor_units, currency: *currency };
            fields.put(format!("line {n}, amount"), amount);
        }
        fields.put("answer", answer.words());
        fields.maybe("answered", *answered);
        fields.into_list()
    }

    fn title(&self) -> String {
        self.total().map_or_else(|_| "estimate".into(), |total| format!("estimate, {total}"))
    }

    fn found_by(&self) -> Vec<String> {
        self.lines.iter().map(|line| line.what.clone()).collect()
    }

    fn belongs_to(&self) -> Option<AnyId> {
        Some(AnyId { kind: Kind::Job, uuid: self.job.uuid() })
    }
}
