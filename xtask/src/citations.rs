use crate::Fault;
use crate::finding::Finding;
use crate::tree::Page;
use serde::Deserialize;
use std::collections::{BTreeMap, BTreeSet};

/// What a citation starts with, in code and documents alike; the key follows at once.
const LEAD: &str = "bib:";

/// One source. Only the title and how it was seen are wanted of every kind.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(dead_code, reason = "reading them checks that they are there and spelt right")]
struct Entry {
    title: String,
    author: Option<String>,
    year: Option<u32>,
    publisher: Option<String>,
    journal: Option<String>,
    volume: Option<String>,
    pages: Option<String>,
    doi: Option<String>,
    url: Option<String>,
    seen: Seen,
    used_for: String,
}

/// How a source was consulted; nothing passes for more than it is.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Seen {
    /// The text itself was read.
    Read,
    /// A report of it was read.
    SecondHand,
    /// Cited from memory, not seen.
    FromMemory,
}

/// Every key that is cited stands in the bibliography, and every entry is cited somewhere.
pub(crate) fn check(
    place: &str,
    bibliography: &str,
    pages: &[Page],
) -> Result<Vec<Finding>, Fault> {
    let entries: BTreeMap<String, Entry> =
        toml::from_str(bibliography).map_err(|e| format!("{place}: {e}"))?;
    let mut cited = BTreeSet::new();
    let mut findings = Vec::new();
    for page in pages {
        for (number, line) in (1..).zip(page.text.lines()) {
            for key in keys(line) {
                if !entries.contains_key(key) {
                    findings.push(Finding::at_line(
                        &page.place,
                        number,
                        format!("{place} has no entry `{key}`"),
                    ));
                }
                cited.insert(key);
            }
        }
    }
    for key in entries.keys().filter(|key| !cited.contains(key.as_str())) {
        findings.push(Finding::new(place, format!("nobody cites `{key}`; cite it or drop it")));
    }
    Ok(findings)
}

/// Keys cited in a line: lower-case letters, digits and hyphens after the lead.
fn keys(line: &str) -> impl Iterator<Item = &str> {
    line.match_indices(LEAD).filter_map(move |(at, _)| {
        let rest = &line[at + LEAD.len()..];
        let key = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        let end = rest.find(|c| !key(c)).unwrap_or(rest.len());
        let found = rest[..end].trim_end_matches('-');
        (!found.is_empty()).then_some(found)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::says;

    const BIBLIOGRAPHY: &str = "[kay1993]\ntitle = \"Estimation\"\nyear = 1993\n\
                                seen = \"from-memory\"\nused_for = \"the bound\"\n";

    fn findings(text: &str) -> Vec<Finding> {
        let page = Page { place: "a.rs".to_owned(), text: text.to_owned() };
        check("docs/b.toml", BIBLIOGRAPHY, &[page]).unwrap()
    }

    #[test]
    fn cited_and_listed_is_fine() {
        assert_eq!(findings("// (bib:kay1993, line fitting) and again bib:kay1993-"), []);
    }

    #[test]
    fn a_key_that_is_not_listed_is_found() {
        let found = findings("// bib:kay1993\n// bib:nobody2001.");
        assert!(says(&found, "a.rs:2", &["no entry `nobody2001`"]));
        assert_eq!(found.len(), 1);
    }

    #[test]
    fn an_entry_that_nobody_cites_is_found() {
        assert!(says(
            &findings("// bib:KEY is the form"),
            "docs/b.toml",
            &["nobody cites `kay1993`"]
        ));
    }

    #[test]
    fn an_entry_without_its_fields_is_refused() {
        for (from, to) in [("title", "titel"), ("from-memory", "somewhere")] {
            let bad = BIBLIOGRAPHY.replace(from, to);
            assert!(check("docs/b.toml", &bad, &[]).is_err(), "{bad}");
        }
    }
}
