use crate::fields::{Field, Fields};
use crate::invalid::Invalid;
use crate::record::{AnyId, Kind, Record};
use crate::text::{self, limit};

/// Whose watches they are.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Owner {
    /// Name.
    pub name: String,
    /// How to reach them: address, telephone, mail; one line each.
    pub contact: Vec<String>,
    /// Free notes.
    pub notes: String,
}

impl Record for Owner {
    const KIND: Kind = Kind::Owner;

    fn check(&self) -> Result<(), Invalid> {
        text::filled_line("name", &self.name)?;
        text::few_enough("contact", &self.contact, limit::ENTRIES)?;
        self.contact.iter().try_for_each(|entry| text::line("contact", entry))?;
        text::notes("notes", &self.notes)
    }

    fn fields(&self) -> Vec<Field> {
        let Self { name, contact, notes } = self;
        let mut fields = Fields::default();
        fields.text("name", name);
        fields.texts("contact", contact);
        fields.text("notes", notes);
        fields.into_list()
    }

    fn title(&self) -> String {
        self.name.clone()
    }

    fn found_by(&self) -> Vec<String> {
        let Self { name, contact, notes } = self;
        let mut texts = vec![name.clone(), notes.clone()];
        texts.extend(contact.iter().cloned());
        texts
    }

    fn belongs_to(&self) -> Option<AnyId> {
        None
    }
}
