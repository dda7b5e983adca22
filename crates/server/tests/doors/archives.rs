//! Archives over HTTP: sent once, looked at, added or left; written, fetched or stopped.

use crate::bench::{Bench, Page, bare_reading, code, text};
use crate::storage::Holder;
use crate::uploads::{png, send};
use serde_json::{Value, json};
use std::time::Duration;

/// An id as a page makes one.
fn id(n: u32) -> String {
    format!("01890a5d-ac96-774b-bcce-{n:012}")
}

fn put(page: &Page, path: &str, bytes: &[u8]) -> (u16, Value) {
    let mut answer = page.agent.put(page.url(path)).send(bytes).unwrap();
    let text = answer.body_mut().read_to_string().unwrap();
    (answer.status().as_u16(), serde_json::from_str(&text).unwrap_or(Value::String(text)))
}

fn zip(page: &Page, path: &str) -> Vec<u8> {
    let mut answer = page.agent.get(page.url(path)).call().unwrap();
    assert_eq!(answer.status().as_u16(), 200, "{path}");
    assert_eq!(answer.headers()["content-type"], "application/zip");
    let name = answer.headers()["content-disposition"].to_str().unwrap().to_owned();
    assert!(name.starts_with("attachment; filename=\"endshake-"), "{name}");
    answer.body_mut().with_config().limit(1 << 28).read_to_vec().unwrap()
}

/// A workshop with a photo and a reading; its job.
fn furnished() -> (Bench, String) {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    assert_eq!(send(&page, &job, &png(), "dial.png", "image/png").0, 201);
    let taken = jobs::Moment::from_ms(1_700_000_000_000);
    bench.keep_readings(vec![bare_reading(job.parse().unwrap(), taken)]);
    (bench, job)
}

/// How many there are of something, of what is or would be added or is there.
fn many(brought: &Value, list: &str, what: &str) -> u64 {
    let counted = brought[list].as_array().unwrap_or_else(|| panic!("{brought}"));
    counted.iter().find(|one| one["what"] == what).map_or(0, |one| one["count"].as_u64().unwrap())
}

/// All that the page asks of a job.
fn told(page: &Page, job: &str) -> Vec<Value> {
    let parts = ["", "/photos", "/readings", "/history", "/movement"];
    let path = |part: &&str| format!("/jobs/{job}{part}");
    parts
        .iter()
        .map(path)
        .map(|path| page.get(&path))
        .map(|(status, answer)| {
            assert_eq!(status, 200, "{answer}");
            answer
        })
        .collect()
}

/// Sounds, photos and whatever else is in a bench's folder of media.
fn media(bench: &Bench) -> usize {
    fn files(folder: &std::path::Path) -> usize {
        let Ok(entries) = std::fs::read_dir(folder) else { return 0 };
        let paths = entries.map(|entry| entry.unwrap().path());
        paths.map(|path| if path.is_dir() { files(&path) } else { 1 }).sum()
    }
    files(&bench.folder().join("media"))
}

