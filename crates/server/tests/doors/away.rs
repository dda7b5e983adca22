//! A bench whose database is on a server that cannot be reached for a while: it goes on listening, and
//! its readings are kept.

use crate::bench::{Bench, Page, text};
use crate::listening::{Live, RATE_HZ, is, sound};
use crate::postgres;
use crate::postgres_line::Line;
use serde_json::json;
use std::path::Path;
use std::time::{Duration, Instant};
use tokio::runtime::Runtime;

fn soon<T>(what: &str, look: impl Fn() -> Option<T>) -> T {
    let began = Instant::now();
    loop {
        if let Some(found) = look() {
            return found;
        }
        assert!(began.elapsed() < Duration::from_secs(40), "{what}");
        std::thread::sleep(Duration::from_millis(50));
    }
}

fn in_hand(folder: &Path) -> usize {
    std::fs::read_dir(folder.join("readings-in-hand")).map_or(0, Iterator::count)
}

/// Takes a reading, which is told not to be kept yet.
fn not_kept_yet(page: &Page, live: &mut Live, sound: &[f32], while_taking: impl FnOnce()) {
    let at = format!("/live/{}/reading", live.id);
    live.send(sound, 0);
    live.until(|f| f["taking"]["elapsed_s"].as_f64().is_some_and(|s| s > 4.0));
    while_taking();
    assert_eq!(page.delete(&format!("{at}?keep=true")).0, 204);
    let told = live.until(is("failed"));
    assert!(text(&told["message"]).contains("is safe there"), "{told}");
}

#[test]
fn a_bench_that_loses_the_network_listens_on_and_keeps_its_readings() {
    let Some(server) = postgres::Server::start() else { return };
    let _is_there = Runtime::new().unwrap().block_on(server.fresh_database("workshop"));
    let line = Line::to(&server);
    let own = tempfile::tempdir().unwrap();
    let places = line.places("workshop", &own.path().join("media"));
    let bench = Bench::with(&places, own.path());
    let (page, job, samples) = (bench.page(), bench.job(), sound());
    assert_eq!(page.get("/session").1["database_answers"], true);
    let mut live = Live::start(&bench, &page);
    live.may_fail = true;
    let at = format!("/live/{}/reading", live.id);
    let wish = |note: &str| json!({ "job_id": job, "seconds": 600.0, "note": note });

    // One that ends without the line.
    assert_eq!(page.post(&at, &wish("the line went")).0, 202);
    not_kept_yet(&page, &mut live, &samples[..6 * RATE_HZ], || line.cut());
    let (status, session) = page.get("/session");
    assert_eq!((status, &session["aside"]["readings"]), (200, &json!(1)), "{session}");
    assert!(text(&session["aside"]["why"]).contains("cannot be reached"), "{session}");
    soon("nobody is told", || (page.get("/session").1["database_answers"] == false).then_some(()));
    assert_eq!(page.get(&format!("/jobs/{job}")).0, 503);
    let report = format!("/jobs/{job}/papers/report.pdf");
    let (status, said) = page.get(&report);
    let why = text(&said["error"]["message"]);
    assert!(status == 503 && why.contains("cannot be reached"), "{status}: {said}");
    line.mend();
    let readings = || {
        let (_, listed) = page.get(&format!("/jobs/{job}/readings"));
        listed["readings"].as_array().cloned().unwrap_or_default()
    };
    soon("the first is not entered", || (readings().len() == 1).then_some(()));
    soon("it is told to wait", || page.get("/session").1["aside"].is_null().then_some(()));
    assert_eq!((text(&readings()[0]["note"]).as_str(), in_hand(own.path())), ("the line went", 0));
    let made = page.agent.get(page.url(&report)).call().unwrap();
    assert_eq!(made.headers()["content-type"], "application/pdf");

    // One that is begun without the line as well, and finds it mended when the program starts again.
    line.cut();
    assert_eq!(page.post(&at, &wish("begun without it")).0, 202);
    not_kept_yet(&page, &mut live, &samples[6 * RATE_HZ..12 * RATE_HZ], || {});
    bench.ended();
    assert_eq!(in_hand(own.path()), 2, "sound and note");
    line.mend();
    let bench = Bench::with(&places, own.path());
    let page = bench.page();
    soon("what was left is not taken in", || (in_hand(own.path()) == 0).then_some(()));
    let (_, listed) = page.get(&format!("/jobs/{job}/readings"));
    let listed = listed["readings"].as_array().unwrap().clone();
    assert_eq!(listed.len(), 2, "{listed:?}");
    // It had ended as it should: nothing says that it was cut short.
    assert!(listed.iter().any(|reading| reading["note"] == "begun without it"), "{listed:?}");
}

#[test]
fn a_reading_whose_job_went_into_the_bin_waits_until_it_is_back() {
    let bench = Bench::new();
    let (page, job, samples) = (bench.page(), bench.job(), sound());
    let mut live = Live::start(&bench, &page);
    live.may_fail = true;
    let wish = json!({ "job_id": job, "seconds": 600.0, "note": "for later" });
    assert_eq!(page.post(&format!("/live/{}/reading", live.id), &wish).0, 202);
    not_kept_yet(&page, &mut live, &samples[..6 * RATE_HZ], || {
        assert_eq!(page.delete(&format!("/jobs/{job}")).0 / 100, 2);
    });
    let why = |page: &Page| text(&page.get("/session").1["aside"]["why"]);
    assert!(why(&page).contains("bin"), "{}", why(&page));

    // The same when it starts again; then it is entered.
    let bench = bench.restarted();
    let page = bench.page();
    soon("it does not wait", || (!page.get("/session").1["aside"].is_null()).then_some(()));
    assert!(why(&page).contains("bin"), "{}", why(&page));
    assert_eq!(in_hand(&bench.folder()), 2, "sound and note");
    assert_eq!(page.post(&format!("/bin/job/{job}/restore"), &json!(null)).0, 204);
    let bench = bench.restarted();
    let page = bench.page();
    soon("it is not entered", || (in_hand(&bench.folder()) == 0).then_some(()));
    let (_, listed) = page.get(&format!("/jobs/{job}/readings"));
    assert_eq!(listed["readings"][0]["note"], "for later", "{listed}");
    assert!(page.get("/session").1["aside"].is_null());
}

#[test]
fn a_reading_whose_job_is_gone_for_good_is_left_where_it_lies_and_waits_for_nothing() {
    let bench = Bench::new();
    let (page, job, samples) = (bench.page(), bench.job(), sound());
    let mut live = Live::start(&bench, &page);
    live.may_fail = true;
    let at = format!("/live/{}/reading", live.id);
    assert_eq!(page.post(&at, &json!({ "job_id": job, "seconds": 600.0 })).0, 202);
    live.send(&samples[..6 * RATE_HZ], 0);
    live.until(|f| f["taking"]["elapsed_s"].as_f64().is_some_and(|s| s > 4.0));
    assert_eq!(page.delete(&format!("/jobs/{job}")).0 / 100, 2);
    assert_eq!(page.delete(&format!("/bin/job/{job}")).0 / 100, 2);
    assert_eq!(page.delete(&format!("{at}?keep=true")).0, 204);
    let told = live.until(is("failed"));
    assert!(text(&told["message"]).contains("is left there"), "{told}");
    assert!(page.get("/session").1["aside"].is_null());
    assert_eq!(in_hand(&bench.folder()), 2, "sound and note");
}
