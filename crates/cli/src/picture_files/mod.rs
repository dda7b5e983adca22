//! Pictures of a reading as files.

mod sheet_of;

use crate::arguments::PictureKind;
use crate::failure::Failure;
use crate::measure::Heard;
use crate::standard_input;
use plot::{FontUse, Picture, Sheet, Size, Theme, Tolerance};
use std::ffi::{OsStr, OsString};
use std::path::{Path, PathBuf};

/// A picture that the user asked for.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct PictureWish {
    path: PathBuf,
    file: FileKind,
    kind: PictureKind,
    pub(crate) theme: Theme,
    pub(crate) size: Size,
    pub(crate) tolerance: Option<Tolerance>,
    pub(crate) title: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum FileKind {
    Svg,
    Png,
}

/// Stands in a picture's name for that of the recording.
const NAME_GOES_HERE: &str = "{}";

/// What stands there for standard input.
const STANDARD_INPUT: &str = "standard-input";

/// Pixels of a PNG for each CSS pixel: sharp on today's screens and good enough for print.
const PNG_SCALE: f64 = 2.0;

impl PictureWish {
    /// A picture in this file, whose ending says what kind of file it is.
    pub(crate) fn new(path: PathBuf, kind: PictureKind) -> Result<Self, Failure> {
        let ending = path.extension().unwrap_or_default().to_string_lossy().to_ascii_lowercase();
        let file = match ending.as_str() {
            "svg" => FileKind::Svg,
            "png" => FileKind::Png,
            _ => {
                return Err(Failure::WrongUse(format!(
                    "“{}” is not a picture that can be drawn: let the name end in .svg or .png.",
                    path.display()
                )));
            }
        };
        let (theme, size) = (Theme::Light, Size::page());
        Ok(Self { path, file, kind, theme, size, tolerance: None, title: None })
    }

    /// Pictures of several recordings must not all land in one file.
    pub(crate) fn several_can_be_told_apart(&self, recordings: usize) -> Result<(), Failure> {
        let name = self.path.file_name().unwrap_or_default();
        let has_place = name.to_str().is_some_and(|name| name.contains(NAME_GOES_HERE));
        let name = name.to_string_lossy();
        if recordings > 1 && !has_place {
            return Err(Failure::WrongUse(format!(
                "There are {recordings} recordings but one picture, “{name}”: put {NAME_GOES_HERE} \
                 in its name where that of the recording shall stand."
            )));
        }
        Ok(())
    }

    /// Where the picture of this recording goes.
    pub(crate) fn path_for(&self, recording: &Path) -> PathBuf {
        let Some(name) = self.path.file_name().and_then(OsStr::to_str) else {
            return self.path.clone();
        };
        // No file should be called “-.svg”: commands would take it for an option.
        let recording =
            if standard_input::is_meant(recording) { Path::new(STANDARD_INPUT) } else { recording };
        let stem = recording.file_stem().unwrap_or_default();
        // Names need not be text, and two that are not must not become one.
        let mut filled = OsString::new();
        for (place, part) in name.split(NAME_GOES_HERE).enumerate() {
            if place > 0 {
                filled.push(stem);
            }
            filled.push(part);
        }
        self.path.with_file_name(filled)
    }

    /// Draws it.
    pub(crate) fn draw(&self, heard: &Heard) -> Result<Vec<u8>, Failure> {
        let picture = self.picture(heard).ok_or_else(|| {
            Failure::CannotWrite(format!(
                "“{}” was not drawn: this reading holds nothing for that kind of picture; record \
                 longer.",
                standard_input::shown(&heard.source.path)
            ))
        })?;
        match self.file {
            FileKind::Svg => Ok(picture.svg(FontUse::Embedded).into_bytes()),
            FileKind::Png => picture
                .png(PNG_SCALE)
                .map_err(|e| Failure::CannotWrite(format!("The picture was not drawn: {e}."))),
        }
    }

    /// The picture; `None` where there is nothing to be seen in it.
    fn picture(&self, heard: &Heard) -> Option<Picture> {
        let balances = &heard.reading.balances;
        let (size, theme) = (self.size, self.theme);
        // More than one picture of a kind stand below each other on a page.
        let page = |sheet: Sheet| sheet.draw(size, theme);
        match self.kind {
            PictureKind::Sheet => {
                Some(page(sheet_of::sheet(heard, self.title.as_deref(), self.tolerance)))
            }
            PictureKind::Drift => Some(
                pictures::drift(balances, heard.source.duration_s, self.tolerance)
                    .draw(size, theme),
            ),
            PictureKind::Scatter => {
                Some(pictures::scatter(balances, heard.source.duration_s).draw(size, theme))
            }
            PictureKind::Beats => match pictures::beats(balances).as_slice() {
                [] => None,
                [one] => Some(one.draw(size, theme)),
                many => Some(page(Sheet { beats: many.to_vec(), ..Sheet::default() })),
            },
            PictureKind::Course => match pictures::courses(balances).as_slice() {
                [] => None,
                [one] => Some(one.draw(size, theme)),
                many => Some(page(Sheet { courses: many.to_vec(), ..Sheet::default() })),
            },
            PictureKind::Periodogram => match pictures::periodograms(balances, false).as_slice() {
                [] => None,
                [one] => Some(one.draw(size, theme)),
                many => Some(page(Sheet { periodograms: many.to_vec(), ..Sheet::default() })),
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_pictures() {
        let wish = |name: &str| PictureWish::new(name.into(), PictureKind::Sheet);
        for wrong in ["a", "a.gif", "svg", ""] {
            assert!(matches!(wish(wrong), Err(Failure::WrongUse(_))), "{wrong}");
        }
        let one = wish("out/a.SVG").unwrap();
        assert_eq!(one.file, FileKind::Svg);
        assert!(one.several_can_be_told_apart(1).is_ok());
        assert!(one.several_can_be_told_apart(2).is_err());
        assert_eq!(one.path_for(Path::new("x/morning.wav")), Path::new("out/a.SVG"));
        let many = wish("out/{}-sheet.png").unwrap();
        assert!(many.several_can_be_told_apart(2).is_ok());
        assert_eq!(many.path_for(Path::new("x/morning.wav")), Path::new("out/morning-sheet.png"));
        assert_eq!(many.path_for(Path::new("-")), Path::new("out/standard-input-sheet.png"));
    }
}
