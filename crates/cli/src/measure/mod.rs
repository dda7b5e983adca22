//! `endshake measure`: recordings in, readings out.

mod batch;
mod csv;
mod listen;
mod movement;
pub(crate) mod settings;
mod turns;

pub(crate) use listen::Heard;

use crate::arguments::{Format, MeasureWishes};
use crate::failure::{Failure, Status};
use crate::outputs::Outputs;
use crate::picture_files::PictureWish;
use crate::progress::Progress;
use crate::text::{self, Ink};
use crate::wire::{self, MeasureError, MeasureResult};
use crate::{clocks, interrupt, shown, sound, standard_input, whole_file};
use clap::ColorChoice;
use std::collections::BTreeSet;
use std::io::Write;
use std::path::{Path, PathBuf};
use turns::Turns;

/// Carries the command out.
pub(crate) fn run(wishes: &MeasureWishes, color: ColorChoice) -> Result<Status, Failure> {
    let settings = settings::of(&wishes.engine)?;
    let selection = sound::selection(wishes.start, wishes.length, wishes.channel);
    let picture = settings::picture(wishes)?;
    if wishes.detail && wishes.format != Format::Json {
        return Err(Failure::WrongUse(
            "--detail adds series to the JSON: use it with --format json.".into(),
        ));
    }
    let read = wishes.files.iter().chain(&wishes.movement);
    if read.filter(|path| standard_input::is_meant(path)).count() > 1 {
        return Err(Failure::WrongUse("There is one standard input: name “-” once.".into()));
    }
    check_outputs(wishes, picture.as_ref())?;
    let cycles = wishes.movement.as_deref().map(movement::cycles).transpose()?;
    let printer = Printer {
        format: wishes.format,
        detail: wishes.detail,
        several: wishes.files.len() > 1,
        ink: Ink::for_output(color),
    };
    interrupt::watch();
    let progress = Progress::new(wishes.files.len(), words(&wishes.files));
    let jobs = wishes.jobs.map_or_else(batch::usual_jobs, usize::from);
    let turns = Turns::new();
    let work = |path: &PathBuf| {
        let heard = listen::listen(path, &selection, &settings.engine, &progress, &turns);
        let heard = heard.map(|heard| {
            let heard = settings.remarks(heard);
            Heard { cycles: cycles.clone(), ..heard }
        });
        let drawn = match (&heard, &picture) {
            (Ok(heard), Some(wish)) if heard.status() == Status::Done => {
                let _turn = turns.alone();
                turns::apart(|| draw(heard, wish)).unwrap_or_else(|_| {
                    let words = "The program itself failed to draw the picture: please report it.";
                    Err(Failure::CannotWrite(words.into()))
                })
            }
            (Ok(heard), Some(wish)) => Err(Failure::NothingHeard(format!(
                "“{}” was not drawn: no watch is heard in {}.",
                wish.path_for(path).display(),
                standard_input::shown(&heard.source.path)
            ))),
            _ => Ok(()),
        };
        printer.rendered(path, &heard, drawn)
    };
    let mut status = Status::Done;
    let mut first = true;
    let mut lines = Vec::new();
    let delivered = batch::in_order(&wishes.files, jobs, work, |rendered| {
        status = status.and(rendered.status);
        if rendered.status == Status::Interrupted {
            return Err(Failure::Interrupted);
        }
        let head = std::mem::take(&mut first);
        progress.aside(|| printer.print(&rendered, head))?;
        lines.extend(rendered.line);
        Ok(())
    });
    drop(progress);
    delivered?;
    if !lines.is_empty() {
        let summary = text::joined(&text::summary(&lines));
        print(&format!("\n{summary}"))?;
    }
    Ok(status)
}

/// No picture may overwrite what is read, nor another picture.
fn check_outputs(wishes: &MeasureWishes, picture: Option<&PictureWish>) -> Result<(), Failure> {
    let mut outputs = Outputs::default();
    for path in &wishes.files {
        outputs.read("a recording", path);
    }
    if let Some(path) = &wishes.movement {
        outputs.read("the movement", path);
    }
    if let Some(named) = &wishes.engine.clock {
        outputs.read("the clock", &clocks::path_of(named)?);
    }
    outputs.standard_output()?;
    let Some(wish) = picture else { return Ok(()) };
    // A recording that is named twice has one picture, the same each time.
    let different: BTreeSet<&PathBuf> = wishes.files.iter().collect();
    for path in different {
        let what = format!("the picture of “{}”", standard_input::shown(path));
        outputs.written(&what, &wish.path_for(path))?;
    }
    Ok(())
}

/// One recording's result, ready to be printed.
#[derive(Debug)]
struct Rendered {
    output: String,
    complaints: Vec<String>,
    status: Status,
    /// Its line at the end, where there are several for people.
    line: Option<text::Line>,
}

struct Printer {
    format: Format,
    detail: bool,
    several: bool,
    ink: Ink,
}

impl Printer {
    fn rendered(
        &self,
        path: &Path,
        heard: &Result<Heard, Failure>,
        drawn: Result<(), Failure>,
    ) -> Rendered {
        let name = |sentence: &str| format!("{}: {sentence}", standard_input::shown(path));
        let mut complaints: Vec<String> =
            heard.as_ref().err().and_then(Failure::sentence).map(name).into_iter().collect();
        let mut status = match heard {
            Ok(heard) => heard.status(),
            Err(failure) => failure.status(),
        };
        if let Err(failure) = drawn {
            complaints.extend(failure.sentence().map(str::to_owned));
            status = status.and(failure.status());
        }
        let output = match (self.format, heard) {
            (Format::Text, Ok(heard)) => text::reading(heard, self.ink),
            (Format::Text, Err(_)) => String::new(),
            (Format::Csv, Ok(heard)) => csv::rows(heard),
            (Format::Csv, Err(failure)) if self.several => {
                csv::error(path, failure.sentence().unwrap_or_default())
            }
            (Format::Json, Ok(heard)) => wire::line(&MeasureResult::of(heard, self.detail)),
            (Format::Json, Err(failure)) if self.several => {
                wire::line(&MeasureError::of(path, failure.sentence().unwrap_or_default().into()))
            }
            (Format::Csv | Format::Json, Err(_)) => String::new(),
        };
        let line = (self.several && self.format == Format::Text)
            .then(|| text::Line::of(standard_input::shown(path), heard));
        Rendered { output, complaints, status, line }
    }

    fn print(&self, rendered: &Rendered, first: bool) -> Result<(), Failure> {
        for complaint in &rendered.complaints {
            let _ = writeln!(std::io::stderr(), "endshake: {}", shown::safe(complaint));
        }
        let before = match self.format {
            Format::Csv if first => csv::HEADER,
            Format::Text if !first && !rendered.output.is_empty() => "\n",
            _ => "",
        };
        print(&format!("{before}{}", rendered.output))
    }
}

fn print(words: &str) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    out.write_all(words.as_bytes())
        .and_then(|()| out.flush())
        .map_err(|error| Failure::writing_output(&error))
}

fn draw(heard: &Heard, wish: &PictureWish) -> Result<(), Failure> {
    whole_file::write(&wish.path_for(&heard.source.path), &wish.draw(heard)?)
}

fn words(files: &[PathBuf]) -> String {
    match files {
        [one] => sound::name(one),
        many => format!("{} recordings", many.len()),
    }
}
