//! Arguments of `endshake demo`.

use super::DoorWishes;
use clap::Args;

/// Open an invented workshop with a handful of watches in different stages, with simulated
/// recordings of one and two balances. It lies in a folder of its own, which is removed at the end;
/// your own data is never touched.
#[derive(Debug, Args)]
#[command(
    after_help = "Among the sound devices of this workshop are simulated watches: listen to \
one of them.

Examples:
  endshake demo
  endshake demo --port 0"
)]
pub(crate) struct DemoWishes {
    #[command(flatten)]
    pub(crate) door: DoorWishes,
}
