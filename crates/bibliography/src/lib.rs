//! The one bibliography of the project: what the keys mean by which code, rules and documents name
//! their sources.

use serde::Deserialize;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// What a citation starts with.
pub const LEAD: &str = "bib:";

const BIBLIOGRAPHY: &str = include_str!("../../../docs/bibliography/sources.toml");

/// How much of a text was seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Seen {
    /// The text itself.
    Read,
    /// A report of it.
    SecondHand,
    /// Nothing: it is cited from memory.
    FromMemory,
}

impl Seen {
    /// What has to be said beside a citation, so that nothing passes for more than it is.
    #[must_use]
    pub fn remark(self) -> Option<&'static str> {
        match self {
            Self::Read => None,
            Self::SecondHand => Some("from a report of it"),
            Self::FromMemory => Some("cited from memory"),
        }
    }
}

/// A text in the bibliography; the file has more of it than is wanted here.
#[derive(Debug, Deserialize)]
pub struct Text {
    /// Its title.
    pub title: String,
    /// Who wrote it; empty where nobody is named.
    #[serde(default)]
    pub author: String,
    /// When it appeared.
    pub year: Option<u32>,
    /// How much of it was seen.
    pub seen: Seen,
}

impl Text {
    /// "A Title (1905)"
    #[must_use]
    pub fn title_and_year(&self) -> String {
        let year = self.year.map_or_else(String::new, |year| format!(" ({year})"));
        format!("{}{year}", self.title)
    }
}

/// The text of a key, without its lead.
#[must_use]
pub fn text(key: &str) -> Option<&'static Text> {
    static READ: OnceLock<BTreeMap<String, Text>> = OnceLock::new();
    READ.get_or_init(|| toml::from_str(BIBLIOGRAPHY).unwrap_or_default()).get(key)
}

/// Words with every citation in them written out: "bib:goodrich1905, ch. XV" becomes "W. L. Goodrich,
/// The Modern Clock (1905), ch. XV". A key that is not there stays as it is.
#[must_use]
pub fn written_out(words: &str) -> String {
    let mut all = String::new();
    let mut rest = words;
    while let Some(at) = rest.find(LEAD) {
        let (before, cited) = rest.split_at(at);
        all.push_str(before);
        let from = LEAD.len();
        let of_key = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        let end = cited[from..].find(|c| !of_key(c)).map_or(cited.len(), |end| from + end);
        let key = cited[from..end].trim_end_matches('-');
        rest = &cited[from + key.len()..];
        match text(key) {
            Some(found) => all.push_str(&in_words(found)),
            None => all.push_str(&cited[..from + key.len()]),
        }
    }
    all.push_str(rest);
    all
}

fn in_words(text: &Text) -> String {
    let author = if text.author.is_empty() { String::new() } else { format!("{}, ", text.author) };
    let remark = text.seen.remark().map_or_else(String::new, |remark| format!(" ({remark})"));
    format!("{author}{}{remark}", text.title_and_year())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn citations_are_written_out() {
        assert_eq!(
            written_out("bib:goodrich1905, ch. XV; common practice"),
            "W. L. Goodrich, The Modern Clock (1905), ch. XV; common practice"
        );
        let unknown = format!("{LEAD}nobody, p. 1");
        assert_eq!(written_out(&unknown), unknown);
        assert_eq!(written_out("common practice"), "common practice");
        assert!(written_out("bib:baluev2008").ends_with("(2008) (cited from memory)"));
    }
}
