//! A file from standard input. Many containers of sound must be searched to be read, which a pipe cannot
//! be: so all of it goes into a file without a name first, which the system takes back when the
//! program ends, however it ends.

use crate::failure::Failure;
use crate::{interrupt, shown};
use std::fs::File;
use std::io::{self, IsTerminal, Read, Seek, Write};
use std::path::Path;
use std::sync::mpsc::{self, RecvTimeoutError};
use std::time::Duration;

/// What stands for standard input among the files. A file of this name is `./-`.
const NAME: &str = "-";
/// Bytes fetched at once: what is in memory does not grow with the recording.
const BLOCK_BYTES: usize = 64 * 1024;
/// How soon Ctrl-C is heard while nothing comes in.
const PATIENCE: Duration = Duration::from_millis(100);

/// Whether standard input is meant.
pub(crate) fn is_meant(path: &Path) -> bool {
    path.as_os_str() == NAME
}

/// The name of a file for people.
pub(crate) fn shown(path: &Path) -> String {
    if is_meant(path) {
        "standard input".into()
    } else {
        shown::safe(&path.to_string_lossy()).into_owned()
    }
}

/// Everything that comes, up to its end, as a file that stands at its start.
pub(crate) fn spooled() -> Result<File, Failure> {
    if io::stdin().is_terminal() {
        return Err(Failure::WrongUse(
            "Nothing is piped in: name a file, or pipe one into this command.".into(),
        ));
    }
    let file = tempfile::tempfile().map_err(|error| cannot_keep(&error))?;
    // Waiting for input cannot be broken off, so another thread waits; it ends with the program.
    let (sender, receiver) = mpsc::channel();
    std::thread::spawn(move || {
        // Nobody listens any more after Ctrl-C.
        let _ = sender.send(copy(&mut io::stdin().lock(), file));
    });
    loop {
        match receiver.recv_timeout(PATIENCE) {
            Ok(copied) => return copied,
            Err(RecvTimeoutError::Timeout) if !interrupt::pressed() => {}
            Err(_) => return Err(Failure::Interrupted),
        }
    }
}

/// Copies all of it, and tells a source that fails from a file that cannot be written.
fn copy(from: &mut impl Read, mut to: File) -> Result<File, Failure> {
    let mut block = vec![0; BLOCK_BYTES];
    loop {
        match from.read(&mut block) {
            Ok(0) => break,
            Ok(count) => to.write_all(&block[..count]).map_err(|error| cannot_keep(&error))?,
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => {
                return Err(Failure::Unreadable(format!("It could not be read ({error}).")));
            }
        }
    }
    to.rewind().map_err(|error| cannot_keep(&error))?;
    Ok(to)
}

fn cannot_keep(error: &io::Error) -> Failure {
    Failure::CannotWrite(format!(
        "It could not be kept for reading in “{}” ({error}): check the free space there, or set \
         TMPDIR to a folder that has more.",
        std::env::temp_dir().display()
    ))
}
