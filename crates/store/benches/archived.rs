//! What an archive of a large workshop takes: to be written, checked and read into an empty store, each
//! with the most memory that the process held meanwhile. A trial of minutes, not a criterion benchmark.
//!
//! ```sh
//! cargo bench -p store --bench archived
//! ```

// In a benchmark, what cannot be unwrapped is the failure.
#![allow(clippy::unwrap_used, clippy::expect_used, missing_docs)]

mod workshop;

use archive::Reader;
use std::fs::File;
use std::time::Instant;
use store::{By, Places, ReadWishes, Scope, Store, read_archive, write_archive};
use tokio::runtime::Runtime;

/// The most memory that was held since it was asked to begin anew (Linux, `proc(5)`), MiB.
fn most_mib() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    let kib: f64 = line.split_whitespace().next()?.parse().ok()?;
    Some(kib / 1024.0)
}

fn timed<T>(what: &str, step: impl FnOnce() -> T) -> T {
    // Where that cannot be said, the most since the beginning is told.
    let _ = std::fs::write("/proc/self/clear_refs", "5");
    let before = most_mib().unwrap_or(f64::NAN);
    let began = Instant::now();
    let done = step();
    let (took, most) = (began.elapsed().as_secs_f64(), most_mib().unwrap_or(f64::NAN));
    println!("| {what} | {took:.1} s | {before:.0} MiB before, {most:.0} MiB at most |");
    done
}

fn main() {
    let runtime = Runtime::new().unwrap();
    let folder = workshop::made(&runtime);
    let own = tempfile::tempdir().unwrap();
    let file = own.path().join("all.zip");
    timed("write", || {
        runtime.block_on(async {
            let store = Store::open(&Places::in_folder(&folder)).await.unwrap();
            let made = store::now();
            let all = Scope::Everything;
            let written = write_archive(&store, all, &file, false, made, &mut |_| true).await;
            let written = written.unwrap().unwrap();
            println!("{} files, {:.1} MB", written.files, written.bytes as f64 / 1e6);
            store.close().await;
        });
    });
    timed("check", || {
        let mut reader = Reader::open(File::open(&file).unwrap()).unwrap();
        archive::check(&mut reader, &mut |_, _| true).unwrap();
    });
    timed("read into an empty store", || {
        runtime.block_on(async {
            let store = Store::open(&Places::in_folder(&own.path().join("new"))).await.unwrap();
            let mut reader = Reader::open(File::open(&file).unwrap()).unwrap();
            let (by, wishes) = (By::now("bench"), ReadWishes::default());
            let read = read_archive(&store, &by, &mut reader, wishes, &mut |_| true).await;
            println!("{:?}", read.unwrap().unwrap().new);
            store.close().await;
        });
    });
}
