//! The program itself and the machine under it.

use crate::facts::Facts;
use crate::words::size;
use crate::{Line, State};

const PROGRAM: (&str, &str) = ("program", "program");
const ZONE: (&str, &str) = ("time_zone", "time zone");
const FONTS: (&str, &str) = ("fonts", "typefaces");
const MEMORY: (&str, &str) = ("memory", "memory");
const FILES: (&str, &str) = ("open_files", "open files");

/// What hearing a long recording takes beside the rest (`docs/speed.md`), twice.
const LITTLE_MEMORY_BYTES: u64 = 300_000_000;
/// Connections of some devices, the database's and the media's files; the usual limit is 1,024.
const FEW_FILES: u64 = 256;

pub(crate) fn program(facts: &Facts) -> Line {
    Line::new(PROGRAM, State::Ok, format!("Endshake {}.", facts.version))
}

pub(crate) fn lines(facts: &Facts) -> Vec<Line> {
    let system = &facts.system;
    let mut lines = vec![
        match &system.time_zone {
            Some(zone) => Line::new(ZONE, State::Ok, format!("{zone}.")),
            None => Line::new(
                ZONE,
                State::Look,
                "This machine has none, so a day begins at midnight in Greenwich: set it (timedatectl \
                 set-timezone).",
            ),
        },
        if system.missing_fonts.is_empty() {
            Line::new(
                FONTS,
                State::Ok,
                "Those of page and pictures are in the program; none is installed.",
            )
        } else {
            let missing = system.missing_fonts.join(", ");
            let sentence = format!(
                "The program was built without {missing}: words look otherwise. Build it again."
            );
            Line::new(FONTS, State::Look, sentence)
        },
    ];
    if let Some(free) = system.free_memory_bytes {
        let is = size(free);
        lines.push(if free < LITTLE_MEMORY_BYTES {
            let sentence = format!(
                "Only {is} are free: close other programs before a long recording is heard."
            );
            Line::new(MEMORY, State::Look, sentence)
        } else {
            Line::new(MEMORY, State::Ok, format!("{is} are free."))
        });
    }
    if let Some(limit) = system.open_files {
        lines.push(if limit < FEW_FILES {
            let sentence = format!(
                "This user may have {limit} files open at once, which is few for several devices: raise \
                 it (ulimit -n 1024)."
            );
            Line::new(FILES, State::Look, sentence)
        } else {
            Line::new(FILES, State::Ok, format!("{limit} may be open at once."))
        });
    }
    lines
}
