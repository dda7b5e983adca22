//! A week's work of a workshop with many benches on one PostgreSQL database, in an hour: each bench is
//! a program of its own connections, asked over HTTP by one who takes in watches, takes photos, logs a
//! take-down, makes moves and types notes, now and then in a job of another bench. At the end all that
//! was acknowledged must be there, and the data check clean. `docs/speed.md` tells what came out.
//!
//! ```sh
//! cargo bench -p server --bench several -- --benches 30 --minutes 60 --jobs 25
//! ```
//!
//! This is a trial of hours, not a criterion benchmark: what counts is the slowest of a hundred.

// In a benchmark, what cannot be unwrapped is the failure.
#![allow(clippy::unwrap_used, clippy::expect_used, missing_docs)]

#[path = "../../store/tests/suite/postgres.rs"]
mod postgres;

use image::{ImageFormat, RgbImage};
use serde_json::{Value, json};
use server::{Bench, Options, Serving};
use std::collections::BTreeMap;
use std::io::Cursor;
use std::path::Path;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};
use store::{Database, MediaPlace, Places, Role, Store};
use tokio::runtime::Runtime;
use ureq::Agent;
use ureq::unversioned::multipart::{Form, Part};
use uuid::Uuid;

/// How much a watch asks of the program: what one who was watched at it would do, our own guess.
const NOTES: usize = 20;
const LOOKS: usize = 20;
const ENTRIES: usize = 60;
const MOVES: usize = 6;

struct Wish {
    benches: usize,
    minutes: u64,
    /// Of each bench.
    jobs: usize,
    /// Of each job.
    photos: usize,
}

fn wish() -> Wish {
    let words: Vec<String> = std::env::args().collect();
    let number = |name: &str, usual: u64| {
        let at = words.iter().position(|word| word == name);
        at.map_or(usual, |at| words[at + 1].parse().unwrap())
    };
    Wish {
        benches: usize::try_from(number("--benches", 30)).unwrap(),
        minutes: number("--minutes", 60),
        jobs: usize::try_from(number("--jobs", 25)).unwrap(),
        photos: usize::try_from(number("--photos", 6)).unwrap(),
    }
}

async fn started(database: &Database, media: &Path, folder: &Path, name: String) -> Serving {
    let media = MediaPlace::Folder(media.to_owned());
    let store = Store::open(&Places::new(database.clone(), media)).await.unwrap();
    let options = Options {
        bench: Bench { name, role: Role::Owner },
        port: 0,
        network_port: 0,
        folder: folder.to_owned(),
        demo: false,
        simulated: Vec::new(),
    };
    server::serve(store, options).await.unwrap()
}

/// What was acknowledged, and how long each kind of request took.
#[derive(Default)]
struct Book {
    took: BTreeMap<&'static str, Vec<Duration>>,
    /// The last notes of each job that were acknowledged, each by who wrote them.
    notes: BTreeMap<String, String>,
    entries: BTreeMap<String, usize>,
    photos: BTreeMap<String, usize>,
    moves: BTreeMap<String, usize>,
    conflicts: usize,
}

/// One who works at a bench.
struct Hand {
    base: String,
    agent: Agent,
    book: Arc<Mutex<Book>>,
    photo: Arc<Vec<u8>>,
    /// How many of each watch.
    photos: usize,
    /// Between two requests, on average.
    pause: Duration,
    /// Of a plain multiplicative generator: the same work each time.
    dice: u64,
}

impl Hand {
    fn roll(&mut self, below: u64) -> u64 {
        // Constants by P. L'Ecuyer, Math. Comp. 68 (1999) 249, table 4 (m = 2^64).
        self.dice = self.dice.wrapping_mul(2_862_933_555_777_941_757).wrapping_add(3_037_000_493);
        (self.dice >> 33) % below
    }

    fn rest(&mut self) {
        let share = self.roll(200);
        std::thread::sleep(self.pause * u32::try_from(share).unwrap() / 100);
    }

    fn url(&self, path: &str) -> String {
        format!("{}/api/v1{path}", self.base)
    }

    fn timed(
        &mut self,
        kind: &'static str,
        ask: impl FnOnce(&Self) -> ureq::http::Response<ureq::Body>,
    ) -> (u16, Value) {
        self.rest();
        let began = Instant::now();
        let mut answer = ask(self);
        let text = answer.body_mut().read_to_string().unwrap();
        let took = began.elapsed();
        self.book.lock().unwrap().took.entry(kind).or_default().push(took);
        (answer.status().as_u16(), serde_json::from_str(&text).unwrap_or(Value::Null))
    }

