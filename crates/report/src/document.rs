//! What a document is made of.

/// A paper from its letterhead to its last line.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    /// The size of its pages.
    pub paper: Paper,
    /// The language of its text as BCP 47 has it, "en" for one; screen readers speak by it, lines
    /// break by it.
    pub language: String,
    /// Whose paper it is.
    pub letterhead: Letterhead,
    /// What it is, on the first page and in the document's properties.
    pub title: String,
    /// What it is about, below the title.
    pub subtitle: String,
    /// Short facts in two columns at the head of the first page.
    pub facts: Vec<Fact>,
    /// What is said, in order.
    pub chapters: Vec<Chapter>,
    /// What stands at the foot of every page, besides its number.
    pub foot: String,
    /// Words of the paper itself.
    pub words: PaperWords,
    /// The date of the document's properties.
    pub date: Date,
    /// What tells this document from others: the same for what replaces it.
    pub identifier: String,
}

/// Words that a paper needs besides what it says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PaperWords {
    /// Before the number of a page: "Page".
    pub page: String,
    /// Between it and the number of pages: "of".
    pub of: String,
    /// Where a picture should be that could not be read.
    pub no_picture: String,
}

impl Default for PaperWords {
    fn default() -> Self {
        Self {
            page: "Page".to_owned(),
            of: "of".to_owned(),
            no_picture: "This picture could not be read.".to_owned(),
        }
    }
}

/// Size of the pages.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paper {
    /// 210 x 297 mm (ISO 216).
    A4,
    /// 8.5 x 11 inches (ANSI/ASME Y14.1).
    Letter,
}

/// A day of the Gregorian calendar.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Date {
    /// Year, 0 to 9999.
    pub year: i32,
    /// Month, 1 to 12.
    pub month: u8,
    /// Day of the month, from 1.
    pub day: u8,
}

/// Whose paper it is.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Letterhead {
    /// The name of the workshop.
    pub name: String,
    /// Address, telephone and what else stands below it, a line each.
    pub lines: Vec<String>,
    /// The workshop's sign: PNG, JPEG, WebP or SVG.
    pub logo: Option<Picture>,
}

/// A thing and what it is: "Complaint", "stops at night".
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fact {
    /// The name.
    pub name: String,
    /// What it is; may have several lines.
    pub value: String,
}

/// A headed part of a document.
#[derive(Debug, Clone, PartialEq)]
pub struct Chapter {
    /// Its heading.
    pub title: String,
    /// Whether it begins on a page of its own.
    pub new_page: bool,
    /// What stands in it.
    pub blocks: Vec<Block>,
}

/// What may stand in a chapter.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    /// A smaller heading.
    Heading(String),
    /// Running text; an empty line parts paragraphs.
    Text(String),
    /// Small, quiet text: how something was measured, where a limit is from.
    Note(String),
    /// A sentence to be seen.
    Remark(Tone, String),
    /// Names and what they are, one below the other.
    Facts(Vec<Fact>),
    /// Things in a row, each with a mark before it; many of them stand in two columns, small.
    List(Vec<String>),
    /// Steps, numbered; many of them stand in two columns, small.
    Steps(Vec<String>),
    /// A table.
    Table(Table),
    /// A drawing across the page.
    Picture(Picture),
    /// Photos side by side.
    Photos(Vec<Picture>),
    /// Lines to sign on, each with what stands below it.
    Signatures(Vec<String>),
}

/// How a remark is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tone {
    /// As it should be.
    Good,
    /// To be kept in mind.
    Mind,
    /// Something that can hurt.
    Caution,
}

/// Rows under a head. Every row has as many cells as there are columns; what is missing is empty,
/// what is too many is left out.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// What the table tells, above it and for screen readers; may be empty.
    pub caption: String,
    /// The columns.
    pub columns: Vec<Column>,
    /// The rows.
    pub rows: Vec<Vec<Cell>>,
    /// Whether it is to be looked up rather than read: then it is set smaller.
    pub is_dense: bool,
}

/// A column of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Column {
    /// What stands in its head.
    pub title: String,
    /// To which side its cells go.
    pub side: Side,
    /// How wide it is.
    pub width: Width,
}

/// How wide a column is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Width {
    /// As its widest cell.
    AsItsCells,
    /// As the longest day, so that a table does not look another way on another day.
    AsTheLongestDay,
    /// It takes what is left, as a column of running text does.
    WhatIsLeft,
}

impl Column {
    /// Short texts.
    #[must_use]
    pub fn text(title: impl Into<String>) -> Self {
        Self { title: title.into(), side: Side::Start, width: Width::AsItsCells }
    }

    /// Running text, which takes what width is left.
    #[must_use]
    pub fn wide(title: impl Into<String>) -> Self {
        Self { width: Width::WhatIsLeft, ..Self::text(title) }
    }

    /// Days, written out.
    #[must_use]
    pub fn day(title: impl Into<String>) -> Self {
        Self { width: Width::AsTheLongestDay, ..Self::text(title) }
    }

    /// Numbers.
    #[must_use]
    pub fn numbers(title: impl Into<String>) -> Self {
        Self { side: Side::End, ..Self::text(title) }
    }
}

/// To which side something goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Where lines begin.
    Start,
    /// Where lines end: numbers.
    End,
}

/// A cell of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cell {
    /// Its text.
    pub text: String,
    /// Whether it is to be seen before the others of its row.
    pub strong: bool,
}

impl Cell {
    /// A cell like the others of its row.
    #[must_use]
    pub fn plain(text: impl Into<String>) -> Self {
        Self { text: text.into(), strong: false }
    }

    /// A cell to be seen before the others of its row.
    #[must_use]
    pub fn strong(text: impl Into<String>) -> Self {
        Self { text: text.into(), strong: true }
    }
}

/// A drawing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// Its bytes: SVG, PNG, JPEG or WebP; told by what they begin with.
    pub bytes: Vec<u8>,
    /// What it shows, for who cannot see it.
    pub words: String,
    /// What stands below it; may be empty.
    pub caption: String,
}