#[test]
fn what_is_written_and_fetched_is_sent_once_looked_at_and_added_elsewhere() {
    let (bench, job) = furnished();
    let here = bench.page();
    let (status, made) = put(&here, &format!("/archive/made/{}", id(1)), b"");
    assert_eq!(status, 200, "{made}");
    assert!(text(&made["file_name"]).starts_with("endshake-workshop-"), "{made}");
    let bytes = zip(&here, &format!("/archive/made/{}", id(1)));
    // It waits: it may be fetched once more.
    assert_eq!(zip(&here, &format!("/archive/made/{}", id(1))), bytes);

    let other = Bench::new();
    let there = other.page();
    let sent = format!("/archive/sent/{}", id(2));
    assert_eq!(put(&there, &sent, &bytes).0, 204);
    assert_eq!(put(&there, &sent, &bytes).0, 409, "its id is taken");
    let (status, would) = there.post(&format!("{sent}/look"), &json!({}));
    assert_eq!(status, 200, "{would}");
    assert_eq!(
        ["job", "watch", "photo", "reading"].map(|what| many(&would, "added", what)),
        [1; 4]
    );
    assert_eq!((there.get(&format!("/jobs/{job}")).0, media(&other)), (404, 0), "only looked at");
    let (_, progress) = there.get(&format!("/archive/hand/{}", id(2)));
    assert_eq!(progress, json!({ "words": null, "share": null }));
    // What was sent is nobody's to fetch.
    assert_eq!(there.get(&format!("/archive/made/{}", id(2))).0, 404);

    assert_eq!(there.post(&format!("{sent}/add"), &json!({})), (200, would));
    assert_eq!(told(&there, &job), told(&here, &job));
    let photo = |page: &Page| {
        let (_, photos) = page.get(&format!("/jobs/{job}/photos"));
        let at = page.url(&format!("/media/{}", text(&photos["photos"][0]["media"])));
        page.agent.get(at).call().unwrap().body_mut().read_to_vec().unwrap()
    };
    assert_eq!(photo(&there), photo(&here));
    // It was added, and is in hand no more.
    assert_eq!(there.post(&format!("{sent}/add"), &json!({})).0, 404);
    // The same once more is there already; so is its job alone.
    for (n, bytes) in [(3, bytes), (4, zip(&here, &format!("/archive?job={job}")))] {
        let sent = format!("/archive/sent/{}", id(n));
        assert_eq!(put(&there, &sent, &bytes).0, 204);
        let (_, again) = there.post(&format!("{sent}/look"), &json!({}));
        assert_eq!(
            (again["added"].as_array().unwrap().len(), many(&again, "there", "job")),
            (0, 1)
        );
    }
}

#[test]
fn a_number_that_is_taken_is_exchanged_without_sending_it_again() {
    let (bench, _) = furnished();
    let bytes = zip(&bench.page(), "/archive");
    let other = Bench::new();
    let own = other.job();
    let there = other.page();
    let sent = format!("/archive/sent/{}", id(1));
    assert_eq!(put(&there, &sent, &bytes).0, 204);
    let (status, refused) = there.post(&format!("{sent}/look"), &json!({}));
    assert_eq!((status, code(&refused).as_str()), (409, "number_taken"));
    assert_eq!(there.post(&format!("{sent}/add"), &json!({})).0, 409);
    assert_eq!(there.post(&format!("{sent}/look?new_numbers=true"), &json!({})).0, 200);
    let (status, brought) = there.post(&format!("{sent}/add?new_numbers=true"), &json!({}));
    assert_eq!((status, &brought["renumbered"]), (200, &json!([{ "from": 1, "to": 2 }])));
    assert_eq!(there.get(&format!("/jobs/{own}")).1["number"], 1);
}

/// As if somebody had made it: each is refused whole, with a sentence, and nothing stays of it.
#[test]
fn hostile_archives_are_refused_whole() {
    let (bench, job) = furnished();
    let good = zip(&bench.page(), "/archive");
    let replaced = |from: &[u8], to: &[u8]| {
        assert_eq!(from.len(), to.len());
        let mut bytes = good.clone();
        let at: Vec<usize> = bytes
            .windows(from.len())
            .enumerate()
            .filter(|(_, window)| *window == from)
            .map(|(at, _)| at)
            .collect();
        assert!(!at.is_empty(), "{}", String::from_utf8_lossy(from));
        for at in at {
            bytes[at..at + to.len()].copy_from_slice(to);
        }
        bytes
    };
    let mut other_photo = good.clone();
    let photo = good.windows(4).position(|four| four == [0xff, 0xd8, 0xff, 0xe0]).unwrap();
    other_photo[photo + 100] ^= 1;
    for (what, bytes, said) in [
        ("no zip", b"owner,watch,in\nAda,alarm,1998-03-02\n".to_vec(), "it is not a zip file"),
        ("nothing", Vec::new(), "it is not a zip file"),
        ("cut short", good[..good.len() / 2].to_vec(), "cut short or damaged"),
        ("a path", replaced(b"data/watch-", b"../a/watch-"), "does not stand in its manifest"),
        ("a name", replaced(b"data/watch-", b"data/witch-"), "does not stand in its manifest"),
        ("another photo", other_photo, "copy it once more from where it came"),
    ] {
        let other = Bench::new();
        let there = other.page();
        let sent = format!("/archive/sent/{}", id(1));
        assert_eq!(put(&there, &sent, &bytes).0, 204, "{what}");
        for step in ["look", "add"] {
            let (status, refused) = there.post(&format!("{sent}/{step}"), &json!({}));
            let sentence = text(&refused["error"]["message"]);
            assert_eq!((status, code(&refused).as_str()), (422, "invalid"), "{what}: {sentence}");
            assert!(sentence.contains(said) && sentence.ends_with('.'), "{what}: {sentence}");
        }
        assert_eq!(there.get(&format!("/jobs/{job}")).0, 404, "{what}");
        assert_eq!((there.get("/jobs").1["total"].as_u64(), media(&other)), (Some(0), 0), "{what}");
        assert_eq!(there.get("/watches").1["total"], 0, "{what}");
    }
}

