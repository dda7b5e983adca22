use crate::finding::Finding;
use crate::tree::Page;

/// Names that say nothing of what a file or folder holds.
const EMPTY_NAMES: [&str; 7] = ["util", "utils", "common", "helper", "helpers", "misc", "stuff"];

/// Lines beyond which a Rust file wants a reason.
const LONG: usize = 800;

/// What such a reason starts with, on a line of its own.
const REASON: &str = "// long: ";

/// Files and folders are named for what they hold.
pub(crate) fn check_names(files: &[String]) -> Vec<Finding> {
    let empty = |part: &str| {
        let stem = part.split('.').next().unwrap_or(part);
        EMPTY_NAMES.contains(&stem.to_lowercase().as_str())
    };
    files
        .iter()
        .filter(|file| file.split('/').any(empty))
        .map(|file| {
            Finding::new(file, "this name says nothing; name files and folders for what they hold")
        })
        .collect()
}

/// Rust files are short, or say why not.
pub(crate) fn check_lengths(sources: &[Page]) -> Vec<Finding> {
    sources
        .iter()
        .filter_map(|page| {
            let lines = page.text.lines().count();
            let reason = |line: &str| {
                line.strip_prefix(REASON).is_some_and(|reason| !reason.trim().is_empty())
            };
            (lines > LONG && !page.text.lines().any(reason)).then(|| {
                Finding::new(
                    &page.place,
                    format!(
                        "{lines} lines; split it along a wall, or say on a line that starts with \
                         `{REASON}` why it is better whole"
                    ),
                )
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::says;

    #[test]
    fn empty_names_are_refused_wherever_they_stand() {
        for bad in ["a/src/utils.rs", "a/tests/common/mod.rs", "docs/Misc.md", "web/src/helpers.ts"]
        {
            assert!(says(&check_names(&[bad.to_owned()]), bad, &["says nothing"]), "{bad}");
        }
        let good = ["a/src/uncommon.rs", "a/src/helper_spring.rs"].map(str::to_owned);
        assert_eq!(check_names(&good), []);
    }

    fn lengths(text: &str) -> Vec<Finding> {
        check_lengths(&[Page { place: "a.rs".to_owned(), text: text.to_owned() }])
    }

    #[test]
    fn long_files_want_a_reason() {
        assert_eq!(lengths(&"x\n".repeat(800)), []);
        let long = "x\n".repeat(801);
        assert!(says(&lengths(&long), "a.rs", &["801 lines"]));
        assert!(says(&lengths(&format!("// long: \n{long}")), "a.rs", &["802 lines"]));
        assert_eq!(lengths(&format!("// long: one table, better read whole\n{long}")), []);
    }
}
