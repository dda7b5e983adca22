//! What the page of a movement waits for: `POST /reckon` over HTTP on the loopback, on one connection
//! that stays open. Every sum is to take less than 50 ms, a search for lost wheels less than a second;
//! `docs/speed.md` tells what they take.

// In a benchmark, what cannot be unwrapped is the failure.
#![allow(clippy::unwrap_used, clippy::expect_used, missing_docs)]

use criterion::{Criterion, criterion_group, criterion_main};
use serde_json::{Value, json};
use server::{Options, Serving};
use std::time::Duration;
use store::{Places, Store};
use tokio::runtime::Runtime;
use ureq::Agent;

const COUNTED: &str = include_str!("../../calibre/tests/whole.toml");

/// With a balance, and what is known of it.
fn with(more: &str) -> String {
    COUNTED.replace("# beats-per-hour = 18000", &format!("beats-per-hour = 18000\n{more}"))
}

/// As a movement with everything in it.
fn whole() -> String {
    let balance = "mass-mg = 900\nradius-mm = 5.5\nspring-height-mm = 0.15\n\
                   spring-thickness-mm = 0.03\n";
    with(&format!("{balance}{LEVER}{HEAT}{TRIAL}{SIGHT}")).replace("turns = 10", "") + SPRING
}

const LEVER: &str = "lock-deg = 1.5\nrun-deg = 0.25\nlift-on-tooth-deg = 3\nlift-on-pallet-deg = 5.5\n\
                     fork-ratio = 2.73\ntooth-width-deg = 4.5\npallet-width-deg = 6\n\
                     escape-diameter-mm = 7.5\nover-three-teeth-mm = 7.4\n";
const SIGHT: &str = "seen-amplitude-deg = \"180 ± 5\"\nunlocking-to-drop-ms = 18.456\n";
const HEAT: &str = "rate-cold = \"8 = 4\"\nrate-hot = \"38 = -3\"\nbalance-expansion-ppm = 19\n\
                    spring-expansion-ppm = 11\nmodulus-change-ppm = -240\n";
const TRIAL: &str = "trial-length-mm = 100\ntrial-beats = 303\ntrial-time-s = 60\n";
const SPRING: &str = "[[mainspring]]\nbarrel = \"A\"\ninner-diameter-mm = 9\narbor-diameter-mm = 3\n\
                      thickness-mm = \"0.10 ± 0.003\"\nheight-mm = 1.5\n";

/// Eight trains, each with two lost wheels of the widest bounds: the most that can be asked for.
fn widest() -> String {
    let train = |n| {
        format!(
            "[[arbor]]\nname = \"fourth {n}\"\ncarries = {{ wheel = \"1-1000\" }}\n\
             [[arbor]]\nname = \"escape {n}\"\ncarries = {{ pinion = \"1-1000\", wheel = 15 }}\n\
             [[mesh]]\nbetween = [\"fourth {n}\", \"escape {n} pinion\"]\n\
             [[balance]]\nname = \"{n}\"\nescape = \"escape {n} wheel\"\nbeats-per-hour = 18000\n\
             [[hand]]\nname = \"{n}\"\non = \"fourth {n}\"\nshows = \"seconds\"\n"
        )
    };
    (0..8).map(train).collect()
}

async fn started(folder: &std::path::Path) -> Serving {
    let places = Places::in_folder(folder);
    let store = Store::open(&places).await.unwrap();
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

fn reckoned(c: &mut Criterion) {
    let runtime = Runtime::new().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let serving = runtime.block_on(started(folder.path()));
    let url = format!("http://localhost:{}/api/v1/reckon", serving.address().port());
    let agent = Agent::new_with_defaults();
    let two_lost =
        with("").replace("wheel = 70", "wheel = \"?\"").replace("pinion = 7", "pinion = \"?\"");
    let spring = with("").replace("turns = 10", "") + SPRING;
    let instead = json!([{ "barrel": "A", "thickness_mm": "0.11" }]);
    let depth = with("").replace("\"third pinion\"]", "\"third pinion\"]\nmodule-mm = 0.2");
    let cases: [(&str, Value); 11] = [
        ("a train", json!({ "text": with("") })),
        ("a balance", json!({ "text": with("mass-mg = 900\nradius-mm = 5.5") })),
        ("a lever", json!({ "text": with(LEVER) })),
        ("a lift angle by sight", json!({ "text": with(SIGHT) })),
        ("heat and cold", json!({ "text": with(HEAT) })),
        ("a hairspring on trial", json!({ "text": with(TRIAL) })),
        ("a depth", json!({ "text": depth })),
        ("a mainspring and another", json!({ "text": spring, "instead": instead })),
        ("all of these", json!({ "text": whole() })),
        ("two lost wheels", json!({ "text": two_lost })),
        ("the widest search, eight trains", json!({ "text": widest(), "within_s_per_d": 8640.0 })),
    ];
    let mut group = c.benchmark_group("reckoned");
    group.sample_size(30).measurement_time(Duration::from_secs(2));
    for (name, wish) in cases {
        group.bench_function(name, |b| {
            b.iter(|| agent.post(&url).send_json(&wish).unwrap().body_mut().read_to_vec().unwrap());
        });
    }
    group.finish();
    runtime.block_on(serving.end());
}

criterion_group!(benches, reckoned);
criterion_main!(benches);
