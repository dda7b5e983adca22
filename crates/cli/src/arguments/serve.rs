//! Arguments of `endshake serve`.

use super::DataWishes;
use clap::Args;

/// Open the bench: jobs, watches, readings and live listening as a page in the browser of this
/// machine, and of phones that are let in by a code.
#[derive(Debug, Args)]
#[command(after_help = "Everything is kept the moment it is entered. Ctrl-C ends; a reading that \
is being taken is kept with what it has.

Examples:
  endshake serve
  endshake serve --port 7411 --data /bench
  endshake serve --database postgres://name@host/bench --media /shared/media")]
pub(crate) struct ServeWishes {
    #[command(flatten)]
    pub(crate) door: DoorWishes,

    #[command(flatten)]
    pub(crate) data: DataWishes,
}

/// Where the page is.
#[derive(Debug, Args)]
#[command(next_help_heading = "Where the page is")]
pub(crate) struct DoorWishes {
    /// The port of this machine at which the page is; 0 for any that is free. From elsewhere it
    /// cannot be reached.
    #[arg(long, value_name = "N", default_value_t = 7411)]
    pub(crate) port: u16,

    /// The port for phones of the local network; 0 for any that is free. It opens when the first
    /// is let in, and speaks TLS.
    #[arg(long, value_name = "N", default_value_t = 7412)]
    pub(crate) network_port: u16,
}
