//! Opens an archive: whatever it is made of, it is bounded by its manifest and by `limits` before
//! anything of it is unpacked.

use crate::item::{Item, Lines};
use crate::limits::{
    MANIFEST_BASE, MANIFEST_PER_FILE, MOST_FILES, MOST_LINE, MOST_LINES_FILE, MOST_MEDIA,
    MOST_RATIO, MOST_TABLE,
};
use crate::manifest::{self, Counts, Holds, Listed, Manifest};
use crate::media::Sort;
use crate::refused::Refused;
use crate::tables;
use crate::zip_end;
use jobs::MediaHash;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::io::{Read, Seek};
use zip::{CompressionMethod, ZipArchive};

/// How much is read at once.
const BLOCK: usize = 1 << 18;

/// An archive that has been opened: it is a zip file of the right make, and its manifest can be
/// read. What its files hold has not been looked at yet; see [`check`](crate::check()).
pub struct Reader<R> {
    zip: ZipArchive<R>,
    manifest: Manifest,
    lines: Vec<(Lines, File)>,
    media: Vec<Media>,
    media_files: Vec<File>,
    tables: Vec<File>,
}

/// A sound or photo of an archive.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Media {
    /// Which of the two.
    pub sort: Sort,
    /// Its SHA-256.
    pub hash: MediaHash,
    /// Its length.
    pub bytes: u64,
}

/// Where a file is.
#[derive(Debug, Clone)]
struct File {
    index: usize,
    listed: Listed,
}

/// The lines of one file.
pub(crate) struct Piece {
    pub(crate) file: String,
    pub(crate) bytes: u64,
    pub(crate) items: Vec<Item>,
}

/// What a name in an archive stands for.
enum Named {
    Manifest,
    Lines(Lines, u32),
    Media(Sort, MediaHash),
    Table,
}

fn named(path: &str) -> Option<Named> {
    if path == manifest::NAME {
        return Some(Named::Manifest);
    }
    if let Some((sort, hash)) = Sort::of_path(path) {
        return Some(Named::Media(sort, hash));
    }
    if let Some(name) = path.strip_prefix("data/") {
        let (code, number) = numbered(name.strip_suffix(".jsonl")?)?;
        let lines = Lines::all().find(|lines| lines.code() == code)?;
        return Some(Named::Lines(lines, number));
    }
    let name = path.strip_prefix("tables/")?;
    let (name, ending) = name.rsplit_once('.')?;
    let (table, _) = numbered(name)?;
    tables::is_name(table, ending).then_some(Named::Table)
}

/// The name and the number of `owner-0001`.
fn numbered(name: &str) -> Option<(&str, u32)> {
    let (name, digits) = name.rsplit_once('-')?;
    let number = digits.parse().ok()?;
    (format!("{number:04}") == digits && number > 0).then_some((name, number))
}

impl<R: Read + Seek> Reader<R> {
    /// Opens one.
    ///
    /// # Errors
    ///
    /// Where it is no archive, or holds what it must not.
    pub fn open(mut from: R) -> Result<Self, Refused> {
        let (says, length) = zip_end::files(&mut from)?;
        if says > MOST_FILES {
            return Err(Refused::TooMuch(format!("{says} files; {MOST_FILES} are read at most")));
        }
        let mut zip = ZipArchive::new(from).map_err(|error| damaged(&error))?;
        if zip.len() as u64 != says || zip.has_duplicate_names() {
            return Err(Refused::Odd("a file stands in it twice".into()));
        }
        let odd = |what: &str| Refused::Odd(what.to_owned());
        if zip.offset() != 0 {
            return Err(odd("something stands before it"));
        }
        let mut found = BTreeMap::new();
        let mut packed = 0_u64;
        for index in 0..zip.len() {
            let file = zip.by_index_data(index).map_err(|error| damaged(&error))?;
            let path = String::from_utf8(file.name_raw().to_vec()).unwrap_or_default();
            if named(&path).is_none() {
                return Err(Refused::Extra(shown(file.name_raw())));
            }
            if !file.is_file() || file.is_symlink() || file.is_dir() {
                return Err(odd(&format!("{path} is no ordinary file")));
            }
            if file.encrypted() {
                return Err(odd(&format!("{path} is encrypted")));
            }
            packed = packed.saturating_add(file.compressed_size());
            bounded(&path, file.compression(), file.compressed_size(), file.size())?;
            found.insert(path, index);
        }
        if packed > length || zip.has_overlapping_entries().map_err(|error| damaged(&error))? {
            return Err(odd("its files lie over each other"));
        }
        zip.validate_header_consistency().map_err(|error| damaged(&error))?;
        let index = found.remove(manifest::NAME).ok_or(Refused::NoManifest)?;
        let most = MANIFEST_BASE + MANIFEST_PER_FILE * says;
        let manifest = Manifest::read(&unpacked(&mut zip, index, manifest::NAME, most)?)?;
        let mut reader = Self {
            zip,
            manifest,
            lines: Vec::new(),
            media: Vec::new(),
            media_files: Vec::new(),
            tables: Vec::new(),
        };
        reader.sort_out(found)?;
        Ok(reader)
    }

