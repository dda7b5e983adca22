//! A bench whose database is on a server and whose photos are in a bucket, and the line to one of them
//! is cut while it takes something in, makes a paper or copies everything: nothing is lost or there by
//! halves, a sentence says which of them does not answer, and a second try works.

use crate::bench::{Bench, Said};
use crate::bucket_server::{BUCKET, SECRET, serve, told};
use crate::postgres::Server;
use crate::postgres_line::Line;
use crate::workshop::with_a_job;
use image::{ImageFormat, RgbImage};
use serde_json::Value;
use std::io::Cursor;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};
use tempfile::TempDir;
use tokio::runtime::Runtime;

/// A photo of some hundred kilobytes, so that an answer can be cut in its midst.
fn photo() -> &'static [u8] {
    let mut state = 1_u32;
    let image = RgbImage::from_fn(480, 360, |_, _| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        image::Rgb([(state >> 24) as u8, (state >> 16) as u8, (state >> 8) as u8])
    });
    let mut bytes = Cursor::new(Vec::new());
    image.write_to(&mut bytes, ImageFormat::Jpeg).unwrap();
    Vec::leak(bytes.into_inner())
}

const KILLS: u32 = 3;

struct Remote {
    bench: Bench,
    database: Line,
    bucket: Line,
    /// All of them until the end.
    _server: Server,
    _runtime: Runtime,
    _folder: TempDir,
}

impl Remote {
    /// Beside it a job with a photo in the user's own folder; nothing where there is no server.
    fn new() -> Option<Self> {
        let server = Server::start()?;
        let (bench, folder, runtime) =
            (Bench::new(), tempfile::tempdir().unwrap(), Runtime::new().unwrap());
        let socket = runtime.block_on(async {
            with_a_job(&bench, "Ada Berg", photo()).await.store.close().await;
            server.fresh_database("shop").await;
            serve(folder.path())
        });
        let (database, bucket) = (Line::to(&server), Line::to_socket(socket));
        Some(Self { bench, database, bucket, _server: server, _runtime: runtime, _folder: folder })
    }

    fn command(&self, line: &str) -> Command {
        let port = self.database.port();
        let database = format!("postgres://postgres@127.0.0.1:{port}/shop");
        let media = format!("s3://{BUCKET}/shop");
        let mut arguments: Vec<&str> = line.split_whitespace().collect();
        arguments.extend(["--database", &database, "--media", &media]);
        let mut command = self.bench.command(&arguments);
        told(&mut command, self.bucket.port(), SECRET);
        command
    }

    fn run(&self, line: &str) -> Said {
        Said::of(self.command(line).output().unwrap())
    }

    fn done(&self, line: &str) -> String {
        let said = self.run(line);
        assert_eq!(said.status, 0, "{line}\n{}{}", said.out, said.err);
        said.out
    }

    /// Runs it once for each of these numbers of bytes, after which the line is cut.
    fn cut(&self, line: &str, to_database: &[usize], to_bucket: &[usize]) {
        let before = self.bench.names();
        let both = [
            (&self.database, to_database, "cannot be reached"),
            (&self.bucket, to_bucket, "bucket"),
        ];
        for (over, bytes, words) in both {
            for bytes in bytes {
                over.cut_after(*bytes);
                let said = self.run(line);
                assert!(over.is_cut(), "{line}: all of it came in {bytes} bytes\n{}", said.out);
                assert_eq!((said.status, said.out.as_str()), (3, ""), "{line}: {}", said.err);
                assert!(said.sentence().contains(words), "{line}, {bytes}: {}", said.err);
                assert_eq!(self.bench.names(), before, "{line}, {bytes}");
                over.mend();
            }
        }
    }

    /// Kills it at moments spread over all of it (SIGKILL, which no program can catch), and counts what is
    /// there after each.
    fn kill(&self, line: &str, took: Duration) -> Vec<Value> {
        let kill_at = |n: u32| {
            let mut command = self.command(line);
            let mut child = command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
            std::thread::sleep(took * n / KILLS);
            let _ = child.kill();
            child.wait().unwrap();
            let all = self.run("check --format json").json();
            assert_eq!(all["well"], true, "{line}, {n}: {all}");
            all["records"].clone()
        };
        (1..=KILLS).map(kill_at).collect()
    }
}

#[test]
fn what_is_cut_off_loses_nothing_and_works_at_the_second_try() {
    let Some(remote) = Remote::new() else { return };
    let bench = &remote.bench;
    bench.done("archive write --everything --out all.zip");
    // The schema is there before anything is cut.
    let empty = || {
        let all = remote.run("check --format json").json();
        assert_eq!((&all["well"], &all["records"]), (&true.into(), &0.into()));
    };
    empty();

    remote.cut("archive read all.zip", &[1, 6_000], &[1, 400]);
    empty();
    let began = Instant::now();
    remote.done("archive read all.zip --dry-run");
    let took = began.elapsed() * 2;
    let after = remote.kill("archive read all.zip", took);
    assert!(after.iter().all(|records| records == 0 || records == 4), "{after:?}");
    remote.done("archive read all.zip");

    bench.write("report.pdf", b"of yesterday");
    let report = "paper 1 --kind report --out report.pdf";
    remote.cut(report, &[1, 6_000], &[1, 60_000]);
    assert_eq!(bench.read("report.pdf"), b"of yesterday");
    remote.done(report);
    assert!(bench.read("report.pdf").starts_with(b"%PDF-"));

    remote.cut("backup monday", &[1, 6_000], &[1, 60_000]);
    let began = Instant::now();
    remote.done("backup monday");
    let after = remote.kill("backup tuesday", began.elapsed());
    assert!(after.iter().all(|records| records == 4), "{after:?}");
    remote.done("backup wednesday");
    for copy in ["monday", "tuesday", "wednesday"] {
        let named = format!("check --database {copy}/endshake.sqlite --format json");
        if copy != "tuesday" || bench.path(copy).exists() {
            let copy = bench.run(&named).json();
            assert_eq!((&copy["well"], &copy["media_files"]), (&true.into(), &1.into()));
        }
    }

    let row = "Ada Stone,alarm watch,A-123,1998-03-02,1998-03-20,cleaned,120.50,EUR\n";
    bench.write(
        "book.csv",
        format!("owner,watch,serial,in,out,done,price,currency\n{row}").as_bytes(),
    );
    let take_in = "archive paper-records book.csv";
    remote.cut(take_in, &[1, 4_000], &[]);
    assert_eq!(remote.run("check --format json").json()["records"], 4);
    assert!(remote.done(take_in).contains("1 visit"));
    let half =
        |name: &String| bench.path(name).join("files.json").exists() && name.contains(".part");
    assert!(!bench.names().iter().any(half), "{:?}", bench.names());
}
