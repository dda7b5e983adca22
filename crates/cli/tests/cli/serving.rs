//! `endshake serve` and `endshake demo` as they are started and ended.

use crate::bench::Bench;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};

/// A program that serves, and the port that it named.
struct Served {
    child: Child,
    port: u16,
}

impl Served {
    fn start(bench: &Bench, arguments: &[&str]) -> Self {
        let mut command = bench.command(arguments);
        let mut child = command.stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.as_mut().unwrap()).read_line(&mut line).unwrap();
        let port = line.trim().trim_end_matches('/').rsplit(':').next().unwrap().parse();
        Self { child, port: port.unwrap_or_else(|_| panic!("{line}")) }
    }

    fn ask(&self, path: &str) -> String {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        let port = self.port;
        let request =
            format!("GET {path} HTTP/1.1\r\nHost: localhost:{port}\r\nConnection: close\r\n\r\n");
        stream.write_all(request.as_bytes()).unwrap();
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).unwrap();
        String::from_utf8_lossy(&answer).into_owned()
    }

    /// Ends it as Ctrl-C does; its exit status.
    fn end(mut self) -> Option<i32> {
        let id = self.child.id().to_string();
        assert!(Command::new("kill").args(["-INT", &id]).status().unwrap().success());
        self.child.wait().unwrap().code()
    }
}

#[test]
fn the_bench_opens_and_ends_and_keeps_what_was_entered() {
    let bench = Bench::new();
    let served = Served::start(&bench, &["serve", "--port", "0", "--data", "shop"]);
    assert!(served.ask("/").contains("<!doctype html>"));
    assert!(served.ask("/api/v1/session").contains("\"demo\":false"));
    assert!(served.ask("/api/v1/openapi.json").contains("\"openapi\":\"3."));

    // A second one on the same folder, and one on the same port, say what to do.
    let second = bench.run("serve --port 0 --data shop");
    assert_eq!(second.status, 1, "{}", second.err);
    assert!(second.err.contains("Another program serves from"), "{}", second.err);
    let third = bench.run(&format!("serve --port {} --data other", served.port));
    assert_eq!(third.status, 1, "{}", third.err);
    assert!(third.err.contains("name another port with --port"), "{}", third.err);

    assert_eq!(served.end(), Some(0));
    let checked = bench.run("check --data shop");
    assert_eq!(checked.status, 0, "{}{}", checked.out, checked.err);
    let again = Served::start(&bench, &["serve", "--port", "0", "--data", "shop"]);
    assert_eq!(again.end(), Some(0));
}

#[test]
fn the_invented_workshop_stands_apart_and_leaves_nothing() {
    let bench = Bench::new();
    let served = Served::start(&bench, &["demo", "--port", "0"]);
    assert!(served.ask("/api/v1/session").contains("\"demo\":true"));
    let jobs = served.ask("/api/v1/jobs");
    assert!(jobs.contains("\"total\":5"), "{jobs}");
    assert!(served.ask("/api/v1/sound-devices").contains("Two balances, simulated"));
    assert_eq!(served.end(), Some(0));
    // Neither here nor in the user's data folder; the system's sound library keeps a cookie.
    let names = bench.names();
    assert!(names.iter().all(|name| name == ".config"), "{names:?}");
}
