//! A program that is left running: what it takes of the machine while nobody wants anything, and whether its
//! memory grows while many do.
//!
//! Some seconds of each tell a fault of any size. For a day's worth: ENDSHAKE_IDLE_S and ENDSHAKE_BUSY_S,
//! seconds, with a release build in ENDSHAKE_PROGRAM; `docs/speed.md` tells what came of that.

#![cfg(target_os = "linux")]

use crate::bench::Bench;
use crate::served::{Page, Served};
use serde_json::json;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::process::Command;
use std::time::{Duration, Instant};

/// Of one core; the aim for a machine that does other things too.
const MOST_OF_A_CORE: f64 = 0.01;
/// The aim for a release build. One for debugging keeps more.
const MOST_MIB: f64 = if cfg!(debug_assertions) { 200.0 } else { 100.0 };

fn seconds(name: &str, usual: u64) -> Duration {
    let wished = std::env::var(name).ok().and_then(|words| words.parse().ok());
    Duration::from_secs(wished.unwrap_or(usual))
}

fn started(bench: &Bench) -> Served {
    let arguments = ["serve", "--port", "0", "--data", "shop"];
    match std::env::var_os("ENDSHAKE_PROGRAM") {
        None => Served::start(bench, &arguments),
        Some(program) => {
            let mut command = Command::new(program);
            command.current_dir(bench.path("")).args(arguments).env("HOME", bench.path(""));
            Served::from_command(command)
        }
    }
}

/// A page that is open: it listens for what changes, and asks nothing.
fn open_page(served: &Served) -> TcpStream {
    let port = served.port();
    let mut stream = TcpStream::connect(("127.0.0.1", port)).unwrap();
    let ask = format!("GET /api/v1/events HTTP/1.1\r\nHost: localhost:{port}\r\n\r\n");
    stream.write_all(ask.as_bytes()).unwrap();
    let mut head = [0; 12];
    stream.read_exact(&mut head).unwrap();
    assert_eq!(&head, b"HTTP/1.1 200");
    stream
}

#[test]
fn nobody_notices_a_program_that_is_left_alone() {
    let bench = Bench::new();
    let served = started(&bench);
    served.page().job().unwrap();
    let a_while = seconds("ENDSHAKE_IDLE_S", 15);
    let mut page = None;
    for open in [false, true] {
        if open {
            page = Some(open_page(&served));
        }
        let before = served.processor_s();
        std::thread::sleep(a_while);
        let share = (served.processor_s() - before) / a_while.as_secs_f64();
        let memory_mib = served.memory_mib();
        println!("page open: {open}: {:.3} % of a core, {memory_mib:.0} MiB", 100.0 * share);
        assert!(share < MOST_OF_A_CORE, "{share}");
        assert!(memory_mib < MOST_MIB, "{memory_mib}");
    }
    drop(page);
    assert_eq!(served.end(), Some(0));
}

/// What a bench does all day: lists, a search, a job changed and looked at, its history, a page that is
/// opened and closed.
fn use_it(served: &Served, page: &Page, job: &str, n: u64) {
    let at = format!("/jobs/{job}");
    let (_, now) = page.get(&at).unwrap();
    let change = json!({ "version": now["version"], "notes": format!("note {}", n % 50) });
    let (status, said) = page.patch(&at, &change).unwrap();
    assert_eq!(status, 200, "{said}");
    for path in ["/jobs", "/watches", "/owners", "/search?q=two", "/sound-devices"] {
        // Devices are asked for seldom: the system takes its time.
        if path != "/sound-devices" || n.is_multiple_of(100) {
            assert_eq!(page.get(path).unwrap().0, 200, "{path}");
        }
    }
    for path in ["/history?page=0", "/readings", "/photos"] {
        assert_eq!(page.get(&format!("{at}{path}")).unwrap().0, 200, "{path}");
    }
    if n.is_multiple_of(10) {
        drop(open_page(served));
        assert!(served.ask("/").contains("<!doctype html>"));
    }
}

#[test]
fn memory_does_not_grow_with_use() {
    let bench = Bench::new();
    let served = started(&bench);
    let page = served.page();
    let job = page.job().unwrap();
    let whole = seconds("ENDSHAKE_BUSY_S", 20);
    let began = Instant::now();
    let (mut n, mut settled_mib) = (0, None);
    while began.elapsed() < whole {
        use_it(&served, &page, &job, n);
        n += 1;
        // Caches of statements and of the database fill at first.
        if began.elapsed() > whole / 4 && settled_mib.is_none() {
            settled_mib = Some((n, served.memory_mib()));
        }
    }
    let (by_then, settled_mib) = settled_mib.unwrap();
    let at_the_end_mib = served.memory_mib();
    println!(
        "{settled_mib:.1} MiB after {by_then} rounds, {at_the_end_mib:.1} MiB after {n} rounds of 8 requests"
    );
    // What an allocator and a database's cache may still take; a leak of a kilobyte a request shows.
    let allowed_mib = 8.0 + 8.0 * (n - by_then) as f64 / 1024.0;
    assert!(at_the_end_mib - settled_mib < allowed_mib.min(24.0), "{settled_mib} {at_the_end_mib}");
    assert_eq!(served.end(), Some(0));
}
