//! Letters that the built-in fonts do not have: looked for in the fonts of the system.

use fontdb::{Database, FaceInfo, Source as FontSource, Style};
use report::{Document, Fonts, Printed, ReportError};
use std::cmp::Reverse;
use std::sync::{Arc, LazyLock};
use ttf_parser::{Face, Permissions};

/// Most letters that a warning names one by one.
const NAMED: usize = 12;

/// The built-in fonts, with that of the drawings.
static BUILT_IN: LazyLock<Fonts> = LazyLock::new(|| Fonts::with(of_drawings()));

fn of_drawings() -> impl Iterator<Item = Vec<u8>> {
    [plot::REGULAR_TTF, plot::SEMI_BOLD_TTF].into_iter().map(<[u8]>::to_vec)
}

/// Prints a document, with fonts of the system where the built-in ones lack letters of it; then what
/// could not be shown all the same, a sentence each.
pub(crate) fn print(document: &Document) -> Result<(Printed, Vec<String>), ReportError> {
    print_with(document, || {
        let mut fonts = Database::new();
        fonts.load_system_fonts();
        fonts
    })
}

fn print_with(
    document: &Document,
    fonts: impl FnOnce() -> Database,
) -> Result<(Printed, Vec<String>), ReportError> {
    let printed = report::print(document, &BUILT_IN)?;
    if printed.not_shown.is_empty() {
        return Ok((printed, Vec::new()));
    }
    let found = having(&fonts(), &printed.not_shown);
    let printed = if found.is_empty() {
        printed
    } else {
        report::print(document, &Fonts::with(of_drawings().chain(found)))?
    };
    let words = told(&printed.not_shown);
    Ok((printed, words))
}

/// A font that may be printed with, and which of the letters it has.
struct Having {
    id: fontdb::ID,
    letters: Vec<char>,
}

/// The bytes of as few fonts as have these letters: upright and of ordinary weight where there are
/// such, and of those the one with the most of them first.
fn having(fonts: &Database, letters: &[char]) -> Vec<Vec<u8>> {
    let mut faces: Vec<&FaceInfo> = fonts.faces().collect();
    faces.sort_by_key(|face| {
        let name = face.families.first().map_or("", |(name, _)| name);
        let slanted = face.style != Style::Normal;
        (slanted, face.weight.0.abs_diff(400), face.monospaced, name.to_owned(), face.index)
    });
    let mut all: Vec<Having> = faces
        .into_iter()
        .filter_map(|face| {
            let has = |bytes: &[u8], index: u32| in_face(bytes, index, letters);
            let letters = fonts.with_face_data(face.id, has)?;
            (!letters.is_empty()).then_some(Having { id: face.id, letters })
        })
        .collect();
    let mut chosen = Vec::new();
    // `max_by_key` gives the last of equals; the first is wanted.
    while let Some((at, _)) =
        all.iter().enumerate().max_by_key(|(at, face)| (face.letters.len(), Reverse(*at)))
    {
        let best = all.remove(at);
        chosen.extend(whole_file(fonts, best.id));
        for face in &mut all {
            face.letters.retain(|letter| !best.letters.contains(letter));
        }
        all.retain(|face| !face.letters.is_empty());
    }
    chosen
}

/// Which of the letters a font draws. One that has pictures in place of outlines, or whose maker
/// does not allow to put it into a document (`OS/2` table, `fsType`: OpenType 1.9), has none.
fn in_face(bytes: &[u8], index: u32, letters: &[char]) -> Vec<char> {
    let Ok(face) = Face::parse(bytes, index) else { return Vec::new() };
    let tables = face.tables();
    let has_outlines = tables.glyf.is_some() || tables.cff.is_some();
    let is_restricted = face.permissions() == Some(Permissions::Restricted);
    if !has_outlines || is_restricted || !face.is_subsetting_allowed() {
        return Vec::new();
    }
    letters.iter().copied().filter(|letter| face.glyph_index(*letter).is_some()).collect()
}

