//! `endshake measure`: recordings in, readings out.

mod listen;
mod settings;

pub(crate) use listen::{Heard, SourceFacts};

use crate::arguments::{Format, MeasureWishes};
use crate::failure::{Failure, Status};
use crate::text;
use crate::wire::{MeasureError, MeasureResult};
use clap::ColorChoice;
use std::io::Write;
use std::path::Path;

/// Carries the command out.
pub(crate) fn run(wishes: &MeasureWishes, _color: ColorChoice) -> Result<Status, Failure> {
    let settings = settings::of(wishes)?;
    let selection = settings::selection(wishes);
    let several = wishes.files.len() > 1;
    let mut status = Status::Done;
    for path in &wishes.files {
        let heard = listen::listen(path, &selection, &settings);
        status = status.and(match &heard {
            Ok(heard) if heard.reading.balances.is_empty() => Status::NoWatch,
            Ok(_) => Status::Done,
            Err(_) => Status::Unreadable,
        });
        if let Err(error) = &heard {
            let _ = writeln!(std::io::stderr(), "endshake: {}: {error}", path.display());
        }
        print(&rendered(path, &heard, wishes.format, several)?)?;
    }
    Ok(status)
}

fn rendered(
    path: &Path,
    heard: &Result<Heard, audio::AudioError>,
    format: Format,
    several: bool,
) -> Result<String, Failure> {
    let json = match (format, heard) {
        (Format::Text, Ok(heard)) => return Ok(text::reading(heard)),
        (Format::Text, Err(_)) => return Ok(String::new()),
        (Format::Json, Ok(heard)) => serde_json::to_string(&MeasureResult::of(heard)),
        (Format::Json, Err(error)) if several => {
            serde_json::to_string(&MeasureError::of(path, error.to_string()))
        }
        (Format::Json, Err(_)) => return Ok(String::new()),
    };
    let mut json = json
        .map_err(|e| Failure::CannotWrite(format!("The result could not be put as JSON ({e}).")))?;
    json.push('\n');
    Ok(json)
}

fn print(text: &str) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    out.write_all(text.as_bytes())
        .and_then(|()| out.flush())
        .map_err(|error| Failure::writing_output(&error))
}
