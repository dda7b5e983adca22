//! Completions and manual pages, made from the arguments themselves.

use crate::arguments::{Arguments, CompletionsWishes, ManWishes};
use crate::failure::{Failure, Status};
use crate::whole_file;
use clap::CommandFactory;
use std::io::Write;

/// `endshake completions`.
pub(crate) fn completions(wishes: &CompletionsWishes) -> Result<Status, Failure> {
    let mut script = Vec::new();
    clap_complete::generate(wishes.shell, &mut Arguments::command(), "endshake", &mut script);
    let mut out = std::io::stdout().lock();
    out.write_all(&script).and_then(|()| out.flush()).map_err(|e| Failure::writing_output(&e))?;
    Ok(Status::Done)
}

/// `endshake man`.
pub(crate) fn man(wishes: &ManWishes) -> Result<Status, Failure> {
    let folder = &wishes.folder;
    std::fs::create_dir_all(folder)
        .and_then(|()| clap_mangen::generate_to(Arguments::command(), folder))
        .map_err(|error| whole_file::cannot_write(folder, &error))?;
    Ok(Status::Done)
}
