//! The one typeface: its bytes, its name, and how wide words set in it are.
//!
//! A subset of Inter (SIL Open Font License 1.1, `fonts/OFL.txt`) made by `fonts/subset.py`, with
//! tabular figures as its only figures.

use resvg::usvg::fontdb;
use skrifa::instance::{LocationRef, Size as FontSize};
use skrifa::{FontRef, MetadataProvider};
use std::sync::{Arc, OnceLock};

/// The family name, as it stands in the font files and in every picture.
pub const FONT_FAMILY: &str = "Endshake Sans";

/// The regular weight (400) as TrueType.
pub const REGULAR_TTF: &[u8] = include_bytes!("../fonts/EndshakeSans-Regular.ttf");
/// The semi-bold weight (600) as TrueType.
pub const SEMI_BOLD_TTF: &[u8] = include_bytes!("../fonts/EndshakeSans-SemiBold.ttf");
/// The regular weight (400) as WOFF2, for pages.
pub const REGULAR_WOFF2: &[u8] = include_bytes!("../fonts/EndshakeSans-Regular.woff2");
/// The semi-bold weight (600) as WOFF2, for pages.
pub const SEMI_BOLD_WOFF2: &[u8] = include_bytes!("../fonts/EndshakeSans-SemiBold.woff2");
/// The licence of the typeface.
pub const FONT_LICENCE: &str = include_str!("../fonts/OFL.txt");

/// How heavy.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Weight {
    Regular,
    SemiBold,
}

impl Weight {
    /// The CSS number.
    pub(crate) fn css(self) -> u16 {
        match self {
            Self::Regular => 400,
            Self::SemiBold => 600,
        }
    }
}

// Height above and below the base line as a share of the size: ascenders with accents and
// descenders of the typeface (measured on the glyphs "Å" and "g").
pub(crate) const ABOVE: f64 = 0.93;
pub(crate) const BELOW: f64 = 0.22;
/// Height of capitals and figures as a share of the size.
pub(crate) const CAPITALS: f64 = 0.727;

// A character that the font lacks is drawn by whatever the viewer has: leave a full square, the
// width of the widest common scripts.
const UNKNOWN_EM: f64 = 1.0;

// A line that was made to fit is not cut for a rounding error.
const ROUNDING_PX: f64 = 0.01;

struct Widths {
    em: Vec<(char, f64)>,
}

impl Widths {
    fn read(bytes: &'static [u8]) -> Self {
        let mut em = Vec::new();
        if let Ok(font) = FontRef::new(bytes) {
            let metrics = font.glyph_metrics(FontSize::unscaled(), LocationRef::default());
            let units =
                f64::from(font.metrics(FontSize::unscaled(), LocationRef::default()).units_per_em);
            for (code, glyph) in font.charmap().mappings() {
                if let (Some(c), Some(width)) = (char::from_u32(code), metrics.advance_width(glyph))
                {
                    em.push((c, f64::from(width) / units));
                }
            }
        }
        em.sort_by_key(|&(c, _)| c);
        Self { em }
    }

    fn of(&self, c: char) -> Option<f64> {
        self.em.binary_search_by_key(&c, |&(c, _)| c).ok().map(|at| self.em[at].1)
    }
}

fn widths(weight: Weight) -> &'static Widths {
    static REGULAR: OnceLock<Widths> = OnceLock::new();
    static SEMI_BOLD: OnceLock<Widths> = OnceLock::new();
    match weight {
        Weight::Regular => REGULAR.get_or_init(|| Widths::read(REGULAR_TTF)),
        Weight::SemiBold => SEMI_BOLD.get_or_init(|| Widths::read(SEMI_BOLD_TTF)),
    }
}

/// Whether the embedded font can draw this character.
#[cfg(test)]
pub(crate) fn has(c: char) -> bool {
    widths(Weight::Regular).of(c).is_some()
}

/// Width in px of a line set at this size. Kerning is left out; in this typeface it makes a line
/// narrower more often than wider, and never by more than a few hundredths of the size.
pub(crate) fn width_px(text: &str, size_px: f64, weight: Weight) -> f64 {
    let table = widths(weight);
    text.chars().map(|c| table.of(c).unwrap_or(UNKNOWN_EM)).sum::<f64>() * size_px
}