    /// Holds the manifest against what is there.
    fn sort_out(&mut self, mut found: BTreeMap<String, usize>) -> Result<(), Refused> {
        let mut pieces = BTreeMap::new();
        for listed in &self.manifest.files {
            let missing = || {
                let known = named(&listed.path).is_some();
                let path = listed.path.as_bytes();
                Refused::Missing(if known { listed.path.clone() } else { shown(path) })
            };
            // Whatever is there has one of our names.
            let index = found.remove(&listed.path).ok_or_else(missing)?;
            let size = self.zip.by_index_data(index).map_err(|error| damaged(&error))?.size();
            if size != listed.bytes {
                return Err(Refused::Changed(listed.path.clone()));
            }
            let file = File { index, listed: listed.clone() };
            match named(&listed.path).ok_or_else(missing)? {
                Named::Lines(lines, number) => {
                    pieces.insert((lines, number), file);
                }
                Named::Media(sort, hash) => {
                    if listed.sha256 != hash.to_string() {
                        return Err(Refused::Changed(listed.path.clone()));
                    }
                    self.media.push(Media { sort, hash, bytes: size });
                    self.media_files.push(file);
                }
                Named::Table => self.tables.push(file),
                Named::Manifest => return Err(missing()),
            }
        }
        if let Some((path, _)) = found.into_iter().next() {
            return Err(Refused::Extra(path));
        }
        let mut before: Option<(Lines, u32)> = None;
        for ((lines, number), file) in pieces {
            let last = before.filter(|(own, _)| *own == lines).map_or(0, |(_, number)| number);
            if number != last + 1 {
                let path = format!("data/{}-{:04}.jsonl", lines.code(), last + 1);
                return Err(Refused::Missing(path));
            }
            before = Some((lines, number));
            self.lines.push((lines, file));
        }
        Ok(())
    }

    /// Of what it is.
    #[must_use]
    pub fn holds(&self) -> &Holds {
        &self.manifest.holds
    }

    /// How many of each, as its manifest says.
    #[must_use]
    pub fn counts(&self) -> &Counts {
        &self.manifest.counts
    }

    /// Version of the program that wrote it, and when, as its manifest says.
    #[must_use]
    pub fn written(&self) -> (&str, &str) {
        (&self.manifest.program, &self.manifest.made)
    }

    /// Its sounds and photos.
    #[must_use]
    pub fn media(&self) -> &[Media] {
        &self.media
    }

    /// How many bytes all its files have.
    #[must_use]
    pub fn bytes(&self) -> u64 {
        self.manifest.files.iter().map(|file| file.bytes).sum()
    }

    /// How many files of lines it has.
    #[must_use]
    pub fn pieces(&self) -> usize {
        self.lines.len()
    }

    /// What stands in one of them, in order. What belongs to others comes after them.
    ///
    /// # Errors
    ///
    /// Where it is not what the manifest says, or a line cannot be read.
    pub fn items(&mut self, n: usize) -> Result<Vec<Item>, Refused> {
        Ok(self.piece(n)?.items)
    }

    pub(crate) fn piece(&mut self, n: usize) -> Result<Piece, Refused> {
        let (lines, file) = self.lines.get(n).cloned().ok_or_else(|| no_such(n))?;
        let listed = file.listed;
        let bytes = unpacked(&mut self.zip, file.index, &listed.path, MOST_LINES_FILE)?;
        if format!("{:x}", Sha256::digest(&bytes)) != listed.sha256 {
            return Err(Refused::Changed(listed.path));
        }
        let wrong = |line: usize, what: String| Refused::Line {
            file: listed.path.clone(),
            line: line as u64,
            what,
        };
        let all = bytes.strip_suffix(b"\n").unwrap_or(&bytes);
        let mut items = Vec::new();
        for (number, line) in (1..).zip(all.split(|byte| *byte == b'\n')) {
            if line.len() > MOST_LINE {
                return Err(wrong(number, format!("it is longer than {MOST_LINE} bytes")));
            }
            items.push(lines.item(line).map_err(|unread| wrong(number, unread.to_string()))?);
        }
        Ok(Piece { file: listed.path, bytes: listed.bytes, items })
    }

    pub(crate) fn tables(&self) -> usize {
        self.tables.len()
    }

    /// Looks whether a table is what the manifest says. Nothing is read from it: all that stands in
    /// it stands in the records.
    pub(crate) fn table(&mut self, n: usize) -> Result<u64, Refused> {
        let file = self.tables.get(n).cloned().ok_or_else(|| no_such(n))?;
        let bytes = unpacked(&mut self.zip, file.index, &file.listed.path, MOST_TABLE)?;
        if format!("{:x}", Sha256::digest(&bytes)) == file.listed.sha256 {
            Ok(file.listed.bytes)
        } else {
            Err(Refused::Changed(file.listed.path))
        }
    }

