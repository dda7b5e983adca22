//! Arguments of `endshake completions` and `endshake man`.

use clap::Args;
use clap_complete::Shell;
use std::path::PathBuf;

/// Print a script that completes endshake's arguments in a shell.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  endshake completions bash > ~/.local/share/bash-completion/completions/endshake
  endshake completions fish > ~/.config/fish/completions/endshake.fish")]
pub(crate) struct CompletionsWishes {
    /// The shell: bash, elvish, fish, powershell or zsh.
    #[arg(hide_possible_values = true)]
    pub(crate) shell: Shell,
}

/// Write the manual pages into a folder.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  endshake man ~/.local/share/man/man1
  endshake man . && man ./endshake-measure.1")]
pub(crate) struct ManWishes {
    /// The folder; it is made where there is none.
    pub(crate) folder: PathBuf,
}