    fn post(&mut self, kind: &'static str, path: &str, body: &Value) -> Value {
        let (status, answer) =
            self.timed(kind, |hand| hand.agent.post(hand.url(path)).send_json(body).unwrap());
        assert!(status < 300, "{kind} {path}: {status} {answer}");
        answer
    }

    fn get(&mut self, kind: &'static str, path: &str) -> Value {
        let (status, answer) =
            self.timed(kind, |hand| hand.agent.get(hand.url(path)).call().unwrap());
        assert_eq!(status, 200, "{kind} {path}: {answer}");
        answer
    }

    /// Adds a line to the notes of a job, whoever else does so.
    fn note(&mut self, job: &str, words: &str) {
        loop {
            let now = self.get("a job", &format!("/jobs/{job}"));
            let notes = format!("{}{words}\n", now["notes"].as_str().unwrap());
            let change = json!({ "version": now["version"], "notes": notes });
            let path = format!("/jobs/{job}");
            let (status, answer) = self.timed("notes", |hand| {
                hand.agent.patch(hand.url(&path)).send_json(&change).unwrap()
            });
            let mut book = self.book.lock().unwrap();
            match status {
                200 => {
                    let line = format!("{words}\n");
                    book.notes.entry(job.to_owned()).or_default().push_str(&line);
                    return;
                }
                409 => book.conflicts += 1,
                _ => panic!("{path}: {status} {answer}"),
            }
        }
    }

    /// All the work on one watch.
    fn watch(&mut self, name: &str, all: &Mutex<Vec<String>>) {
        let new = json!({ "watch": { "new": { "description": format!("Watch of {name}"),
            "owner": { "name": format!("Owner of {name}") } } } });
        let (status, made) = self
            .timed("new job", |hand| hand.agent.post(hand.url("/jobs")).send_json(&new).unwrap());
        assert_eq!(status, 201, "{made}");
        let job = made["id"].as_str().unwrap().to_owned();
        all.lock().unwrap().push(job.clone());
        let there = format!("/jobs/{job}");
        let most = [NOTES, LOOKS, ENTRIES, self.photos, MOVES].into_iter().max().unwrap();
        for n in 0..most {
            let due = |many: usize| n * many / most != (n + 1) * many / most;
            if due(NOTES) {
                let others = all.lock().unwrap().clone();
                // One note in ten goes to a job that somebody else may be at.
                let at = usize::try_from(self.roll(others.len() as u64 * 10)).unwrap();
                let to = others.get(at).cloned().unwrap_or_else(|| job.clone());
                self.note(&to, &format!("{name}, note {n}"));
            }
            if due(LOOKS) {
                match n % 4 {
                    0 => self.get("jobs", "/jobs?open=true&due_first=true"),
                    1 => self.get("search", "/search?q=watch"),
                    2 => self.get("history", &format!("{there}/history")),
                    _ => self.get("movement", &format!("{there}/movement")),
                };
            }
            if due(ENTRIES) {
                let entry = json!({ "id": Uuid::now_v7(), "at": "2026-05-04T09:30:00.000Z",
                    "change": { "kind": "took_out", "step": Uuid::now_v7(), "side": "train",
                        "parts": [{ "id": Uuid::now_v7(), "kind": "third-wheel" }] } });
                let path = format!("{there}/log");
                let kept = self.post("log entry", &path, &json!({ "entries": [entry] }));
                assert!(kept["refused"].is_null(), "{kept}");
                *self.book.lock().unwrap().entries.entry(job.clone()).or_default() += 1;
            }
            if due(self.photos) {
                let photo = Arc::clone(&self.photo);
                let path = format!("{there}/photos");
                let (status, kept) = self.timed("photo", |hand| {
                    let form = Form::new().part("photo", Part::bytes(&photo).file_name("p.jpg"));
                    hand.agent.post(hand.url(&path)).send(form).unwrap()
                });
                assert_eq!(status, 201, "{kept}");
                *self.book.lock().unwrap().photos.entry(job.clone()).or_default() += 1;
            }
            if due(MOVES) {
                let change = json!({ "by": "index", "amount": 0.5, "note": name });
                self.post("move", &format!("{there}/adjustments"), &change);
                *self.book.lock().unwrap().moves.entry(job.clone()).or_default() += 1;
            }
        }
    }
}

/// As a phone takes it: four megapixels that do not all look alike.
fn photo() -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    let colour = |x: u32, y: u32| image::Rgb([x, y, x * y / 97].map(|n| (n % 251) as u8));
    RgbImage::from_fn(2_304, 1_728, colour).write_to(&mut bytes, ImageFormat::Jpeg).unwrap();
    bytes.into_inner()
}

