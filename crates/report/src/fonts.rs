//! Fonts to print with.

use typst::foundations::Bytes;
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;

/// The family that is used first: has Latin, Greek, Cyrillic and Hebrew letters.
const FIRST: &str = "Libertinus Serif";

/// Fonts to print with: those that are built in, then those that were added, by their order.
#[derive(Debug, Clone)]
pub struct Fonts {
    all: Vec<Font>,
    book: LazyHash<FontBook>,
    families: Vec<String>,
}

impl Default for Fonts {
    fn default() -> Self {
        Self::with(std::iter::empty())
    }
}

impl Fonts {
    /// The built-in fonts and, for letters that these do not have, the fonts in `more`: the bytes of
    /// TrueType or OpenType files, collections too. Files that are none are left out.
    #[must_use]
    pub fn with(more: impl IntoIterator<Item = Vec<u8>>) -> Self {
        let built_in = typst_assets::fonts().filter_map(|bytes| Font::new(Bytes::new(bytes), 0));
        let mut all: Vec<Font> = built_in.filter(|font| font.info().family == FIRST).collect();
        for bytes in more {
            all.extend(Font::iter(Bytes::new(bytes)));
        }
        let mut families: Vec<String> = Vec::new();
        for font in &all {
            if !families.contains(&font.info().family) {
                families.push(font.info().family.clone());
            }
        }
        let book = LazyHash::new(FontBook::from_fonts(&all));
        Self { all, book, families }
    }

    /// Whether some font has a letter for `c`.
    #[must_use]
    pub fn have(&self, c: char) -> bool {
        self.all.iter().any(|font| font.info().coverage.contains(u32::from(c)))
    }

    pub(crate) fn book(&self) -> &LazyHash<FontBook> {
        &self.book
    }

    pub(crate) fn at(&self, index: usize) -> Option<Font> {
        self.all.get(index).cloned()
    }

    /// Names of the families, the first first.
    pub(crate) fn families(&self) -> &[String] {
        &self.families
    }
}
