//! `endshake doctor`: what is wrong, and what to do.

use crate::arguments::{DoctorWishes, TextOrJson};
use crate::data;
use crate::failure::{Failure, Status};
use crate::interrupt;
use crate::progress::{PARTS, Progress};
use crate::text::{self, Ink};
use crate::wire::{self, DoctorResult};
use clap::ColorChoice;
use doctor::{Line, State, lines, worst};
use server::{Asked, gather};
use std::io::Write;
use std::path::{Path, PathBuf};
use store::{Database, Places};

/// Carries the command out.
pub(crate) fn run(wishes: &DoctorWishes, color: ColorChoice) -> Result<Status, Failure> {
    let places = data::places(&wishes.data)?;
    let folder = folder(wishes, &places)?;
    interrupt::watch();
    let bar = Progress::new(1, "looking".into());
    let mut parts = 0;
    let mut go_on = |progress: store::Progress| {
        let now = PARTS * progress.done / progress.of.max(1);
        bar.advance(now.saturating_sub(parts));
        parts = parts.max(now);
        !interrupt::pressed()
    };
    let asked =
        Asked { places: &places, folder: &folder, port: wishes.port, is_thorough: wishes.thorough };
    let facts = data::runtime()?.block_on(gather(&asked, &mut go_on));
    drop(bar);
    let lines = lines(&facts.ok_or(Failure::Interrupted)?);
    let output = match wishes.format {
        TextOrJson::Json => wire::line(&DoctorResult::of(&lines)),
        TextOrJson::Text => told(&lines, Ink::for_output(color)),
    };
    let mut out = std::io::stdout().lock();
    out.write_all(output.as_bytes())
        .and_then(|()| out.flush())
        .map_err(|error| Failure::writing_output(&error))?;
    Ok(if worst(&lines) == State::Broken { Status::Unreadable } else { Status::Done })
}

/// The folder of everything; where only a database was named, the one that it lies in.
fn folder(wishes: &DoctorWishes, places: &Places) -> Result<PathBuf, Failure> {
    match (&wishes.data.data, &wishes.data.database, &places.database) {
        (None, Some(_), Database::File(file)) => {
            let folder = file.parent().filter(|parent| !parent.as_os_str().is_empty());
            Ok(folder.unwrap_or(Path::new(".")).to_owned())
        }
        _ => data::folder(&wishes.data),
    }
}

fn told(lines: &[Line], ink: Ink) -> String {
    let mut told = Vec::new();
    for line in lines {
        let mark = format!("{:<14}", line.state.words());
        let mut set = text::wrapped(&format!("{}: {}", line.about, line.sentence), &mark);
        if let Some(rest) = set.first().and_then(|first| first.strip_prefix(&mark)) {
            let mark = match line.state {
                State::Ok => ink.dim(&mark),
                State::Look => ink.warning(&mark),
                State::Broken => ink.bold(&mark),
            };
            set[0] = mark + rest;
        }
        told.extend(set);
    }
    told.push(String::new());
    told.push(summed_up(lines));
    text::joined(&told)
}

fn summed_up(lines: &[Line]) -> String {
    let of = |state| lines.iter().filter(|line| line.state == state).count();
    let things = |n: usize, is: &str, are: &str| {
        if n == 1 { format!("1 thing {is}") } else { format!("{n} things {are}") }
    };
    match (of(State::Broken), of(State::Look)) {
        (0, 0) => "All is well.".into(),
        (0, look) => format!("{} a look; nothing is broken.", things(look, "wants", "want")),
        (broken, 0) => format!("{} broken.", things(broken, "is", "are")),
        (broken, look) => format!(
            "{} broken, {} a look.",
            things(broken, "is", "are"),
            things(look, "wants", "want")
        ),
    }
}
