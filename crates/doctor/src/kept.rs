//! What is kept: database, backup, sounds and photos.

use crate::facts::{
    Backups, DamageFact, DatabaseFact, DatabaseState, Facts, FileSystem, MediaFact, Trouble,
};
use crate::words::{ago, count, days, size};
use crate::{Line, State};

const DATABASE: (&str, &str) = ("database", "database");
const SCHEMA: (&str, &str) = ("schema", "its layout");
const INTEGRITY: (&str, &str) = ("integrity", "its soundness");
const LOG: (&str, &str) = ("log", "its log");
const BACKUP: (&str, &str) = ("backup", "backup");
const MEDIA: (&str, &str) = ("media", "sounds and photos");

/// SQLite empties its log into the database at about 4 MB (sqlite.org/wal.html); one that has grown past
/// this is held open by somebody who reads for very long.
const LONG_LOG_BYTES: u64 = 200_000_000;
/// What was entered in a week is much to lose.
const OLD_BACKUP_DAYS: u64 = 7;

pub(crate) fn lines(facts: &Facts) -> Vec<Line> {
    let mut lines = database(&facts.database);
    lines.extend(backup(facts));
    lines.push(media(&facts.media));
    lines
}

fn database(database: &DatabaseFact) -> Vec<Line> {
    let shown = &database.shown;
    let (schema, lacks, unknown, damage, bytes, log_bytes, records) = match &database.state {
        DatabaseState::Nothing => {
            let sentence =
                format!("There is none yet at {shown}; it is made when the bench is first opened.");
            return vec![Line::new(DATABASE, State::Ok, sentence)];
        }
        DatabaseState::Unreadable(Trouble::Locked, _) => {
            let sentence =
                format!("{shown} is held by another program: close that, or wait for it.");
            return vec![Line::new(DATABASE, State::Look, sentence)];
        }
        DatabaseState::Unreadable(_, why) => {
            return vec![Line::new(
                DATABASE,
                State::Broken,
                format!("{shown} cannot be opened. {why}"),
            )];
        }
        DatabaseState::There {
            schema, lacks, unknown, damage, bytes, log_bytes, records, ..
        } => (schema, *lacks, unknown, damage, *bytes, *log_bytes, *records),
    };
    let holds = format!("{shown} holds {} in {}", count(records, "record", "records"), size(bytes));
    let mut lines = vec![match (&database.file_system, database.is_file) {
        (Some(FileSystem::Network(kind)), true) => Line::new(
            DATABASE,
            State::Broken,
            format!(
                "{holds}, on a network share ({kind}), where the locks of SQLite cannot be relied on: \
                 keep it on a disk of this machine, or use a PostgreSQL server for several benches."
            ),
        ),
        _ => Line::new(DATABASE, State::Ok, format!("{holds}.")),
    }];
    lines.push(match (unknown, lacks) {
        (Some(unknown), _) => Line::new(
            SCHEMA,
            State::Broken,
            format!(
                "It was written by a newer version of this program (it knows “{unknown}”): use that \
                 version, or a backup from before it."
            ),
        ),
        (None, 0) => Line::new(SCHEMA, State::Ok, format!("It is laid out as this version does ({schema}).")),
        (None, _) if database.is_file => Line::new(
            SCHEMA,
            State::Look,
            format!(
                "It was written by an earlier version ({schema}); when it is opened a copy is made beside \
                 it first, then it is brought to this version's layout."
            ),
        ),
        (None, _) => Line::new(
            SCHEMA,
            State::Look,
            format!(
                "It was written by an earlier version ({schema}): make a copy with pg_dump, then start \
                 once with endshake serve --upgrade."
            ),
        ),
    });
    match damage {
        DamageFact::NotAsked => {}
        DamageFact::None => {
            lines.push(Line::new(INTEGRITY, State::Ok, "A quick check finds nothing wrong."));
        }
        DamageFact::Found(said) => lines.push(Line::new(
            INTEGRITY,
            State::Broken,
            format!(
                "It is damaged ({}): stop working in it, and go back to the last backup.",
                said.join("; ")
            ),
        )),
    }
    if let Some(bytes) = log_bytes {
        lines.push(if bytes > LONG_LOG_BYTES {
            Line::new(
                LOG,
                State::Look,
                format!(
                    "Its write-ahead log has grown to {}: close every program that uses it, and it is \
                     emptied.",
                    size(bytes)
                ),
            )
        } else {
            Line::new(LOG, State::Ok, format!("Its write-ahead log has {}.", size(bytes)))
        });
    }
    lines
}

fn backup(facts: &Facts) -> Option<Line> {
    let DatabaseState::There { records, backups, .. } = &facts.database.state else { return None };
    Some(match backups {
        Backups::Never if *records == 0 => {
            Line::new(BACKUP, State::Ok, "None was made yet; there is nothing to lose either.")
        }
        Backups::Never => Line::new(
            BACKUP,
            State::Look,
            "None was made with endshake backup yet: make one, and put it on another disk.",
        ),
        Backups::Last(ms) => {
            let age = days(*ms, facts.now_ms);
            let when = ago(age);
            if age > OLD_BACKUP_DAYS {
                let sentence =
                    format!("The last was made {when}: make another with endshake backup.");
                Line::new(BACKUP, State::Look, sentence)
            } else {
                Line::new(BACKUP, State::Ok, format!("The last was made {when}."))
            }
        }
    })
}

fn media(media: &MediaFact) -> Line {
    match media {
        MediaFact::NotLooked => Line::new(MEDIA, State::Ok, "There are none yet."),
        MediaFact::NoFolder(path) => Line::new(
            MEDIA,
            State::Broken,
            format!(
                "Their folder {path} is gone: name the right one with --media, or go back to a backup."
            ),
        ),
        MediaFact::Unreadable(why) => {
            Line::new(MEDIA, State::Broken, format!("They cannot be read. {why}"))
        }
        MediaFact::Looked { named, gone: 0, summed, changed: 0 } => {
            let all = count(*named, "is there", "are there");
            let sentence = match (*named, *summed) {
                (0, _) => "There are none yet.".into(),
                (named, summed) if named == summed => format!("{all}, each as it was."),
                (_, summed) => format!(
                    "{all}; {summed} of them, picked out, are as they were (--thorough looks at each)."
                ),
            };
            Line::new(MEDIA, State::Ok, sentence)
        }
        MediaFact::Looked { named, gone, summed, changed } => Line::new(
            MEDIA,
            State::Broken,
            format!(
                "Of {named}, {gone} are gone, and of {summed} that were looked at {changed} are not what \
                 they were: endshake check names them; bring them back from a backup."
            ),
        ),
    }
}
