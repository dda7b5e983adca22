use crate::fields::{Field, Fields};
use crate::id::JobId;
use crate::invalid::{Invalid, Problem};
use crate::moment::Moment;
use crate::record::{AnyId, Kind, Record};
use crate::text;
use crate::wordlist::wordlist;

wordlist! {
    /// By what something was changed at the watch.
    pub enum AdjustmentBy {
        /// The index, in degrees or in its own divisions; towards faster positive.
        Index = "index", "index";
        /// A pair of timing screws, turns of each; inwards, towards faster, positive.
        TimingScrews = "timing_screws", "timing screws";
        /// Mass taken off the balance, milligrams; taken off, towards faster, positive.
        Mass = "mass", "mass of the balance";
        /// The stud or its carrier, degrees, for the beat; clockwise seen from the balance's own
        /// side of the movement positive.
        Stud = "stud", "stud";
        /// Anything else that parts the readings before from those after: a cleaning, a new part.
        Other = "other", "other work";
    }
}

/// One move of the hand while regulating, and to which balance.
#[derive(Debug, Clone, PartialEq)]
pub struct Adjustment {
    /// In which job.
    pub job: JobId,
    /// The letter of the balance; empty: all of them.
    pub balance: String,
    /// When it was done.
    pub at: Moment,
    /// By what.
    pub by: AdjustmentBy,
    /// How far, in the unit and with the sign that [`AdjustmentBy`] gives; none where it was not
    /// measured.
    pub amount: Option<f64>,
    /// Free note.
    pub note: String,
}

/// More than any index, screw, stud or balance has room for; our own choice.
const AMOUNT: f64 = 1000.0;

impl Record for Adjustment {
    const KIND: Kind = Kind::Adjustment;

    fn check(&self) -> Result<(), Invalid> {
        text::line("balance", &self.balance)?;
        text::notes("note", &self.note)?;
        let Some(amount) = self.amount else { return Ok(()) };
        if amount == 0.0 {
            let problem = "a move of nought is none; enter how far it went, or leave it empty.";
            return Err(Invalid::new("amount", Problem::Contradiction(problem)));
        }
        text::within("amount", amount, -AMOUNT, AMOUNT)
    }

    fn fields(&self) -> Vec<Field> {
        let Self { job, balance, at, by, amount, note } = self;
        let mut fields = Fields::default();
        fields.put("job", job);
        fields.text("balance", balance);
        fields.put("at", at);
        fields.put("by", by.words());
        fields.number("amount", *amount);
        fields.text("note", note);
        fields.into_list()
    }

    fn title(&self) -> String {
        let amount = self.amount.map(|amount| format!("{amount:+}"));
        [Some(self.by.words().to_owned()), amount, Some(self.balance.clone())]
            .into_iter()
            .flatten()
            .filter(|words| !words.is_empty())
            .collect::<Vec<_>>()
            .join(" ")
    }

    fn found_by(&self) -> Vec<String> {
        vec![self.note.clone()]
    }

    fn belongs_to(&self) -> Option<AnyId> {
        Some(AnyId { kind: Kind::Job, uuid: self.job.uuid() })
    }
}