fn main() {
    let wish = wish();
    let Some(server) = postgres::Server::start_durable() else { return };
    let runtime = Runtime::new().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let (media, database) =
        (folder.path().join("media"), runtime.block_on(server.fresh_database("workshop")));
    let benches: Vec<Serving> = (0..wish.benches)
        .map(|n| {
            let own = folder.path().join(format!("bench-{n}"));
            runtime.block_on(started(&database, &media, &own, format!("bench {n}")))
        })
        .collect();
    let book = Arc::new(Mutex::new(Book::default()));
    let (photo, all) = (Arc::new(photo()), Arc::new(Mutex::new(Vec::new())));
    // A note is a look and a change.
    let requests = wish.jobs * (1 + 2 * NOTES + LOOKS + ENTRIES + wish.photos + MOVES);
    let pause = Duration::from_secs(60 * wish.minutes) / u32::try_from(requests).unwrap();
    let began = Instant::now();
    std::thread::scope(|scope| {
        for (n, bench) in (1_u64..).zip(&benches) {
            let mut hand = Hand {
                base: format!("http://localhost:{}", bench.address().port()),
                agent: Agent::config_builder().http_status_as_error(false).build().into(),
                book: Arc::clone(&book),
                photo: Arc::clone(&photo),
                photos: wish.photos,
                pause,
                dice: n,
            };
            let all = &all;
            scope.spawn(move || {
                for job in 0..wish.jobs {
                    hand.watch(&format!("bench {n}, watch {job}"), all);
                }
            });
        }
    });
    let took = began.elapsed();
    told(&book.lock().unwrap(), took);
    let first = &benches[0];
    all_there(&book.lock().unwrap(), &format!("http://localhost:{}", first.address().port()));
    for bench in benches {
        runtime.block_on(bench.end());
    }
    runtime.block_on(async {
        let places = Places::new(database, MediaPlace::Folder(media));
        let store = Store::open(&places).await.unwrap();
        let checked = store::check(&store, false, &mut |_| true).await.unwrap().unwrap();
        println!("check: {} faults, {} records", checked.faults.len(), checked.records);
        assert_eq!(checked.faults, []);
        store.close().await;
    });
}

/// How long each kind of request took.
fn told(book: &Book, took: Duration) {
    let ms = |time: &Duration| time.as_secs_f64() * 1e3;
    let mut all: Vec<Duration> = book.took.values().flatten().copied().collect();
    println!("{} requests in {:.0} s, {} conflicts", all.len(), took.as_secs_f64(), book.conflicts);
    println!("| request | how many | half, ms | 99 of 100, ms | slowest, ms |");
    println!("|---|---:|---:|---:|---:|");
    let line = |name: &str, times: &mut Vec<Duration>| {
        times.sort_unstable();
        let at = |share: f64| ms(&times[(share * (times.len() - 1) as f64) as usize]);
        let (half, most, last) = (at(0.5), at(0.99), at(1.0));
        println!("| {name} | {} | {half:.1} | {most:.1} | {last:.0} |", times.len());
    };
    for (name, times) in &book.took {
        line(name, &mut times.clone());
    }
    line("all", &mut all);
}

/// Everything that was acknowledged is there, and nothing twice.
fn all_there(book: &Book, base: &str) {
    let agent: Agent = Agent::config_builder().build().into();
    let get = |path: &str| -> Value {
        let url = format!("{base}/api/v1{path}");
        agent.get(url).call().unwrap().body_mut().with_config().limit(1 << 30).read_json().unwrap()
    };
    for (job, notes) in &book.notes {
        let kept = get(&format!("/jobs/{job}"))["notes"].as_str().unwrap().to_owned();
        let sorted = |text: &str| {
            let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
            lines.sort();
            lines
        };
        assert_eq!(sorted(&kept), sorted(notes), "notes of {job}");
    }
    let counted = |job: &str, path: &str, list: &str| {
        get(&format!("/jobs/{job}/{path}"))[list].as_array().unwrap().len()
    };
    for (job, count) in &book.photos {
        assert_eq!(counted(job, "photos", "photos"), *count, "photos of {job}");
    }
    for (job, count) in &book.moves {
        assert_eq!(counted(job, "adjustments", "adjustments"), *count, "moves of {job}");
    }
    for (job, count) in &book.entries {
        assert_eq!(counted(job, "movement", "steps"), *count, "steps of {job}");
    }
    let jobs = book.entries.len();
    println!(
        "all there: {jobs} jobs, {} notes",
        book.notes.values().map(|n| n.lines().count()).sum::<usize>()
    );
}
