use std::fmt;

/// Something that breaks a rule: where, and a sentence that says what and why.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Finding {
    place: String,
    sentence: String,
}

impl Finding {
    pub(crate) fn new(place: impl Into<String>, sentence: impl Into<String>) -> Self {
        Self { place: place.into(), sentence: sentence.into() }
    }

    pub(crate) fn at_line(place: &str, line: usize, sentence: impl Into<String>) -> Self {
        Self::new(format!("{place}:{line}"), sentence)
    }
}

impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.place, self.sentence)
    }
}

/// For tests: whether one finding stands at this place and says all of these words.
#[cfg(test)]
pub(crate) fn says(findings: &[Finding], place: &str, words: &[&str]) -> bool {
    findings.iter().any(|f| f.place == place && words.iter().all(|w| f.sentence.contains(w)))
}
