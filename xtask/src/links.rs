use crate::finding::Finding;
use crate::tree::Page;
use std::collections::BTreeSet;

/// Folders whose paths, written in backticks, are promises that something is there.
const OURS: [&str; 6] = ["crates/", "docs/", "studies/", "xtask/", "fuzz/", "e2e/"];

/// Links in Markdown point somewhere; so do paths in backticks, there and in comments of code; and
/// a command of `./dev` that a document names is one that `./dev help` lists.
pub(crate) fn check(
    files: &[String],
    documents: &[Page],
    sources: &[Page],
    dev: &str,
) -> Vec<Finding> {
    let there = Places::new(files);
    let commands = dev_commands(dev);
    let mut findings = Vec::new();
    for page in documents {
        for (number, line) in prose(&page.text) {
            for target in link_targets(&line) {
                if let Some(sentence) = broken(&there, documents, page, target) {
                    findings.push(Finding::at_line(&page.place, number, sentence));
                }
            }
        }
        for (number, line) in (1..).zip(page.text.lines()) {
            findings.extend(missing_paths(&there, &page.place, number, line));
            for command in words_after(line, "./dev ") {
                if !commands.contains(command) {
                    findings.push(Finding::at_line(
                        &page.place,
                        number,
                        format!("`./dev help` lists no command `{command}`"),
                    ));
                }
            }
        }
    }
    for page in sources {
        for (number, line) in (1..).zip(page.text.lines()) {
            if line.trim_start().starts_with("//") {
                findings.extend(missing_paths(&there, &page.place, number, line));
            }
        }
    }
    findings
}

/// Files and folders that exist.
struct Places<'a> {
    files: BTreeSet<&'a str>,
    folders: BTreeSet<&'a str>,
}

impl<'a> Places<'a> {
    fn new(files: &'a [String]) -> Self {
        let folders =
            files.iter().flat_map(|file| file.match_indices('/').map(|(at, _)| &file[..at]));
        Self { files: files.iter().map(String::as_str).collect(), folders: folders.collect() }
    }

    fn has(&self, place: &str) -> bool {
        let place = place.trim_end_matches('/');
        place.is_empty() || self.files.contains(place) || self.folders.contains(place)
    }
}

/// Lines outside fenced code, with their numbers, and with code in backticks blanked out.
fn prose(text: &str) -> Vec<(usize, String)> {
    let mut fenced = false;
    let mut lines = Vec::new();
    for (number, line) in (1..).zip(text.lines()) {
        if line.trim_start().starts_with("```") {
            fenced = !fenced;
        } else if !fenced {
            let outside = line.split('`').step_by(2).collect::<Vec<_>>().join("``");
            lines.push((number, outside));
        }
    }
    lines
}

/// Targets of `[text](target)` and `[name]: target`.
fn link_targets(line: &str) -> Vec<&str> {
    let mut targets: Vec<&str> = line
        .match_indices("](")
        .filter_map(|(at, _)| {
            let rest = &line[at + 2..];
            rest.find(')').map(|end| &rest[..end])
        })
        .collect();
    if line.starts_with('[')
        && let Some(at) = line.find("]: ")
    {
        targets.push(&line[at + 3..]);
    }
    // A title may follow: [text](target "title").
    targets.iter().filter_map(|target| target.split_whitespace().next()).collect()
}

/// What is wrong with a link, if anything.
fn broken(there: &Places, documents: &[Page], page: &Page, target: &str) -> Option<String> {
    if target.contains("://") || target.starts_with("mailto:") {
        return None;
    }
    let (path, anchor) = target.split_once('#').unwrap_or((target, ""));
    let place = if path.is_empty() { Some(page.place.clone()) } else { beside(&page.place, path) };
    let Some(place) = place.filter(|place| there.has(place)) else {
        return Some(format!("the link to `{target}` points nowhere"));
    };
    let document = documents.iter().find(|d| d.place == place)?;
    let found = anchor.is_empty()
        || document.text.lines().any(|line| line.starts_with('#') && slug(line) == anchor);
    (!found).then(|| format!("the link to `{target}` names a heading that is not there"))
}

/// The place that a relative path means in a file; `None` where it leaves the project.
fn beside(place: &str, path: &str) -> Option<String> {
    let mut parts: Vec<&str> = place.split('/').collect();
    parts.pop();
    for part in path.split('/') {
        match part {
            "" | "." => {}
            ".." => {
                parts.pop()?;
            }
            part => parts.push(part),
        }
    }
    Some(parts.join("/"))
}

