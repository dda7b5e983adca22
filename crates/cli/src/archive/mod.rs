//! `endshake archive`: a job, a watch's history or everything, out and in again.

mod paper_records;
mod series;
mod told;

use crate::arguments::{
    ArchiveCheckWishes, ArchiveCommand, ArchiveReadWishes, ArchiveWishes, ArchiveWriteWishes,
    TextOrJson,
};
use crate::data;
use crate::failure::{Failure, Status};
use crate::interrupt::{self, Stoppable};
use crate::progress::{PARTS, Progress};
use crate::standard_input;
use crate::wire::{self, ArchiveChecked, ArchiveRead, ArchiveWritten};
use archive::{Reader, Refused};
use std::fs::File;
use std::io::{BufReader, Read, Seek, Write};
use std::path::Path;
use store::{By, Error, Places, ReadIn, ReadWishes, Scope, Store};

/// Who reads in, as the history calls it.
const DEVICE: &str = "command line";

/// Carries the command out.
pub(crate) fn run(wishes: &ArchiveWishes) -> Result<Status, Failure> {
    interrupt::watch();
    match &wishes.what {
        ArchiveCommand::Write(wishes) => write(wishes),
        ArchiveCommand::Check(wishes) => check(wishes),
        ArchiveCommand::Read(wishes) => read(wishes),
        ArchiveCommand::Series(wishes) => series::run(wishes),
        ArchiveCommand::PaperRecords(wishes) => paper_records::run(wishes),
    }
}

/// A bar that is moved along as `done` of `of`.
struct Bar {
    bar: Progress,
    parts: u64,
}

impl Bar {
    fn new(words: &str) -> Self {
        Self { bar: Progress::new(1, words.into()), parts: 0 }
    }

    /// Whether to go on.
    fn reached(&mut self, done: u64, of: u64) -> bool {
        let now = PARTS.saturating_mul(done) / of.max(1);
        self.bar.advance(now.saturating_sub(self.parts));
        self.parts = self.parts.max(now);
        !interrupt::pressed()
    }
}

fn print(text: &str) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    out.write_all(text.as_bytes())
        .and_then(|()| out.flush())
        .map_err(|error| Failure::writing_output(&error))
}

fn write(wishes: &ArchiveWriteWishes) -> Result<Status, Failure> {
    let places = data::places(&wishes.data)?;
    let made = data::with_store(&places, async |store| {
        let scope = scope(&store, wishes).await?;
        let mut bar = Bar::new("writing");
        let mut go_on = |progress: store::Progress| bar.reached(progress.done, progress.of);
        let now = store::now();
        store::write_archive(&store, scope, &wishes.out, wishes.replace, now, &mut go_on).await
    });
    let made = made.map_err(|failure| match failure {
        Failure::WrongUse(sentence) => {
            Failure::WrongUse(format!("{sentence} Or replace it, with --replace."))
        }
        other => other,
    });
    let made = made?.ok_or(Failure::Interrupted)?;
    print(&match wishes.format {
        TextOrJson::Json => wire::line(&ArchiveWritten::of(&places, &made)),
        TextOrJson::Text => told::written(&made),
    })?;
    Ok(Status::Done)
}

async fn scope(store: &Store, wishes: &ArchiveWriteWishes) -> Result<Scope, Error> {
    let numbered = async |number| store.job_numbered(number).await?.ok_or(Error::NotFound("job"));
    Ok(match (wishes.job, wishes.watch) {
        (Some(number), _) => Scope::Job(numbered(number).await?.id),
        (None, Some(number)) => Scope::Watch(numbered(number).await?.value.watch),
        (None, None) => Scope::Everything,
    })
}

fn open(path: &Path) -> Result<Reader<BufReader<Stoppable<File>>>, Failure> {
    let shown = standard_input::shown(path);
    let unreadable = |what: &dyn std::fmt::Display| Failure::Unreadable(format!("{shown}: {what}"));
    if path.metadata().is_ok_and(|there| !there.is_file()) {
        return Err(unreadable(&"this is a folder, a device or a pipe: name a file."));
    }
    let file =
        File::open(path).map_err(|error| unreadable(&format!("It cannot be read ({error}).")))?;
    Reader::open(BufReader::new(Stoppable::new(file)))
        .map_err(|refused| stopped_or(refused, &shown))
}