/// The text, cut with an ellipsis where it would be wider than this.
pub(crate) fn fitted(text: &str, size_px: f64, weight: Weight, most_px: f64) -> String {
    if width_px(text, size_px, weight) <= most_px + ROUNDING_PX {
        return text.to_owned();
    }
    let room = most_px - width_px("…", size_px, weight);
    let mut used = 0.0;
    let mut kept = String::new();
    for c in text.chars() {
        used += width_px(c.encode_utf8(&mut [0; 4]), size_px, weight);
        if used > room {
            break;
        }
        kept.push(c);
    }
    if room < 0.0 {
        return String::new();
    }
    kept.truncate(kept.trim_end().len());
    kept.push('…');
    kept
}

/// The text in lines of at most this width. A word that is wider than a line is cut with an
/// ellipsis; where more than `most_lines` come out, the last kept line ends in one.
pub(crate) fn wrapped(
    text: &str,
    size_px: f64,
    weight: Weight,
    most_px: f64,
    most_lines: usize,
) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if width_px(&longer, size_px, weight) <= most_px {
            line = longer;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        if lines.len() > most_lines {
            break;
        }
        line = fitted(word, size_px, weight, most_px);
    }
    if !line.is_empty() {
        lines.push(line);
    }
    if lines.len() > most_lines {
        lines.truncate(most_lines);
        if let Some(last) = lines.last_mut() {
            *last = fitted(&format!("{last} …"), size_px, weight, most_px);
        }
    }
    lines
}

/// A font database that holds the embedded faces and nothing else.
pub(crate) fn database() -> Arc<fontdb::Database> {
    static DATABASE: OnceLock<Arc<fontdb::Database>> = OnceLock::new();
    let made = DATABASE.get_or_init(|| {
        let mut database = fontdb::Database::new();
        database.load_font_data(REGULAR_TTF.to_vec());
        database.load_font_data(SEMI_BOLD_TTF.to_vec());
        Arc::new(database)
    });
    Arc::clone(made)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_named_family_is_the_one_in_the_files() {
        let database = database();
        let faces: Vec<_> = database.faces().collect();
        assert_eq!(faces.len(), 2);
        for face in &faces {
            assert_eq!(face.families[0].0, FONT_FAMILY);
        }
        let weights: Vec<u16> = faces.iter().map(|face| face.weight.0).collect();
        assert_eq!(weights, [Weight::Regular.css(), Weight::SemiBold.css()]);
    }

    #[test]
    fn every_sign_that_pictures_use_is_there() {
        for c in "ABCxyzÄØßéłőΔΩαπµ0123456789+−±×°·–—…≤≥→✓%()/.,:;'’\u{2009}⁰¹²³⁴⁵⁶⁷⁸⁹".chars()
        {
            assert!(has(c), "{c:?} is missing");
        }
    }

    #[test]
    fn figures_and_signs_are_of_one_width() {
        for weight in [Weight::Regular, Weight::SemiBold] {
            let zero = width_px("0", 10.0, weight);
            for c in ["1", "4", "7", "9", "+", "−", "±"] {
                assert_eq!(width_px(c, 10.0, weight), zero, "{c}");
            }
        }
    }

    #[test]
    fn cut_text_fits() {
        let text = "A very long name of a very long file, with a date behind it.wav";
        for most in [0.0, 5.0, 40.0, 100.0, 300.0, 1000.0] {
            let cut = fitted(text, 13.0, Weight::Regular, most);
            assert!(width_px(&cut, 13.0, Weight::Regular) <= most + ROUNDING_PX, "{most}: {cut}");
        }
    }

    #[test]
    fn wrapped_text_keeps_every_word_or_says_that_it_does_not() {
        let text = "one two three four five six seven eight nine ten";
        let lines = wrapped(text, 13.0, Weight::Regular, 80.0, 100);
        assert_eq!(lines.join(" "), text);
        let short = wrapped(text, 13.0, Weight::Regular, 80.0, 2);
        assert_eq!(short.len(), 2);
        assert!(short[1].ends_with('…'), "{short:?}");
    }
}
