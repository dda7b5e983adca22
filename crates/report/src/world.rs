//! What the typesetter may see: one source, the values of one document, its pictures, some fonts.
//! No file, no clock, no network.

use crate::fonts::Fonts;
use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Dict, Duration, IntoValue};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};

const LAYOUT: &str = include_str!("document.typ");

/// The world of one document.
pub(crate) struct Desk<'a> {
    library: LazyHash<Library>,
    fonts: &'a Fonts,
    layout: Source,
    pictures: Vec<(FileId, Bytes)>,
}

impl<'a> Desk<'a> {
    /// `values` is what the layout reads, `pictures` are files by the name that it uses for them.
    ///
    /// `None` where a name is no path; names are this crate's own.
    pub(crate) fn laid(
        values: Dict,
        pictures: Vec<(String, Bytes)>,
        fonts: &'a Fonts,
    ) -> Option<Self> {
        let mut inputs = Dict::new();
        inputs.insert("document".into(), values.into_value());
        let pictures = pictures
            .into_iter()
            .map(|(name, bytes)| Some((file(&name)?, bytes)))
            .collect::<Option<Vec<_>>>()?;
        Some(Self {
            library: LazyHash::new(Library::builder().with_inputs(inputs).build()),
            fonts,
            layout: Source::new(file("document.typ")?, LAYOUT.to_owned()),
            pictures,
        })
    }
}

fn file(name: &str) -> Option<FileId> {
    let path = VirtualPath::new(name).ok()?;
    Some(RootedPath::new(VirtualRoot::Project, path).intern())
}

fn absent(id: FileId) -> FileError {
    FileError::NotFound(id.get().vpath().get_without_slash().into())
}

impl World for Desk<'_> {
    fn library(&self) -> &LazyHash<Library> {
        &self.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        self.fonts.book()
    }

    fn main(&self) -> FileId {
        self.layout.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == self.layout.id() { Ok(self.layout.clone()) } else { Err(absent(id)) }
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        let found = self.pictures.iter().find(|(name, _)| *name == id);
        found.map(|(_, bytes)| bytes.clone()).ok_or_else(|| absent(id))
    }

    fn font(&self, index: usize) -> Option<Font> {
        self.fonts.at(index)
    }

    /// No clock is read: a document's day is a value of it.
    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        None
    }
}
