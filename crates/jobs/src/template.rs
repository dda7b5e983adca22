use crate::fields::{Field, Fields};
use crate::invalid::Invalid;
use crate::record::{AnyId, Kind, Record};
use crate::text;

/// A take-down log without owner data, kept by name to begin other jobs from.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Template {
    /// What the user calls it.
    pub name: String,
    /// Free notes.
    pub note: String,
    /// The log in its written form, which is not read here.
    pub log: String,
}

impl Record for Template {
    const KIND: Kind = Kind::Template;

    fn check(&self) -> Result<(), Invalid> {
        text::filled_line("name", &self.name)?;
        text::notes("note", &self.note)?;
        text::check_opaque("log", &self.log)
    }

    fn fields(&self) -> Vec<Field> {
        let Self { name, note, log } = self;
        let mut fields = Fields::default();
        fields.text("name", name);
        fields.text("note", note);
        fields.text("log", log);
        fields.into_list()
    }

    fn title(&self) -> String {
        self.name.clone()
    }

    fn found_by(&self) -> Vec<String> {
        vec![self.name.clone(), self.note.clone()]
    }

    fn belongs_to(&self) -> Option<AnyId> {
        None
    }
}
