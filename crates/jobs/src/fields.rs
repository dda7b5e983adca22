//! The fields of a record as text, and what differs between two versions of one.

use crate::record::Record;
use std::collections::BTreeMap;

/// One field: its name in plain words, and its value as text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Field {
    /// Name in plain words: "due date", "line 2, amount".
    pub name: String,
    /// Its value as text.
    pub value: String,
}

/// What changed in one field.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// Name in plain words.
    pub field: String,
    /// What it was; nothing where it was empty or not there.
    pub before: Option<String>,
    /// What it is now; nothing where it is empty or gone.
    pub after: Option<String>,
}

/// What differs between two versions, field by field, in the order of the fields. Nothing if and
/// only if the two are equal.
#[must_use]
pub fn differences<T: Record>(before: &T, after: &T) -> Vec<Difference> {
    differences_between(&before.fields(), &after.fields())
}

/// As [`differences`], of lists of fields; an empty list stands for no record at all.
#[must_use]
pub fn differences_between(before: &[Field], after: &[Field]) -> Vec<Difference> {
    let new: BTreeMap<&str, &str> =
        after.iter().map(|field| (field.name.as_str(), field.value.as_str())).collect();
    let old: BTreeMap<&str, &str> =
        before.iter().map(|field| (field.name.as_str(), field.value.as_str())).collect();
    let changed = before.iter().filter_map(|field| {
        let value = new.get(field.name.as_str()).copied();
        (value != Some(field.value.as_str())).then(|| Difference {
            field: field.name.clone(),
            before: Some(field.value.clone()),
            after: value.map(str::to_owned),
        })
    });
    let added = after.iter().filter(|field| !old.contains_key(field.name.as_str())).map(|field| {
        Difference { field: field.name.clone(), before: None, after: Some(field.value.clone()) }
    });
    changed.chain(added).collect()
}

/// Collects the fields of a record. Whoever fills one takes its record apart by name, so that a
/// field that was added later cannot be forgotten: it would not compile.
#[derive(Default)]
pub(crate) struct Fields {
    list: Vec<Field>,
}

impl Fields {
    /// A text; an empty one has no entry.
    pub(crate) fn text(&mut self, name: &str, value: &str) {
        if !value.is_empty() {
            self.put(name, value);
        }
    }

    /// A value that may not be known.
    pub(crate) fn maybe(&mut self, name: &str, value: Option<impl ToString>) {
        if let Some(value) = value {
            self.put(name, value);
        }
    }

    /// A value that always stands, be it empty: entries of lists, so that two lists of different
    /// length never look alike.
    pub(crate) fn put(&mut self, name: impl Into<String>, value: impl ToString) {
        self.list.push(Field { name: name.into(), value: value.to_string() });
    }

    /// A number that may not be known. Zero has one form only.
    pub(crate) fn number(&mut self, name: &str, value: Option<f64>) {
        self.maybe(name, value.map(|number| number + 0.0));
    }

    /// A list of texts, counted from 1.
    pub(crate) fn texts(&mut self, name: &str, values: &[String]) {
        for (n, value) in (1..).zip(values) {
            self.put(format!("{name} {n}"), value);
        }
    }

    pub(crate) fn into_list(self) -> Vec<Field> {
        self.list
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn field(name: &str, value: &str) -> Field {
        Field { name: name.into(), value: value.into() }
    }

    #[test]
    fn what_was_changed_added_and_removed_is_told() {
        let before = [field("name", "Ada"), field("notes", "rings first"), field("line 1", "x")];
        let after = [field("name", "Ada"), field("notes", "writes"), field("line 2", "y")];
        let told = |name: &str, before: Option<&str>, after: Option<&str>| Difference {
            field: name.into(),
            before: before.map(Into::into),
            after: after.map(Into::into),
        };
        assert_eq!(
            differences_between(&before, &after),
            [
                told("notes", Some("rings first"), Some("writes")),
                told("line 1", Some("x"), None),
                told("line 2", None, Some("y")),
            ]
        );
    }
}