/// A reading that ended because somebody stopped it is no fault of the archive.
fn stopped_or(refused: Refused, shown: &str) -> Failure {
    if interrupt::pressed() || refused == Refused::Stopped {
        Failure::Interrupted
    } else {
        Failure::Unreadable(format!("{shown}: {refused}"))
    }
}

fn check(wishes: &ArchiveCheckWishes) -> Result<Status, Failure> {
    let mut reader = open(&wishes.file)?;
    let mut bar = Bar::new("checking");
    let checked = archive::check(&mut reader, &mut |done, of| bar.reached(done, of));
    drop(bar);
    let shown = standard_input::shown(&wishes.file);
    let checked = checked.map_err(|refused| stopped_or(refused, &shown))?;
    print(&match wishes.format {
        TextOrJson::Json => wire::line(&ArchiveChecked::of(&wishes.file, &reader, &checked)),
        TextOrJson::Text => told::checked(&shown, &reader, &checked),
    })?;
    Ok(Status::Done)
}

fn read(wishes: &ArchiveReadWishes) -> Result<Status, Failure> {
    let places = data::places(&wishes.data)?;
    let mut reader = open(&wishes.file)?;
    let how = ReadWishes { only_look: wishes.dry_run, new_numbers: wishes.new_numbers };
    // What is not fit to be read begins no database.
    if how.only_look || !data::is_begun(&places) {
        let look = ReadWishes { only_look: true, ..how };
        let looked = data::with_store_or_an_empty_one(&places, async |store| {
            brought(&store, &mut reader, look, "checking").await
        });
        let looked = looked.map_err(|failure| about(&wishes.file, failure))?;
        let looked = looked.ok_or(Failure::Interrupted)?;
        if how.only_look {
            return tell(wishes, &places, &looked);
        }
    }
    let read = data::with_new_store(&places, async |store| {
        brought(&store, &mut reader, how, "reading in").await
    });
    let read = read.map_err(|failure| about(&wishes.file, failure))?;
    tell(wishes, &places, &read.ok_or(Failure::Interrupted)?)
}

/// Names the file of which it is said that it cannot be taken in.
fn about(file: &Path, failure: Failure) -> Failure {
    match failure {
        Failure::Unreadable(sentence) => {
            Failure::Unreadable(format!("{}: {sentence}", standard_input::shown(file)))
        }
        other => other,
    }
}

/// What it brings; nothing where it was stopped.
async fn brought<R: Read + Seek>(
    store: &Store,
    reader: &mut Reader<R>,
    how: ReadWishes,
    words: &str,
) -> Result<Option<ReadIn>, Error> {
    let mut bar = Bar::new(words);
    let mut go_on = |progress: store::Progress| bar.reached(progress.done, progress.of);
    match store::read_archive(store, &By::now(DEVICE), reader, how, &mut go_on).await {
        // Its sound was taken from under it.
        Err(Error::Archive(_)) if interrupt::pressed() => Ok(None),
        other => other,
    }
}

fn tell(wishes: &ArchiveReadWishes, places: &Places, brought: &ReadIn) -> Result<Status, Failure> {
    let shown = standard_input::shown(&wishes.file);
    let problems = own_problems(brought);
    print(&match wishes.format {
        TextOrJson::Json => wire::line(&ArchiveRead::of(places, wishes.dry_run, brought, problems)),
        TextOrJson::Text => told::brought(&shown, wishes.dry_run, brought, &problems),
    })?;
    Ok(Status::Done)
}

/// What is wrong in the archive's own words and rules, where they are new here.
fn own_problems(brought: &ReadIn) -> Vec<String> {
    let text = brought.own_rules.as_deref().unwrap_or_default();
    let read = trade::own("own words and rules", text);
    read.problems.iter().map(ToString::to_string).collect()
}
