//! Fonts are made by `make_fonts.py`; each has the letters that stand there.

use super::*;
use report::{Date, Letterhead, Paper, PaperWords};

const EAST: &[u8] = include_bytes!("bars-east.ttf");
const SOUTH: &[u8] = include_bytes!("bars-south.ttf");
const LOCKED: &[u8] = include_bytes!("bars-locked.ttf");

fn database(fonts: &[&[u8]]) -> Database {
    let mut database = Database::new();
    for bytes in fonts {
        database.load_font_data(bytes.to_vec());
    }
    assert_eq!(database.len(), fonts.len());
    database
}

fn named(name: &str) -> Document {
    Document {
        paper: Paper::A4,
        language: "en".into(),
        letterhead: Letterhead::default(),
        title: name.into(),
        subtitle: String::new(),
        facts: Vec::new(),
        chapters: Vec::new(),
        foot: String::new(),
        words: PaperWords::default(),
        date: Date { year: 2026, month: 2, day: 9 },
        identifier: "a name".into(),
    }
}

#[test]
fn the_fewest_fonts_that_have_the_letters_are_taken() {
    let all = database(&[SOUTH, EAST, LOCKED]);
    assert_eq!(having(&all, &['李']), [EAST], "by name, where both have as many");
    assert_eq!(having(&all, &['李', 'ก']), [SOUTH], "the one that has both");
    assert_eq!(having(&all, &['李', '明', 'ก']), [EAST, SOUTH]);
    // What its maker does not allow is not done.
    assert_eq!(having(&all, &['अ']), Vec::<Vec<u8>>::new());
    assert_eq!(having(&Database::new(), &['李']), Vec::<Vec<u8>>::new());
}

#[test]
fn a_name_in_any_script_is_printed_where_a_font_has_it() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("east.ttf"), EAST).unwrap();
    std::fs::write(folder.path().join("south.ttf"), SOUTH).unwrap();
    let in_folder = || {
        let mut fonts = Database::new();
        fonts.load_fonts_dir(folder.path());
        fonts
    };
    let (printed, told) = print_with(&named("李明 and ก"), in_folder).unwrap();
    assert_eq!((printed.not_shown, told), (Vec::new(), Vec::new()));
    // Its fonts are in the file, by their names.
    let holds = |name: &[u8]| printed.pdf.windows(name.len()).any(|part| part == name);
    assert!(holds(b"BarsEast") && holds(b"BarsSouth"));
}

#[test]
fn what_no_font_has_is_told_with_what_helps() {
    let (printed, told) = print_with(&named("李 ก \u{1F570}"), || database(&[EAST])).unwrap();
    assert_eq!(printed.not_shown, ['ก', '\u{1F570}']);
    assert_eq!(
        told,
        [
            "No font of this machine has ก: a mark stands for it on the paper. Install a font with \
             Thai letters where the program runs; on Debian and Ubuntu that is the package \
             fonts-noto-core.",
            "No font of this machine has \u{1F570}: a mark stands for it on the paper. Another word \
             or letter would be shown."
        ]
    );
}

#[test]
fn nothing_is_looked_for_where_the_built_in_fonts_have_all() {
    let looked = || -> Database { panic!("the system's fonts were looked for") };
    let (printed, told) = print_with(&named("Jøran Říčný-Çelik, Яна, Μαρία, דוד"), looked).unwrap();
    assert_eq!((printed.not_shown, told), (Vec::new(), Vec::new()));
}

/// Blocks of the Unicode Standard: Hiragana, Hangul Syllables, CJK Unified Ideographs, Arabic, Thai,
/// Devanagari, and a sign that is no letter.
#[test]
fn scripts_are_told_apart() {
    let names: Vec<&str> =
        ['あ', '한', '李', 'م', 'ไ', 'अ', '★'].into_iter().map(|c| script(c).name).collect();
    assert_eq!(names, ["Japanese", "Korean", "Chinese", "Arabic", "Thai", "Indian", ""]);
}
