//! The file that the sound is kept in: beside its place until it is whole.

use crate::failure::Failure;
use crate::whole_file;
use std::path::{Path, PathBuf};

pub(super) struct Kept {
    part: PathBuf,
    place: PathBuf,
}

impl Kept {
    /// For a file of this name.
    pub(super) fn at(path: &Path) -> Result<Self, Failure> {
        if path.extension().is_none_or(|ending| !ending.eq_ignore_ascii_case("flac")) {
            return Err(Failure::WrongUse(format!(
                "--save writes FLAC: end the name “{}” in .flac.",
                path.display()
            )));
        }
        let place = whole_file::place(path)?;
        Ok(Self { part: place.with_extension("part.flac"), place })
    }

    /// Where it is written.
    pub(super) fn part(&self) -> &Path {
        &self.part
    }

    /// Gives it its name where it is whole; else it stays where it is. Gives the file.
    pub(super) fn finish(self, whole: bool) -> Result<PathBuf, Failure> {
        if !whole {
            return Ok(self.part);
        }
        std::fs::rename(&self.part, &self.place)
            .map_err(|error| whole_file::cannot_write(&self.place, &error))?;
        Ok(self.place)
    }
}
