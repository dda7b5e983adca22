//! Completions and manual pages, made from the arguments themselves.

use crate::arguments::{Arguments, CompletionsWishes, ManWishes};
use crate::failure::{Failure, Status};
use crate::whole_file;
use clap::{Command, CommandFactory};
use clap_mangen::Man;
use std::io::{self, Write};

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
    std::fs::create_dir_all(folder).map_err(|error| whole_file::cannot_write(folder, &error))?;
    let mut whole = Arguments::command().disable_help_subcommand(true);
    whole.build();
    for command in std::iter::once(&whole).chain(whole.get_subcommands()) {
        let page =
            Man::new(command.clone()).source(concat!("endshake ", env!("CARGO_PKG_VERSION")));
        let path = folder.join(page.get_filename());
        let roff = set(&page, command).map_err(|error| whole_file::cannot_write(&path, &error))?;
        whole_file::write(&path, &roff)?;
    }
    Ok(Status::Done)
}

/// One page. Its synopsis is that of the help: it says what must be given and what may be repeated,
/// and leaves the options to their own section.
fn set(page: &Man, command: &Command) -> io::Result<Vec<u8>> {
    let mut roff = Vec::new();
    page.render_title(&mut roff)?;
    page.render_name_section(&mut roff)?;
    let usage = command.clone().render_usage().to_string();
    let usage = usage.trim_start_matches("Usage:").trim().replace('-', "\\-");
    writeln!(roff, ".SH SYNOPSIS\n{usage}")?;
    page.render_description_section(&mut roff)?;
    page.render_options_section(&mut roff)?;
    if command.has_subcommands() {
        page.render_subcommands_section(&mut roff)?;
    }
    page.render_extra_section(&mut roff)?;
    page.render_version_section(&mut roff)?;
    Ok(roff)
}