#[test]
fn what_is_left_is_in_hand_no_more() {
    let (bench, _) = furnished();
    let page = bench.page();
    let bytes = zip(&page, "/archive");
    for path in ["sent", "made"] {
        let at = format!("/archive/{path}/{}", id(1));
        assert!(put(&page, &at, &bytes).0 < 300);
        assert_eq!(page.get(&format!("/archive/hand/{}", id(1))).0, 200);
        assert_eq!(page.delete(&format!("/archive/hand/{}", id(1))).0, 204);
        assert_eq!(page.get(&format!("/archive/hand/{}", id(1))).0, 404);
        assert_eq!(page.post(&format!("/archive/sent/{}/add", id(1)), &json!({})).0, 404);
    }
    // Of more than four the first goes.
    for n in 1..=5 {
        assert_eq!(put(&page, &format!("/archive/sent/{}", id(n)), &bytes).0, 204);
    }
    let there = |n| page.get(&format!("/archive/hand/{}", id(n))).0;
    assert_eq!([1, 2, 3, 4, 5].map(there), [404, 200, 200, 200, 200]);
    assert_eq!(put(&page, "/archive/sent/mine", &bytes).0, 422, "no id");
}

/// Somebody else holds the database for a while: what is being added waits for it, tells so, and can
/// be stopped.
#[test]
fn what_is_being_added_is_stopped() {
    let (bench, job) = furnished();
    let bytes = zip(&bench.page(), "/archive");
    let other = Bench::new();
    let there = other.page();
    let sent = format!("/archive/sent/{}", id(1));
    assert_eq!(put(&there, &sent, &bytes).0, 204);
    let held = Holder::begin(&other.folder(), "IMMEDIATE");
    let adds = other.page();
    let (status, refused) = std::thread::scope(|scope| {
        let added = scope.spawn(|| adds.post(&format!("{sent}/add"), &json!({})));
        let mut tries = 0;
        let words = loop {
            let (_, progress) = there.get(&format!("/archive/hand/{}", id(1)));
            if progress["words"] == "adding it" && progress["share"].as_f64() >= Some(0.5) {
                break progress;
            }
            tries += 1;
            assert!(tries < 500, "{progress}");
            std::thread::sleep(Duration::from_millis(10));
        };
        assert_eq!(words["words"], "adding it");
        // One at a time.
        assert_eq!(there.post(&format!("{sent}/look"), &json!({})).0, 409);
        assert_eq!(there.delete(&format!("/archive/hand/{}", id(1))).0, 204);
        drop(held);
        added.join().unwrap()
    });
    assert_eq!((status, code(&refused).as_str()), (409, "not_now"), "{refused}");
    assert_eq!(text(&refused["error"]["message"]), "It was stopped: nothing was changed.");
    assert_eq!(there.get(&format!("/jobs/{job}")).0, 404);
    assert_eq!(there.get("/watches").1["total"], 0);
}
