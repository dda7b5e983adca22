//! Arguments of `endshake check`.

use super::{DataWishes, TextOrJson};
use clap::Args;

/// Check that all of the bench's data is there and as it was: the database, and each sound and
/// photo against its checksum.
#[derive(Debug, Args)]
#[command(
    after_help = "Exit status: 0 all is well, 1 something could not be written, 2 wrong use, \
3 something is wrong, or cannot be read.

Examples:
  endshake check
  endshake check --sweep
  endshake check --database /backups/monday/endshake.sqlite"
)]
pub(crate) struct CheckWishes {
    /// Remove files that belong to nothing, where all else is well: what was being written when the
    /// program was stopped, and what belonged to an emptied bin. Those of the last day stay.
    #[arg(long)]
    pub(crate) sweep: bool,

    /// How to print: text or json.
    #[arg(long, value_name = "FORMAT", default_value = "text", hide_possible_values = true)]
    pub(crate) format: TextOrJson,

    #[command(flatten)]
    pub(crate) data: DataWishes,
}
