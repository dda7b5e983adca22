use crate::fields::{Field, Fields};
use crate::id::JobId;
use crate::invalid::{Invalid, Problem};
use crate::money::Money;
use crate::record::{AnyId, Kind, Record};
use crate::text;
use crate::wordlist::wordlist;

wordlist! {
    /// How far a part to order has come.
    pub enum PartState {
        /// To be ordered.
        Wanted = "wanted", "wanted";
        /// On its way.
        Ordered = "ordered", "ordered";
        /// Here.
        Arrived = "arrived", "arrived";
        /// In the watch.
        Fitted = "fitted", "fitted";
        /// Wanted once, no longer.
        NotNeeded = "not_needed", "not needed";
    }
}

/// A part to order for a job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    /// For which job.
    pub job: JobId,
    /// What.
    pub what: String,
    /// How many, from 1.
    pub quantity: u32,
    /// From whom.
    pub supplier: String,
    /// How far it has come.
    pub state: PartState,
    /// What all of them together cost.
    pub cost: Option<Money>,
}

impl Record for Part {
    const KIND: Kind = Kind::Part;

    fn check(&self) -> Result<(), Invalid> {
        text::filled_line("what", &self.what)?;
        text::line("supplier", &self.supplier)?;
        if !(1..=QUANTITY).contains(&self.quantity) {
            let (is, from, to) = (self.quantity.to_string(), "1".into(), QUANTITY.to_string());
            return Err(Invalid::new("quantity", Problem::OutOfRange { is, from, to }));
        }
        self.cost.map_or(Ok(()), |cost| cost.check("cost"))
    }

    fn fields(&self) -> Vec<Field> {
        let Self { job, what, quantity, supplier, state, cost } = self;
        let mut fields = Fields::default();
        fields.put("job", job);
        fields.text("what", what);
        fields.put("quantity", quantity);
        fields.text("supplier", supplier);
        fields.put("state", state.words());
        fields.maybe("cost", *cost);
        fields.into_list()
    }

    fn title(&self) -> String {
        if self.quantity == 1 {
            self.what.clone()
        } else {
            format!("{} × {}", self.quantity, self.what)
        }
    }

    fn found_by(&self) -> Vec<String> {
        vec![self.what.clone(), self.supplier.clone()]
    }

    fn belongs_to(&self) -> Option<AnyId> {
        Some(AnyId { kind: Kind::Job, uuid: self.job.uuid() })
    }
}

/// Most of one part that a bench would order; our own choice.
const QUANTITY: u32 = 1_000_000;
