//! What lists and searches of a large workshop take, on SQLite and on PostgreSQL. They are to take
//! less than 50 ms, opening less than 300 ms; `docs/design/keeping.md` tells what they take.

// In a benchmark, what cannot be unwrapped is the failure.
#![allow(clippy::unwrap_used, clippy::expect_used, missing_docs)]

mod copied;
#[path = "../tests/suite/postgres.rs"]
mod postgres;
mod workshop;

use criterion::measurement::WallTime;
use criterion::{BenchmarkGroup, Criterion, criterion_group, criterion_main};
use jobs::*;
use std::time::Duration;
use store::{JobFilter, JobOrder, MediaPlace, Order, Page, Places, Store};
use tokio::runtime::Runtime;
use workshop::{JOBS, OWNERS, READINGS, WATCHES};

/// Words that few records hold, that many do, that stand together and that never do.
const QUESTIONS: [&str; 13] = [
    "7301",
    "ada",
    "ada berg",
    "crown crystal",
    "c",
    "c b",
    "a b c d",
    "pickup full",
    "full steel",
    "steel pickup",
    "steel gold",
    "xyzzy",
    "pickup xyzzy",
];

fn size(c: &mut Criterion) {
    let runtime = Runtime::new().unwrap();
    let folder = workshop::made(&runtime);
    let places = Places::in_folder(&folder);
    let mut group = c.benchmark_group("SQLite");
    group.sample_size(20).measurement_time(Duration::from_secs(3));
    group.bench_function("open", |b| {
        b.iter(|| {
            runtime.block_on(async { Store::open(&places).await.unwrap().close().await });
        });
    });
    asked(&mut group, &runtime, &places);
    group.finish();

    let Some(server) = postgres::Server::start() else { return };
    let database = runtime.block_on(async {
        let database = server.fresh_database("workshop").await;
        copied::copy(
            &places,
            &Places::new(database.clone(), MediaPlace::Folder(folder.join("media"))),
        )
        .await;
        database
    });
    let mut group = c.benchmark_group("PostgreSQL");
    group.sample_size(20).measurement_time(Duration::from_secs(3));
    asked(&mut group, &runtime, &Places::new(database, MediaPlace::Folder(folder.join("media"))));
    group.finish();
}

fn asked(group: &mut BenchmarkGroup<'_, WallTime>, runtime: &Runtime, places: &Places) {
    let store = runtime.block_on(Store::open(places)).unwrap();
    let open = JobFilter { open: Some(true), ..JobFilter::default() };
    for (name, filter, order) in [
        ("open jobs by due date", open, JobOrder::Due),
        ("all jobs by due date", JobFilter::default(), JobOrder::Due),
        ("all jobs, latest change first", JobFilter::default(), JobOrder::LatestChangeFirst),
    ] {
        group.bench_function(name, |b| {
            b.iter(|| {
                runtime.block_on(store.jobs(filter.clone(), order, Page::first(50))).unwrap()
            });
        });
    }
    let last = Page { offset: 9_950, limit: 50 };
    group.bench_function("last page of all jobs", |b| {
        b.iter(|| {
            let jobs = store.jobs(JobFilter::default(), JobOrder::NewestFirst, last);
            assert_eq!(runtime.block_on(jobs).unwrap().items.len(), 50);
        });
    });
    let first = runtime
        .block_on(store.jobs(JobFilter::default(), JobOrder::NewestFirst, Page::first(1)))
        .unwrap();
    let job = first.items[0].job.any_id();
    group.bench_function("readings of a job", |b| {
        b.iter(|| {
            let readings = store.list::<Reading>(Some(job), Order::OldestFirst, Page::first(50));
            assert_eq!(runtime.block_on(readings).unwrap().total, 10);
        });
    });
    group.bench_function("latest of all readings", |b| {
        b.iter(|| {
            let readings = store.list::<Reading>(None, Order::NewestFirst, Page::first(50));
            assert_eq!(runtime.block_on(readings).unwrap().total, READINGS as u64);
        });
    });
    for question in QUESTIONS {
        group.bench_function(format!("search {question}"), |b| {
            b.iter(|| runtime.block_on(store.search(question, None, 50)).unwrap());
        });
        let filter = JobFilter { words: Some(question.into()), ..JobFilter::default() };
        for (name, order) in
            [("jobs", JobOrder::LatestChangeFirst), ("jobs by due date", JobOrder::Due)]
        {
            group.bench_function(format!("{name} with {question}"), |b| {
                let jobs = || store.jobs(filter.clone(), order, Page::first(50));
                b.iter(|| assert!(runtime.block_on(jobs()).unwrap().total <= JOBS as u64));
            });
        }
        let (words, order, page) = (Some(question), Order::LatestChangeFirst, Page::first(50));
        group.bench_function(format!("watches with {question}"), |b| {
            let watches = || store.list_holding::<Watch>(None, words, order, page);
            b.iter(|| assert!(runtime.block_on(watches()).unwrap().total <= WATCHES as u64));
        });
        group.bench_function(format!("owners with {question}"), |b| {
            let owners = || store.list_holding::<Owner>(None, words, order, page);
            b.iter(|| assert!(runtime.block_on(owners()).unwrap().total <= OWNERS as u64));
        });
    }
    runtime.block_on(store.close());
}

criterion_group!(benches, size);
criterion_main!(benches);