/// All of the file that a font is in.
fn whole_file(fonts: &Database, id: fontdb::ID) -> Option<Vec<u8>> {
    match &fonts.face(id)?.source {
        FontSource::File(path) | FontSource::SharedFile(path, _) => std::fs::read(path).ok(),
        FontSource::Binary(bytes) => {
            let bytes: &Arc<dyn AsRef<[u8]> + Sync + Send> = bytes;
            Some((**bytes).as_ref().to_vec())
        }
    }
}

/// What could not be shown, by script, and what helps.
fn told(letters: &[char]) -> Vec<String> {
    let mut by_script: Vec<(&'static Script, Vec<char>)> = Vec::new();
    for letter in letters {
        let script = script(*letter);
        match by_script.iter_mut().find(|(own, _)| own.name == script.name) {
            Some((_, all)) => all.push(*letter),
            None => by_script.push((script, vec![*letter])),
        }
    }
    by_script.iter().map(|(script, letters)| sentence(script, letters)).collect()
}

fn sentence(script: &Script, letters: &[char]) -> String {
    let named: Vec<String> = letters.iter().take(NAMED).map(char::to_string).collect();
    let more = letters.len().saturating_sub(NAMED);
    let more = if more == 0 { String::new() } else { format!(" and {more} more") };
    let them = if letters.len() == 1 { "it" } else { "each of them" };
    let stands = format!(
        "No font of this machine has {}{more}: a mark stands for {them} on the paper.",
        named.join(" ")
    );
    let Script { name, package, .. } = script;
    match (*name, *package) {
        ("", _) => format!("{stands} Another word or letter would be shown."),
        (name, package) => format!(
            "{stands} Install a font with {name} letters where the program runs; on Debian and \
             Ubuntu that is the package {package}."
        ),
    }
}

/// A script, the code points that tell it (blocks of the Unicode Standard 16), and the package of
/// Debian that has it.
struct Script {
    name: &'static str,
    package: &'static str,
    blocks: &'static [(u32, u32)],
}

const CJK: &str = "fonts-noto-cjk";
const CORE: &str = "fonts-noto-core";

const SCRIPTS: &[Script] = &[
    Script { name: "Japanese", package: CJK, blocks: &[(0x3040, 0x30FF), (0x31F0, 0x31FF)] },
    Script {
        name: "Korean",
        package: CJK,
        blocks: &[(0x1100, 0x11FF), (0x3130, 0x318F), (0xAC00, 0xD7FF)],
    },
    Script {
        name: "Chinese",
        package: CJK,
        blocks: &[
            (0x2E80, 0x303F),
            (0x3100, 0x312F),
            (0x31A0, 0x31EF),
            (0x3400, 0x4DBF),
            (0x4E00, 0x9FFF),
            (0xF900, 0xFAFF),
            (0xFF00, 0xFFEF),
            (0x20000, 0x3FFFF),
        ],
    },
    Script {
        name: "Arabic",
        package: CORE,
        blocks: &[
            (0x0600, 0x06FF),
            (0x0750, 0x077F),
            (0x0870, 0x08FF),
            (0xFB50, 0xFDFF),
            (0xFE70, 0xFEFF),
        ],
    },
    Script { name: "Thai", package: CORE, blocks: &[(0x0E00, 0x0E7F)] },
    Script { name: "Indian", package: CORE, blocks: &[(0x0900, 0x0DFF)] },
    Script { name: "Armenian", package: CORE, blocks: &[(0x0530, 0x058F)] },
    Script {
        name: "Georgian",
        package: CORE,
        blocks: &[(0x10A0, 0x10FF), (0x1C90, 0x1CBF), (0x2D00, 0x2D2F)],
    },
    Script { name: "Ethiopic", package: CORE, blocks: &[(0x1200, 0x139F), (0x2D80, 0x2DDF)] },
];

/// What none of these holds: signs, and pictures in place of letters.
const OTHER: Script = Script { name: "", package: "", blocks: &[] };

fn script(letter: char) -> &'static Script {
    let holds = |script: &&Script| {
        let code = u32::from(letter);
        script.blocks.iter().any(|(from, to)| (*from..=*to).contains(&code))
    };
    SCRIPTS.iter().find(holds).unwrap_or(&OTHER)
}

#[cfg(test)]
mod tests;