/// The anchor that a heading gets: lower case, hyphens for spaces, punctuation gone.
fn slug(heading: &str) -> String {
    heading
        .trim_start_matches('#')
        .trim()
        .to_lowercase()
        .chars()
        .filter(|c| c.is_alphanumeric() || [' ', '-', '_'].contains(c))
        .map(|c| if c == ' ' { '-' } else { c })
        .collect()
}

/// Paths of ours in backticks that lead nowhere.
fn missing_paths(there: &Places, place: &str, number: usize, line: &str) -> Vec<Finding> {
    line.split('`')
        .skip(1)
        .step_by(2)
        .filter(|code| OURS.iter().any(|folder| code.starts_with(folder)))
        .filter(|code| code.chars().all(|c| c.is_ascii_alphanumeric() || "/_-.".contains(c)))
        .filter(|path| !there.has(path))
        .map(|path| Finding::at_line(place, number, format!("there is no `{path}`")))
        .collect()
}

/// Lower-case words that follow `lead` in a line.
fn words_after<'a>(line: &'a str, lead: &'a str) -> impl Iterator<Item = &'a str> {
    line.match_indices(lead).filter_map(move |(at, _)| {
        let rest = &line[at + lead.len()..];
        let end = rest.find(|c: char| !c.is_ascii_lowercase()).unwrap_or(rest.len());
        (end > 0).then(|| &rest[..end])
    })
}

/// The commands that the usage text of `dev` lists: lines indented by two spaces.
fn dev_commands(dev: &str) -> BTreeSet<&str> {
    dev.lines()
        .skip_while(|line| !line.starts_with("usage:"))
        .skip_while(|line| line.starts_with("usage:"))
        .take_while(|line| *line != "END")
        .filter(|line| line.starts_with("  ") && !line.starts_with("   "))
        .filter_map(|line| line.split_whitespace().next())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::says;

    const DEV: &str = "cat <<'END'\nusage: ./dev COMMAND\n\n  run    do it\n  test   try it\n\
                       \x20        and more\nEND\n  not a command\n";

    fn page(place: &str, text: &str) -> Page {
        Page { place: place.to_owned(), text: text.to_owned() }
    }

    fn findings(text: &str) -> Vec<Finding> {
        let files = ["README.md", "docs/a.md", "docs/design/b.md", "crates/x/src/lib.rs"];
        let documents =
            [page("docs/a.md", text), page("docs/design/b.md", "# One `f64`, two: three\n")];
        let sources = [page(
            "crates/x/src/lib.rs",
            "// see `docs/a.md`\n// see `docs/gone.md`\nlet x = \"`docs/no.md`\";\n",
        )];
        check(&files.map(str::to_owned), &documents, &sources, DEV)
            .into_iter()
            .filter(|f| {
                !says(std::slice::from_ref(f), "crates/x/src/lib.rs:2", &["`docs/gone.md`"])
            })
            .collect()
    }

    #[test]
    fn good_links_are_let_through() {
        let good = "[a](a.md) [b](design/b.md#one-f64-two-three) [c](../README.md \"title\")\n\
                    [d](https://example.org/x) [e](#here) [f](../crates/x/)\n# Here\n\
                    `crates/x/src/lib.rs` `docs/design/` `./dev run` and `./dev`\n\
                    `[code](gone.md)`\n```\n[code](gone.md)\n```\n[g]: design/b.md\n";
        assert_eq!(findings(good), []);
    }

    #[test]
    fn bad_links_are_found() {
        for (text, words) in [
            ("[a](gone.md)", "points nowhere"),
            ("[a](../../out.md)", "points nowhere"),
            ("![a](look.png)", "points nowhere"),
            ("[a]: gone.md", "points nowhere"),
            ("[a](design/b.md#two)", "a heading that is not there"),
            ("[a](#gone)", "a heading that is not there"),
            ("see `crates/y/src/lib.rs`", "there is no `crates/y/src/lib.rs`"),
            ("say `./dev dance`", "no command `dance`"),
        ] {
            assert!(says(&findings(text), "docs/a.md:1", &[words]), "{text}");
        }
    }

    #[test]
    fn comments_in_code_promise_too() {
        let files = ["a.rs".to_owned()];
        let found = check(&files, &[], &[page("a.rs", "/// See `docs/gone.md`.\n")], DEV);
        assert!(says(&found, "a.rs:1", &["there is no `docs/gone.md`"]));
    }
}
