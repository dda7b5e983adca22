//! Documents as programs from outside see them: Poppler's `pdftotext`, `pdffonts`, `pdfinfo` and
//! `qpdf`, which share no code with what printed them.

// In a test, what cannot be unwrapped is the failure.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod sample;

use report::{Block, Chapter, Document, Fonts, Paper, Picture, Printed, ReportError, print};
use std::path::PathBuf;
use std::process::Command;

/// A PDF in a folder that goes with it.
struct Paged {
    folder: tempfile::TempDir,
}

impl Paged {
    fn of(printed: &Printed) -> Self {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("it.pdf"), &printed.pdf).unwrap();
        Self { folder }
    }

    fn path(&self) -> PathBuf {
        self.folder.path().join("it.pdf")
    }

    /// Fails where the file is broken.
    fn checked(&self) {
        let output = Command::new("qpdf").arg("--check").arg(self.path()).output().unwrap();
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stdout));
    }

    /// What a program says of it.
    fn told(&self, program: &str, arguments: &[&str]) -> String {
        let output = Command::new(program)
            .args(arguments)
            .arg(self.path())
            // To standard output, where it would write a file.
            .args(if ["pdftotext", "qpdf"].contains(&program) { &["-"][..] } else { &[] })
            .output()
            .unwrap_or_else(|error| panic!("{program}: {error}; `./dev test` installs it"));
        let words = String::from_utf8_lossy(&output.stdout).into_owned();
        assert!(output.status.success(), "{program}: {words}{:?}", output.stderr);
        words
    }
}

fn printed(document: &Document) -> Printed {
    print(document, &Fonts::default()).unwrap()
}

#[test]
fn all_that_was_given_is_there_to_be_read() {
    let document = sample::report();
    let printed = printed(&document);
    assert_eq!(printed.not_shown, Vec::<char>::new());
    assert_eq!(printed.unreadable, Vec::<String>::new());
    let text = Paged::of(&printed).told("pdftotext", &["-layout"]);
    // Letters of a heading stand a little apart: how far is no matter here.
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in [
        "Workshop of the Three Pigeons",
        "Service report",
        "Jøran Říčný-Çelik",
        "Яна Ковальчук",
        "Μαρία Παπαδοπούλου",
        "What was found",
        "+4.2 ± 0.3",
        "−8.1 ± 0.4",
        "#let it = \"*kept* as _typed_\" $x$ @here <there> https://example.org",
        "Page 1 of",
    ] {
        assert!(text.contains(words), "{words:?} is not in\n{text}");
    }
}

/// ISO 19005-2 asks for embedded fonts, level a for tags; `qpdf` finds what is broken in the file.
#[test]
fn it_is_an_archive_paper_with_tags_and_with_its_fonts() {
    let paged = Paged::of(&printed(&sample::report()));
    let info = paged.told("pdfinfo", &[]);
    let field = |name: &str| {
        let line = info.lines().find(|line| line.starts_with(name)).unwrap_or_default();
        line.split_once(':').map(|(_, value)| value.trim().to_owned()).unwrap_or_default()
    };
    assert_eq!(field("Title"), "Service report");
    assert_eq!(field("Author"), "Workshop of the Three Pigeons");
    assert_eq!(field("Tagged"), "yes");
    assert_eq!(field("JavaScript"), "no");
    // ISO 19005-2, 6.6.4: how a file says which part and level it keeps to.
    let said = paged.told("pdfinfo", &["-meta"]);
    assert!(said.contains("<pdfaid:part>2</pdfaid:part>"), "{said}");
    assert!(said.contains("<pdfaid:conformance>A</pdfaid:conformance>"), "{said}");
    let fonts = paged.told("pdffonts", &[]);
    let rows: Vec<&str> = fonts.lines().skip(2).collect();
    assert!(!rows.is_empty());
    for row in rows {
        // Columns from the end: object and its generation, unicode, subset, embedded.
        let from_end: Vec<&str> = row.split_whitespace().rev().collect();
        assert_eq!(from_end[4], "yes", "not embedded: {row}");
        assert_eq!(from_end[2], "yes", "its letters cannot be read out: {row}");
    }
    paged.checked();
}

