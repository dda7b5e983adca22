//! What the page waits for with a large workshop: the program's start until the first list is there,
//! lists and searches over HTTP on the loopback, on one connection that stays open. Lists and searches
//! are to take less than 50 ms, the start less than 300 ms; `docs/speed.md` tells what they take.

// In a benchmark, what cannot be unwrapped is the failure.
#![allow(clippy::unwrap_used, clippy::expect_used, missing_docs)]

#[path = "../../store/benches/workshop.rs"]
mod workshop;

use criterion::{Criterion, criterion_group, criterion_main};
use server::{Options, Serving};
use std::path::Path;
use std::time::{Duration, Instant};
use store::{Places, Store};
use tokio::runtime::Runtime;
use ureq::Agent;

const QUESTIONS: [&str; 8] = [
    "7301",
    "ada",
    "crown+crystal",
    "a+b+c+d",
    "pickup+full",
    "full+steel",
    "steel+gold",
    "pickup+xyzzy",
];

async fn started(places: &Places, folder: &Path) -> Serving {
    let store = Store::open(places).await.unwrap();
    let folder = folder.to_owned();
    let options = Options {
        bench: server::Bench::default(),
        port: 0,
        network_port: 0,
        folder,
        demo: false,
        simulated: Vec::new(),
    };
    server::serve(store, options).await.unwrap()
}

/// How many bytes the answer has.
fn ask(agent: &Agent, serving: &Serving, path: &str) -> usize {
    let port = serving.address().port();
    let url = format!("http://localhost:{port}/api/v1{path}");
    let mut answer = agent.get(url).call().unwrap();
    answer.body_mut().read_to_vec().unwrap().len()
}

fn asked(c: &mut Criterion) {
    let runtime = Runtime::new().unwrap();
    let places = Places::in_folder(&workshop::made(&runtime));
    let folder = tempfile::tempdir().unwrap();
    let mut group = c.benchmark_group("served");
    group.sample_size(20).measurement_time(Duration::from_secs(3));
    group.bench_function("start, until the jobs are listed", |b| {
        b.iter_custom(|times| {
            let mut all = Duration::ZERO;
            for _ in 0..times {
                let began = Instant::now();
                let serving = runtime.block_on(started(&places, folder.path()));
                // Nobody has a connection open yet either.
                assert!(ask(&Agent::new_with_defaults(), &serving, "/jobs?open=true") > 1_000);
                all += began.elapsed();
                runtime.block_on(serving.end());
            }
            all
        });
    });

    let serving = runtime.block_on(started(&places, folder.path()));
    let agent = Agent::new_with_defaults();
    let first = agent.get(format!("http://localhost:{}/api/v1/jobs", serving.address().port()));
    let first: serde_json::Value = first.call().unwrap().body_mut().read_json().unwrap();
    let job = first["jobs"][0]["id"].as_str().unwrap().to_owned();
    let mut paths = vec![
        ("open jobs by due date".to_owned(), "/jobs?open=true&due_first=true".to_owned()),
        ("all jobs".to_owned(), "/jobs".to_owned()),
        ("last page of all jobs".to_owned(), "/jobs?page=199".to_owned()),
        ("watches".to_owned(), "/watches".to_owned()),
        ("owners".to_owned(), "/owners".to_owned()),
        ("a job".to_owned(), format!("/jobs/{job}")),
        ("readings of a job".to_owned(), format!("/jobs/{job}/readings")),
        ("history of a job".to_owned(), format!("/jobs/{job}/history")),
    ];
    for question in QUESTIONS {
        let words = question.replace('+', " ");
        paths.push((format!("search {words}"), format!("/search?q={question}")));
        for list in ["jobs", "watches", "owners"] {
            paths.push((format!("{list} with {words}"), format!("/{list}?search={question}")));
        }
        let by_date = format!("/jobs?search={question}&due_first=true");
        paths.push((format!("jobs by due date with {words}"), by_date));
    }
    for (name, path) in paths {
        group.bench_function(name, |b| b.iter(|| assert!(ask(&agent, &serving, &path) > 10)));
    }
    group.finish();
    drop(agent);
    runtime.block_on(serving.end());
}

criterion_group!(benches, asked);
criterion_main!(benches);
