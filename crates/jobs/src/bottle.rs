use crate::fields::{Field, Fields};
use crate::invalid::Invalid;
use crate::record::{AnyId, Kind, Record};
use crate::text;
use jiff::civil::Date;

/// A bottle of lubricant on the user's bench.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Bottle {
    /// Code of the class of what is in it. Which classes there are, the caller knows.
    pub class: String,
    /// What the user calls it.
    pub name: String,
    /// When it was opened; none: it is not open, or nobody knows.
    pub opened: Option<Date>,
    /// After which day it should not be used.
    pub expires: Option<Date>,
    /// Free notes.
    pub note: String,
    /// It is used up or was thrown away.
    pub used_up: bool,
}

impl Record for Bottle {
    const KIND: Kind = Kind::Bottle;

    fn check(&self) -> Result<(), Invalid> {
        text::filled_line("class", &self.class)?;
        text::filled_line("name", &self.name)?;
        text::notes("note", &self.note)
    }

    fn fields(&self) -> Vec<Field> {
        let Self { class, name, opened, expires, note, used_up } = self;
        let mut fields = Fields::default();
        fields.text("class", class);
        fields.text("name", name);
        fields.maybe("opened", *opened);
        fields.maybe("expires", *expires);
        fields.text("note", note);
        fields.maybe("used up", used_up.then_some("yes"));
        fields.into_list()
    }

    fn title(&self) -> String {
        self.name.clone()
    }

    fn found_by(&self) -> Vec<String> {
        vec![self.name.clone(), self.class.clone(), self.note.clone()]
    }

    fn belongs_to(&self) -> Option<AnyId> {
        None
    }
}