#[test]
fn tags_name_headings_tables_and_pictures_in_words() {
    let paged = Paged::of(&printed(&sample::report()));
    let structure = paged.told("pdfinfo", &["-struct-text"]);
    for tag in ["H1", "H2", "Table", "TH", "TD", "Figure", "LI", "Caption"] {
        let found = structure.lines().any(|line| line.trim_start().starts_with(tag));
        assert!(found, "no {tag} in\n{structure}");
    }
    // A table without heads would be read out as one of nameless columns.
    let count =
        |tag: &str| structure.lines().filter(|line| line.trim_start().starts_with(tag)).count();
    assert_eq!((count("Table"), count("THead")), (1, 1), "{structure}");
    let plain = paged.told("qpdf", &["--qdf", "--object-streams=disable"]);
    assert!(plain.contains("/Alt (Drift of balance A, rising)"), "no words for the drawing");
}

/// ISO 216 and ANSI/ASME Y14.1: 210 x 297 mm and 8.5 x 11 in, in points of 1/72 in.
#[test]
fn pages_have_the_size_that_was_asked_for() {
    for (paper, size) in
        [(Paper::A4, "595.276 x 841.89 pts (A4)"), (Paper::Letter, "612 x 792 pts")]
    {
        let document = Document { paper, ..sample::report() };
        let info = Paged::of(&printed(&document)).told("pdfinfo", &[]);
        assert!(info.contains(size), "{size} is not in\n{info}");
    }
}

#[test]
fn the_same_document_gives_the_same_bytes() {
    let one = printed(&sample::report());
    let other = Document { title: "Receipt".to_owned(), ..sample::report() };
    assert_ne!(printed(&other).pdf, one.pdf);
    assert_eq!(printed(&sample::report()).pdf, one.pdf);
}

#[test]
fn letters_without_a_font_are_told_and_the_rest_is_printed() {
    let mut document = sample::report();
    document.subtitle = "of 李 and \u{1F570}".to_owned();
    let printed = printed(&document);
    assert_eq!(printed.not_shown, ['李', '\u{1F570}']);
    let text = Paged::of(&printed).told("pdftotext", &[]);
    assert!(text.contains("of \u{FFFD} and \u{FFFD}"), "{text}");
}

#[test]
fn a_picture_that_cannot_be_read_leaves_a_sentence_in_its_place() {
    let mut document = sample::report();
    let mut cut = sample::png();
    cut.truncate(60);
    for (n, bytes) in
        [cut, b"GIF89a".to_vec(), b"<svg".to_vec(), Vec::new()].into_iter().enumerate()
    {
        let caption = format!("broken {n}");
        let picture = Picture { bytes, words: "a picture".to_owned(), caption };
        document.chapters[0].blocks.push(Block::Picture(picture));
    }
    let printed = printed(&document);
    assert_eq!(printed.unreadable, ["broken 0", "broken 1", "broken 2", "broken 3"]);
    let text = Paged::of(&printed).told("pdftotext", &[]);
    assert_eq!(text.matches("This picture could not be read.").count(), 4, "{text}");
}

#[test]
fn a_document_with_nothing_in_it_is_a_page() {
    let printed = printed(&sample::nothing());
    assert_eq!(printed.pages, 1);
}

#[test]
fn long_tables_go_on_with_their_heads_on_the_next_page() {
    let printed = printed(&sample::long_table(200));
    assert!(printed.pages > 3, "{}", printed.pages);
    let text = Paged::of(&printed).told("pdftotext", &["-layout"]);
    assert_eq!(text.matches("Lubricant").count(), printed.pages);
    assert!(text.contains("point 199"), "{text}");
}

/// What is beyond the edge of a page `pdftotext` leaves out.
#[test]
fn things_that_are_taller_than_a_page_are_not_cut_off() {
    let mut document = sample::nothing();
    let long = |n: usize| format!("{} end of {n}.", "a note that goes on and on ".repeat(30));
    let all: Vec<String> = (100..121).map(long).collect();
    let blocks = vec![Block::List(all.clone()), Block::Steps(all)];
    let chapter = Chapter { title: "Notes".to_owned(), new_page: false, blocks };
    document.chapters.push(chapter);
    let text = Paged::of(&printed(&document)).told("pdftotext", &[]);
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for n in 100..121 {
        assert_eq!(text.matches(&format!("end of {n}.")).count(), 2, "{n}");
    }
}

#[test]
fn a_day_that_is_none_is_refused() {
    let mut document = sample::nothing();
    document.date.month = 13;
    let error = print(&document, &Fonts::default()).unwrap_err();
    assert_eq!(error, ReportError::NoSuchDay { year: 2026, month: 13, day: 9 });
    assert_eq!(error.to_string(), "2026-13-9 is no day of the calendar");
}
