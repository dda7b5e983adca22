//! What is too large to be held in memory: in a file without a name, gone when it is closed; and work
//! at it, which takes its time and a thread of its own.

use crate::desk::Desk;
use crate::failure::Failure;
use axum::body::Body;
use futures_util::StreamExt;
use std::fs::File;
use std::io::{BufWriter, Seek};
use tokio::io::{AsyncSeekExt, AsyncWriteExt};

/// Work that takes its time and a thread of its own.
pub(crate) async fn at_leisure<T: Send + 'static>(
    work: impl FnOnce(&tokio::runtime::Handle) -> Result<T, Failure> + Send + 'static,
) -> Result<T, Failure> {
    let runtime = tokio::runtime::Handle::current();
    tokio::task::spawn_blocking(move || work(&runtime)).await?
}

/// What was sent. `go_on` is told how many bytes there are so far.
pub(crate) async fn received(
    desk: &Desk,
    body: Body,
    most: u64,
    mut go_on: impl FnMut(u64) -> bool,
) -> Result<File, Failure> {
    let file = tokio::fs::File::from_std(nameless(desk)?);
    let mut file = tokio::io::BufWriter::with_capacity(1 << 20, file);
    let mut blocks = body.into_data_stream();
    let mut bytes = 0;
    while let Some(block) = blocks.next().await {
        let block = block.map_err(|_| {
            Failure::Invalid("What was sent ended too early: send it once more.".into())
        })?;
        bytes += block.len() as u64;
        if bytes > most {
            let most = most >> 20;
            let words = format!("This is more than is taken at once: {most} MiB.");
            return Err(Failure::TooLarge(words));
        }
        file.write_all(&block).await.map_err(of_disk)?;
        if !go_on(bytes) {
            return Err(stopped());
        }
    }
    // A full disk is told here, for what was still on its way.
    file.flush().await.map_err(of_disk)?;
    let mut file = file.into_inner();
    file.rewind().await.map_err(of_disk)?;
    Ok(file.into_std().await)
}

/// From its first byte on.
pub(crate) fn rewound(file: BufWriter<File>) -> Result<File, Failure> {
    let mut file = file.into_inner().map_err(|error| of_disk(error.into_error()))?;
    file.rewind().map_err(of_disk)?;
    Ok(file)
}

/// Beside the sounds in hand: where there is room for a reading there is room for this, or it is told.
pub(crate) fn nameless(desk: &Desk) -> Result<File, Failure> {
    std::fs::create_dir_all(&desk.in_hand).map_err(of_disk)?;
    tempfile::tempfile_in(&desk.in_hand).map_err(of_disk)
}

pub(crate) fn of_disk(error: std::io::Error) -> Failure {
    store::Error::from(error).into()
}

/// Somebody stopped it, or the program ends.
pub(crate) fn stopped() -> Failure {
    Failure::NotNow("It was stopped: nothing was changed.".into())
}
