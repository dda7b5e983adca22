//! Arguments of `endshake serve`.

use super::DataWishes;
use clap::{Args, ValueEnum};

/// Open the bench: jobs, watches, readings and live listening as a page in the browser of this
/// machine, and of phones that are let in by a code.
#[derive(Debug, Args)]
#[command(after_help = "Everything is kept the moment it is entered. Ctrl-C ends; a reading that \
is being taken is kept with what it has. A database of an earlier version is copied, then brought to this \
one's layout.

Examples:
  endshake serve
  endshake serve --port 7411 --data /bench
  endshake serve --database postgres://name@host/bench --media /shared/media --bench window")]
pub(crate) struct ServeWishes {
    #[command(flatten)]
    pub(crate) door: DoorWishes,

    #[command(flatten)]
    pub(crate) data: DataWishes,

    #[command(flatten)]
    pub(crate) bench: BenchWishes,

    /// Bring a server's database that an earlier version has written to this version's layout. Make a
    /// copy with pg_dump and close the other benches first: the earlier version cannot use it
    /// afterwards. A SQLite file is copied and brought up without this.
    #[arg(long)]
    pub(crate) upgrade: bool,

    /// How much to tell on standard error: error, warn, info, debug. Without it, warn in a terminal
    /// and info elsewhere, or what RUST_LOG says.
    #[arg(long, value_name = "LEVEL", hide_possible_values = true)]
    pub(crate) log: Option<LogLevel>,
}

/// How much to tell.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum LogLevel {
    /// What failed.
    Error,
    /// And what to look at.
    Warn,
    /// And what happens.
    Info,
    /// And each request.
    Debug,
}

impl LogLevel {
    /// As filters write it.
    pub(crate) const fn code(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warn => "warn",
            Self::Info => "info",
            Self::Debug => "debug",
        }
    }
}

/// Which of several benches this is.
#[derive(Debug, Args)]
#[command(next_help_heading = "Several benches with one database")]
pub(crate) struct BenchWishes {
    /// How this bench is called in the history.
    #[arg(long = "bench", value_name = "NAME", default_value = "bench")]
    pub(crate) name: String,

    /// What whoever sits at this machine may do through the page. Who has the database's address
    /// and password can do all: these are kept with the database server.
    #[arg(long, value_name = "ROLE", default_value = "owner")]
    pub(crate) role: RoleWish,
}

/// What may be done at a bench.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(crate) enum RoleWish {
    /// Everything.
    Owner,
    /// All work on watches; not the settings of the workshop, the bin's end or who joins.
    Repairer,
    /// To look at everything and change nothing.
    ReadOnly,
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
