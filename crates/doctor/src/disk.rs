//! Where things are kept.

use crate::facts::{Facts, FileSystem, FolderFact, FolderState};
use crate::words::size;
use crate::{Line, State};

const FOLDER: (&str, &str) = ("folder", "data folder");
const SPACE: (&str, &str) = ("space", "free space");
const TEMPORARY: (&str, &str) = ("temporary", "temporary files");

/// An hour of sound at 48 kHz and 16 bits takes 350 MB before it is packed: below a few of these somebody
/// should make room ...
const LITTLE_BYTES: u64 = 2_000_000_000;
/// ... and below this a reading may end in the midst of it.
const NO_ROOM_BYTES: u64 = 100_000_000;
/// What a photo or a paper wants while it is worked on.
const LITTLE_TEMPORARY_BYTES: u64 = 200_000_000;

pub(crate) fn lines(facts: &Facts) -> Vec<Line> {
    let mut lines = vec![folder(&facts.folder)];
    lines.extend(space(&facts.folder));
    lines.push(temporary(&facts.temporary, facts.one_disk));
    lines
}

fn folder(folder: &FolderFact) -> Line {
    let path = &folder.path;
    let (state, sentence) = match &folder.state {
        FolderState::Writable => match &folder.file_system {
            Some(FileSystem::Memory) => (
                State::Look,
                format!(
                    "{path} lies in memory and is gone when the machine is switched off: name a folder \
                     on a disk with --data."
                ),
            ),
            _ => (State::Ok, format!("{path} is there and can be written.")),
        },
        FolderState::Missing => (
            State::Ok,
            format!("{path} is not there yet; it is made when the bench is first opened."),
        ),
        FolderState::ReadOnly => (
            State::Broken,
            format!(
                "{path} cannot be written: give this user the right to, or name another folder with \
                 --data."
            ),
        ),
        FolderState::CannotBeMade => (
            State::Broken,
            format!(
                "{path} is not there and cannot be made: give this user the right to write where it \
                 would lie, or name another folder with --data."
            ),
        ),
        FolderState::NotAFolder => {
            (State::Broken, format!("{path} is no folder: name one with --data."))
        }
        FolderState::Shut(why) => (
            State::Broken,
            format!("{path} cannot be looked into ({why}): give this user the right to."),
        ),
    };
    Line::new(FOLDER, state, sentence)
}

fn space(folder: &FolderFact) -> Option<Line> {
    let free = folder.free_bytes?;
    let is = size(free);
    Some(match free {
        NO_ROOM_BYTES.. if free >= LITTLE_BYTES => {
            Line::new(SPACE, State::Ok, format!("{is} are free where things are kept."))
        }
        NO_ROOM_BYTES.. => Line::new(
            SPACE,
            State::Look,
            format!(
                "Only {is} are free where things are kept: an hour of sound takes up to 350 MB."
            ),
        ),
        _ => Line::new(
            SPACE,
            State::Broken,
            format!(
                "Only {is} are free where things are kept: make room before anything is entered."
            ),
        ),
    })
}

fn temporary(place: &FolderFact, one_disk: Option<bool>) -> Line {
    let path = &place.path;
    if place.state != FolderState::Writable {
        let sentence = format!(
            "{path} cannot be written: photos cannot be taken in. Set TMPDIR to a folder that can."
        );
        return Line::new(TEMPORARY, State::Broken, sentence);
    }
    let where_ = match one_disk {
        Some(true) => "on the disk of the data folder",
        _ => "on a disk of its own",
    };
    match place.free_bytes {
        Some(free) if free < LITTLE_TEMPORARY_BYTES => Line::new(
            TEMPORARY,
            State::Look,
            format!("{path}, {where_}, has only {} free: make room there.", size(free)),
        ),
        _ => Line::new(TEMPORARY, State::Ok, format!("{path} can be written; it lies {where_}.")),
    }
}
