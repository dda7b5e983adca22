//! Arguments of `endshake doctor`.

use super::{DataWishes, TextOrJson};
use clap::Args;

/// Say what is wrong and what to do: the program and its page, where things are kept and whether they are
/// sound, backups, the port, sound devices, the clock. Nothing is changed.
#[derive(Debug, Args)]
#[command(
    after_help = "Each line says ok, look at this, or broken. Exit status: 0 nothing is broken, 2 wrong \
use, 3 something is broken.

Examples:
  endshake doctor
  endshake doctor --thorough
  endshake doctor --data /bench --format json"
)]
pub(crate) struct DoctorWishes {
    /// Take the checksum of each sound and photo; without this, of twenty of them.
    #[arg(long)]
    pub(crate) thorough: bool,

    /// How to print: text or json.
    #[arg(long, value_name = "FORMAT", default_value = "text", hide_possible_values = true)]
    pub(crate) format: TextOrJson,

    /// The port at which the page is, or is to be.
    #[arg(long, value_name = "N", default_value_t = 7411)]
    pub(crate) port: u16,

    #[command(flatten)]
    pub(crate) data: DataWishes,
}
