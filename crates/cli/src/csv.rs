//! Comma-separated values (RFC 4180).

/// A field that may hold anything.
pub(crate) fn quoted(words: &str) -> String {
    if words.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", words.replace('"', "\"\""))
    } else {
        words.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 4180, section 2, rules 5 to 7.
    #[test]
    fn quotes_what_must_be_quoted() {
        assert_eq!(quoted("plain.wav"), "plain.wav");
        assert_eq!(quoted("a,b \"c\".wav"), "\"a,b \"\"c\"\".wav\"");
    }
}