    /// The blocks of a sound or photo.
    ///
    /// # Errors
    ///
    /// Where there is none of this number, or it cannot be read.
    pub fn blocks(&mut self, n: usize) -> Result<Blocks<'_, R>, Refused> {
        let (media, file) = match (self.media.get(n), self.media_files.get(n)) {
            (Some(media), Some(file)) => (*media, file.clone()),
            _ => return Err(no_such(n)),
        };
        let from = self.zip.by_index(file.index).map_err(|error| damaged(&error))?;
        let path = file.listed.path;
        let block = vec![0; BLOCK];
        Ok(Blocks { from, media, path, read: 0, hasher: Sha256::new(), block })
    }
}

/// A sound or photo, block by block. Until its last block was handed out, it is not known whether it
/// is what its name says.
pub struct Blocks<'a, R: Read + Seek> {
    from: zip::read::ZipFile<'a, R>,
    media: Media,
    path: String,
    read: u64,
    hasher: Sha256,
    block: Vec<u8>,
}

impl<R: Read + Seek> Blocks<'_, R> {
    /// The next one; none at the end.
    ///
    /// # Errors
    ///
    /// Where it is not what its name and the manifest say; what was handed out until then is not to
    /// be used.
    pub fn next_block(&mut self) -> Result<Option<&[u8]>, Refused> {
        let changed = || Refused::Changed(self.path.clone());
        let read = self.from.read(&mut self.block).map_err(|error| of_file(&self.path, &error))?;
        let block = self.block.get(..read).ok_or_else(changed)?;
        if self.read == 0 && !block.starts_with(self.media.sort.begins()) {
            return Err(Refused::NotAsClaimed(self.path.clone(), self.media.sort.words()));
        }
        self.read += read as u64;
        if self.read > self.media.bytes {
            return Err(changed());
        }
        if read > 0 {
            self.hasher.update(block);
            return Ok(Some(block));
        }
        let hash = MediaHash::from_bytes(std::mem::take(&mut self.hasher).finalize().into());
        if self.read == self.media.bytes && hash == self.media.hash {
            Ok(None)
        } else {
            Err(changed())
        }
    }
}

/// Whether a file of this name may be packed so, and unpack to so much.
fn bounded(path: &str, how: CompressionMethod, packed: u64, size: u64) -> Result<(), Refused> {
    let most = match named(path) {
        Some(Named::Lines(..)) => MOST_LINES_FILE,
        Some(Named::Media(..)) => MOST_MEDIA,
        Some(Named::Table) => MOST_TABLE,
        Some(Named::Manifest) | None => MANIFEST_BASE + MANIFEST_PER_FILE * MOST_FILES,
    };
    let is_media = matches!(named(path), Some(Named::Media(..)));
    match how {
        CompressionMethod::Stored if packed == size => {}
        CompressionMethod::Deflated if !is_media => {
            if size > packed.saturating_mul(MOST_RATIO) {
                let what = format!("{path} unpacks to more than {MOST_RATIO} times its size");
                return Err(Refused::TooMuch(what));
            }
        }
        _ => return Err(Refused::Odd(format!("{path} is packed in another way"))),
    }
    if size > most {
        return Err(Refused::TooMuch(format!("{path} has {size} bytes; {most} are read at most")));
    }
    Ok(())
}

/// All of a file, no longer than it says and than may be.
fn unpacked<R: Read + Seek>(
    zip: &mut ZipArchive<R>,
    index: usize,
    path: &str,
    most: u64,
) -> Result<Vec<u8>, Refused> {
    let file = zip.by_index(index).map_err(|error| damaged(&error))?;
    let size = file.size();
    if size > most {
        return Err(Refused::TooMuch(format!("{path} has {size} bytes; {most} are read at most")));
    }
    let mut bytes = Vec::new();
    let read = file.take(size + 1).read_to_end(&mut bytes);
    read.map_err(|error| of_file(path, &error))?;
    if bytes.len() as u64 == size { Ok(bytes) } else { Err(Refused::Changed(path.to_owned())) }
}

fn no_such(n: usize) -> Refused {
    Refused::Missing(format!("file {n}"))
}

fn of_file(path: &str, error: &std::io::Error) -> Refused {
    use std::io::ErrorKind::{InvalidData, InvalidInput, UnexpectedEof};
    match error.kind() {
        InvalidData | InvalidInput | UnexpectedEof => Refused::Changed(path.to_owned()),
        _ => Refused::Unreadable(error.to_string()),
    }
}

fn damaged(error: &zip::result::ZipError) -> Refused {
    Refused::Damaged(error.to_string().chars().take(200).collect())
}

/// A name out of an archive, fit to be shown.
fn shown(name: &[u8]) -> String {
    let name = String::from_utf8_lossy(name);
    let plain = name.chars().map(|c| if c.is_control() { ' ' } else { c });
    format!("“{}”", plain.take(100).collect::<String>())
}
