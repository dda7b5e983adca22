//! Arguments of `endshake backup`.

use super::{DataWishes, TextOrJson};
use clap::Args;
use std::path::PathBuf;

/// Copy all of the bench's data, as it is at one moment, into a new folder; work can go on
/// meanwhile.
#[derive(Debug, Args)]
#[command(after_help = "The folder holds a SQLite database (endshake.sqlite, from a PostgreSQL \
server as well), the sounds and photos (media), and a list of all files with their checksums \
(files.json). It can be used as it is, and checked:
  endshake check --database FOLDER/endshake.sqlite

Exit status: 0 done, 1 the copy could not be written, 2 wrong use, 3 the data cannot be read.

Examples:
  endshake backup /media/stick/2026-01-31
  endshake backup copy --database postgres://bench@workshop/bench --media /srv/media")]
pub(crate) struct BackupWishes {
    /// The folder to make; there must be nothing of that name yet.
    #[arg(value_name = "FOLDER")]
    pub(crate) folder: PathBuf,

    /// How to print: text or json.
    #[arg(long, value_name = "FORMAT", default_value = "text", hide_possible_values = true)]
    pub(crate) format: TextOrJson,

    #[command(flatten)]
    pub(crate) data: DataWishes,
}
