//! What a paper is called as a file.

use axum::http::HeaderValue;
use handover::Kind;
use jobs::{Job, Watch};
use std::fmt::Write;

/// Longest name, in letters: what comes after it in a folder is still to be seen.
const MOST: usize = 80;

/// "Receipt, job 17, wrist watch, steel.pdf"
pub(crate) fn of(kind: Kind, job: &Job, watch: &Watch) -> String {
    let words = format!("{}, job {}, {}", kind.title(), job.number, watch.description.trim());
    // What no system takes in a name of a file, or would read as a folder.
    let taken = |c: char| !c.is_control() && !"/\\:*?\"<>|".contains(c);
    let kept: String = words.chars().map(|c| if taken(c) { c } else { ' ' }).take(MOST).collect();
    // Not within a word, where there are words.
    let whole = match kept.rsplit_once(' ') {
        Some((before, _)) if words.chars().count() > MOST => before,
        _ => &kept,
    };
    format!("{}.pdf", whole.trim_end_matches([' ', '.', ',']))
}

/// How a browser shows it, and what it calls it when it is saved: for old ones in ASCII, for all
/// others as it is (RFC 6266, with the encoding of RFC 8187).
pub(crate) fn disposition(name: &str) -> HeaderValue {
    let plain: String = name
        .chars()
        .map(|c| if c.is_ascii_graphic() && !"\"\\%".contains(c) || c == ' ' { c } else { '_' })
        .collect();
    let mut encoded = String::new();
    for byte in name.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~".contains(&byte) {
            encoded.push(char::from(byte));
        } else {
            // Writing to a String cannot fail.
            let _ = write!(encoded, "%{byte:02X}");
        }
    }
    let words = format!("inline; filename=\"{plain}\"; filename*=UTF-8''{encoded}");
    HeaderValue::from_str(&words).unwrap_or_else(|_| HeaderValue::from_static("inline"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use jobs::{Id, Moment};

    #[test]
    fn a_name_can_be_saved_anywhere() {
        let mut job = Job::begun(Id::from_uuid(uuid::Uuid::nil()), "", Moment::from_ms(0));
        job.number = 17;
        let watch =
            |description: &str| Watch { description: description.into(), ..Watch::default() };
        let name = of(Kind::Report, &job, &watch("Ø 36 mm; \"slow\" 懐中時計/.."));
        assert_eq!(name, "Service report, job 17, Ø 36 mm;  slow  懐中時計.pdf");
        let name = of(Kind::Receipt, &job, &watch(&"long ".repeat(100)));
        assert!(name.chars().count() <= MOST + 4 && name.ends_with("long.pdf"), "{name}");
        let empty = of(Kind::Estimate, &job, &watch(""));
        assert_eq!(empty, "Estimate, job 17.pdf");
    }

    /// RFC 8187, section 3.2.2: "filename*=UTF-8''%e2%82%ac%20rates" is "€ rates".
    #[test]
    fn a_browser_is_told_the_name_twice() {
        let said = disposition("€ rates.pdf");
        let expected = "inline; filename=\"_ rates.pdf\"; filename*=UTF-8''%E2%82%AC%20rates.pdf";
        assert_eq!(said.to_str().unwrap(), expected);
        let said = disposition("a\"b%\\.pdf");
        assert!(said.to_str().unwrap().starts_with("inline; filename=\"a_b__.pdf\";"));
    }
}
