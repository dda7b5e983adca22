use crate::finding::Finding;
use crate::tree::Page;
use std::collections::BTreeMap;

/// Where the guide's chapters and pictures are.
const FOLDER: &str = "docs/guide/src/";
const SUMMARY: &str = "docs/guide/src/SUMMARY.md";

/// The guide is a book, and pages of the page: what it holds has to stand by itself. Each chapter is
/// listed once, by the title it has; each picture is shown and says in words what it shows; no link
/// leads out of the folder, since nothing beside it comes along.
///
/// That links, headings and pictures are there at all is checked for every document, in `links`.
pub(crate) fn check(files: &[String], documents: &[Page]) -> Vec<Finding> {
    let chapters = || documents.iter().filter(|page| page.place.starts_with(FOLDER));
    let mut findings = Vec::new();
    let mut shown: BTreeMap<&str, usize> = BTreeMap::new();
    let Some(summary) = chapters().find(|page| page.place == SUMMARY) else {
        return vec![Finding::new(SUMMARY, "the guide has no list of its chapters")];
    };
    let listed: Vec<Link> = links(&summary.text).collect();
    for page in chapters().filter(|page| page.place != SUMMARY) {
        let name = page.place.strip_prefix(FOLDER).unwrap_or(&page.place);
        match listed.iter().filter(|link| link.target == name).collect::<Vec<_>>()[..] {
            [entry] if page.text.lines().next() != Some(&format!("# {}", entry.words)) => {
                findings.push(Finding::at_line(
                    &page.place,
                    1,
                    format!("SUMMARY.md calls this chapter “{}”; let it begin so", entry.words),
                ));
            }
            [_] => {}
            _ => findings.push(Finding::new(
                &page.place,
                "SUMMARY.md lists each chapter once, and this one not",
            )),
        }
        for link in links(&page.text) {
            if link.target.starts_with("../") {
                let sentence = format!(
                    "`{}` is not in the guide, where nobody can follow it: name the file in backticks",
                    link.target
                );
                findings.push(Finding::at_line(&page.place, link.line, sentence));
            } else if link.is_picture {
                *shown.entry(link.target).or_default() += 1;
                if link.words.trim().is_empty() {
                    let sentence = format!("`{}` has no words for who cannot see it", link.target);
                    findings.push(Finding::at_line(&page.place, link.line, sentence));
                }
            }
        }
    }
    for file in files.iter().filter(|file| file.starts_with(FOLDER) && !file.ends_with(".md")) {
        if !shown.contains_key(file.strip_prefix(FOLDER).unwrap_or(file)) {
            findings.push(Finding::new(file, "no chapter of the guide shows this"));
        }
    }
    findings
}

struct Link<'a> {
    line: usize,
    words: &'a str,
    target: &'a str,
    is_picture: bool,
}

/// `[words](target)` and `![words](target)`, outside fenced code.
fn links(text: &str) -> impl Iterator<Item = Link<'_>> {
    let mut fenced = false;
    (1..).zip(text.lines()).flat_map(move |(line, words)| {
        if words.trim_start().starts_with("```") {
            fenced = !fenced;
        }
        if fenced { Vec::new() } else { links_in(line, words) }
    })
}

fn links_in(line: usize, text: &str) -> Vec<Link<'_>> {
    let mut found = Vec::new();
    for (middle, _) in text.match_indices("](") {
        let Some(start) = text[..middle].rfind('[') else { continue };
        let Some(end) = text[middle..].find(')') else { continue };
        let target = text[middle + 2..middle + end].split('#').next().unwrap_or_default();
        found.push(Link {
            line,
            words: &text[start + 1..middle],
            target,
            is_picture: text[..start].ends_with('!'),
        });
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::says;

    fn findings(summary: &str, chapter: &str, pictures: &[&str]) -> Vec<Finding> {
        let page = |place: &str, text: &str| Page { place: place.into(), text: text.into() };
        let files: Vec<String> = ["docs/guide/src/one.md", SUMMARY]
            .iter()
            .chain(pictures)
            .map(|file| (*file).to_owned())
            .collect();
        let documents =
            [page(SUMMARY, summary), page("docs/guide/src/one.md", chapter), page("a.md", "x")];
        check(&files, &documents)
    }

    const LIST: &str = "# Guide\n\n- [One](one.md)\n";
    const PICTURE: &str = "docs/guide/src/pictures/a.png";

    #[test]
    fn a_good_guide_passes() {
        let chapter = "# One\n\n![A watch](pictures/a.png)\n\n[below](#more) `../x`\n\n\
                       ```sh\n[not](../a.md)\n```\n\n## More\n";
        assert_eq!(findings(LIST, chapter, &[PICTURE]), []);
    }

    #[test]
    fn what_is_amiss_is_told() {
        let one = "docs/guide/src/one.md";
        let one_at = |line: usize| format!("{one}:{line}");
        for (summary, chapter, pictures, place, words) in [
            ("# Guide\n", "# One\n", &[][..], one.to_owned(), "lists each chapter once"),
            ("[One](one.md) [One](one.md)", "# One\n", &[], one.to_owned(), "once"),
            (LIST, "# Two\n", &[], one_at(1), "“One”"),
            (LIST, "# One\n[a](../../a.md)\n", &[], one_at(2), "not in the guide"),
            (LIST, "# One\n![ ](pictures/a.png)\n", &[PICTURE], one_at(2), "no words"),
            (LIST, "# One\n", &[PICTURE], PICTURE.to_owned(), "no chapter of the guide shows"),
        ] {
            let found = findings(summary, chapter, pictures);
            assert!(says(&found, &place, &[words]), "{summary} {chapter}: {found:?}");
        }
        assert!(says(&check(&[], &[]), SUMMARY, &["no list"]));
    }
}
