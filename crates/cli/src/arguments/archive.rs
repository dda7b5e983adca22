//! Arguments of `endshake archive`.

use super::{DataWishes, TextOrJson};
use clap::{ArgGroup, Args, Subcommand};
use std::path::PathBuf;

/// Write a job, a watch with all its visits, or everything into one file; check such a file, and
/// read it in again, here or elsewhere.
#[derive(Debug, Args)]
pub(crate) struct ArchiveWishes {
    /// What to do.
    #[command(subcommand)]
    pub(crate) what: ArchiveCommand,
}

/// What to do with archives.
#[derive(Debug, Subcommand)]
pub(crate) enum ArchiveCommand {
    Write(ArchiveWriteWishes),
    Check(ArchiveCheckWishes),
    Read(ArchiveReadWishes),
    Series(ArchiveSeriesWishes),
    PaperRecords(PaperRecordsWishes),
}

/// Write a job, a watch with all its visits, or everything into one file; work can go on meanwhile.
#[derive(Debug, Args)]
#[command(group = ArgGroup::new("scope").required(true).args(["job", "watch", "everything"]))]
#[command(after_help = "The file is a zip: records as lines of JSON, sounds (FLAC) and photos \
(JPEG), the numbers of all readings as tables (CSV and Parquet), and a manifest with the checksum of \
each. Devices that have joined, their keys and codes are not in it. It holds what owners have told \
you: keep it as you keep your job book.

Exit status: 0 done, 1 the file could not be written, 2 wrong use, 3 the data cannot be read.

Examples:
  endshake archive write --job 27 --out job-27.zip
  endshake archive write --everything --out workshop.zip --replace")]
pub(crate) struct ArchiveWriteWishes {
    /// The number of a job: that job, with its watch and its owner.
    #[arg(long, value_name = "NUMBER")]
    pub(crate) job: Option<u32>,

    /// The number of any job of a watch: the watch with all its visits, and its owner.
    #[arg(long, value_name = "JOB")]
    pub(crate) watch: Option<u32>,

    /// All records, what lies in the bin among them, logs, history, settings and clocks.
    #[arg(long)]
    pub(crate) everything: bool,

    /// The file to write.
    #[arg(long, value_name = "FILE")]
    pub(crate) out: PathBuf,

    /// Take the place of a file that is there already.
    #[arg(long)]
    pub(crate) replace: bool,

    /// How to print: text or json.
    #[arg(long, value_name = "FORMAT", default_value = "text", hide_possible_values = true)]
    pub(crate) format: TextOrJson,

    #[command(flatten)]
    pub(crate) data: DataWishes,
}

/// Check an archive: each file in it against its checksum, and all that must hold of it before it
/// could be read in.
#[derive(Debug, Args)]
#[command(
    after_help = "Exit status: 0 all is well, 2 wrong use, 3 it is no archive, or not as it \
was written.

Examples:
  endshake archive check workshop.zip
  endshake archive check job-27.zip --format json"
)]
pub(crate) struct ArchiveCheckWishes {
    /// The archive.
    #[arg(value_name = "FILE")]
    pub(crate) file: PathBuf,

    /// How to print: text or json.
    #[arg(long, value_name = "FORMAT", default_value = "text", hide_possible_values = true)]
    pub(crate) format: TextOrJson,
}

/// Read an archive in: all of it or nothing. What is here already and the same counts as there; what
/// is here and differs is refused.
#[derive(Debug, Args)]
#[command(
    after_help = "All of the archive is checked before anything is written. Where there is no \
data yet, it is begun.

Exit status: 0 done, 1 the data could not be written, 2 wrong use, 3 the archive cannot be taken in.

Examples:
  endshake archive read job-27.zip --dry-run
  endshake archive read workshop.zip --data /srv/bench"
)]
pub(crate) struct ArchiveReadWishes {
    /// The archive.
    #[arg(value_name = "FILE")]
    pub(crate) file: PathBuf,

    /// Only say what would be added.
    #[arg(long)]
    pub(crate) dry_run: bool,

    /// Give a job whose number another job has here a new one.
    #[arg(long)]
    pub(crate) new_numbers: bool,

    /// How to print: text or json.
    #[arg(long, value_name = "FORMAT", default_value = "text", hide_possible_values = true)]
    pub(crate) format: TextOrJson,

    #[command(flatten)]
    pub(crate) data: DataWishes,
}

/// Write the series behind the readings of an archive as tables for other programs: every beat, the course of
/// amplitude and rate, the averaged beats. Their sounds are heard again for it.
#[derive(Debug, Args)]
#[command(
    after_help = "Written are beats-0001, courses-0001, averaged_beats-0001 and so on, each as .csv and \
.parquet; reading_id in them leads to tables/readings-0001 of the archive. A minute of sound takes \
two or three tenths of a second. What is heard is what this version hears; the archive has what was heard when the \
reading was taken.

Exit status: 0 done, 1 the tables could not be written, 2 wrong use, 3 it is no archive, or one of its \
sounds cannot be heard; the tables hold all others then.

Examples:
  endshake archive series workshop.zip --out series
  endshake archive series job-27.zip --out job-27 --format json"
)]
pub(crate) struct ArchiveSeriesWishes {
    /// The archive.
    #[arg(value_name = "FILE")]
    pub(crate) file: PathBuf,

    /// The folder to make; there must be nothing of that name yet.
    #[arg(long, value_name = "FOLDER")]
    pub(crate) out: PathBuf,

    /// How to print: text or json.
    #[arg(long, value_name = "FORMAT", default_value = "text", hide_possible_values = true)]
    pub(crate) format: TextOrJson,
}

/// Take in older paper records from a table: one row a visit.
#[derive(Debug, Args)]
#[command(after_help = "The first row names the columns, in any order: owner, contact, watch, \
calibre, serial, mark, in, out, complaint, done, price, currency, and rates by position: CH, FH, 12H, \
3H, 6H, 9H (seconds per day), rate_sd (how well they are known). owner or mark, watch and in must be \
filled. Days are written as 2019-03-01 or 1.3.2019. Decimals may have a comma where columns are \
parted by semicolons.

All rows are taken in or none; the same file a second time adds nothing.

Exit status: 0 done, 1 the data could not be written, 2 wrong use, 3 the table cannot be taken in.

Examples:
  endshake archive paper-records book-1998.csv --dry-run
  endshake archive paper-records book-1998.csv")]
pub(crate) struct PaperRecordsWishes {
    /// The table: CSV, with commas, semicolons or tabs.
    #[arg(value_name = "FILE")]
    pub(crate) file: PathBuf,

    /// Only say what would be added, and what is wrong in which line.
    #[arg(long)]
    pub(crate) dry_run: bool,

    /// How to print: text or json.
    #[arg(long, value_name = "FORMAT", default_value = "text", hide_possible_values = true)]
    pub(crate) format: TextOrJson,

    #[command(flatten)]
    pub(crate) data: DataWishes,
}
