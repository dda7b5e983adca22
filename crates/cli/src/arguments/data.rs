//! Arguments that say where the bench's data is.

use clap::Args;
use std::path::PathBuf;

/// Where the bench's data is.
#[derive(Debug, Args)]
#[command(next_help_heading = "Where the data is")]
pub(crate) struct DataWishes {
    /// The folder of everything that is kept. Without it, the user's data folder.
    #[arg(long, value_name = "FOLDER")]
    pub(crate) data: Option<PathBuf>,

    /// The database: the path of a SQLite file, or the URL of a PostgreSQL server, like
    /// postgres://name@host/bench. Without it, the one in the folder
    /// of --data.
    #[arg(long, value_name = "URL")]
    pub(crate) database: Option<String>,

    /// Where sounds and photos are: a folder, or a bucket of a server that speaks S3, like
    /// s3://bucket/bench, which is found and opened by AWS_ENDPOINT_URL, AWS_REGION,
    /// AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY in the environment. Without it, the folder media
    /// beside the SQLite file, or in the folder of --data.
    #[arg(long, value_name = "PLACE")]
    pub(crate) media: Option<String>,
}
