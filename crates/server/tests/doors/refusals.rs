//! What cannot be read is refused with a code and a sentence, whatever is wrong with it.

use crate::bench::{Bench, code, text};
use serde_json::{Value, json};

#[test]
fn whatever_cannot_be_read_is_told_as_a_problem() {
    let bench = Bench::new();
    let page = bench.page();
    let at = format!("/jobs/{}", bench.job());
    let photos = page.url(&format!("{at}/photos"));
    let owners = page.url("/owners");
    let send = |url: &str, kind: &str, body: &[u8]| {
        let sent = page.agent.post(url).header("content-type", kind).send(body);
        let mut answer = sent.unwrap();
        let text = answer.body_mut().read_to_string().unwrap();
        let body: Value = serde_json::from_str(&text).unwrap_or_else(|_| panic!("no JSON: {text}"));
        (answer.status().as_u16(), code(&body), crate::bench::text(&body["error"]["message"]))
    };
    let large = format!(r#"{{"name":"{}"}}"#, "x".repeat(1 << 20));
    let json = "application/json";
    for (url, kind, body, status, expected) in [
        (&owners, json, &b"{\"name\":\"Ada\",\"shoe_size\":9}"[..], 422, "invalid"),
        (&owners, json, b"{\"name\":9}", 422, "invalid"),
        (&owners, json, b"{\"name\":", 422, "invalid"),
        (&owners, json, b"", 422, "invalid"),
        (&owners, "text/plain", b"{\"name\":\"Ada\"}", 415, "not_json"),
        (&owners, json, large.as_bytes(), 413, "too_large"),
        (&photos, json, b"{}", 422, "invalid"),
        (&photos, "multipart/form-data", b"", 422, "invalid"),
        (&photos, "multipart/form-data; boundary=b", b"--b\r\nbroken", 422, "invalid"),
    ] {
        let (was, code, message) = send(url, kind, body);
        assert_eq!((was, code.as_str()), (status, expected), "{kind} {message}");
        assert!(message.ends_with('.') && message.len() > 20, "{message}");
    }
    for (path, status) in [
        ("/jobs?page=many", 422),
        ("/jobs?stage=lunch", 422),
        ("/search", 422),
        ("/jobs/%ff", 404),
        ("/jobs/no-such", 404),
    ] {
        let (was, answer) = page.get(path);
        assert_eq!(was, status, "{path} {answer}");
        assert!(!code(&answer).is_empty(), "{path}");
    }
    assert_eq!(page.get("/owners").1["total"], 0);
}

#[test]
fn a_clock_beyond_what_a_clock_can_be_is_refused() {
    let bench = Bench::new();
    let page = bench.page();
    let clock = |error_ppm: f64, sd_ppm: f64| {
        let found = json!({ "device": "pickup", "error_ppm": error_ppm, "sd_ppm": sd_ppm,
            "found_by": "a quartz watch" });
        page.post("/clocks", &found)
    };
    for (error_ppm, sd_ppm) in [(5e6, 1.0), (1.0, 1e300), (1.0, -1.0)] {
        let (status, answer) = clock(error_ppm, sd_ppm);
        assert_eq!((status, code(&answer).as_str()), (422, "invalid"), "{answer}");
    }
    assert_eq!(page.get("/clocks").1["clocks"], json!([]));
    assert_eq!(clock(-12.5, 0.5).0, 200);
}

/// What is left out stays; what is there and null empties.
#[test]
fn a_cost_can_be_emptied() {
    let bench = Bench::new();
    let page = bench.page();
    let new = json!({ "what": "crown", "cost_minor": 900, "currency": "SEK" });
    let part = page.post(&format!("/jobs/{}/parts", bench.job()), &new).1;
    let at = format!("/parts/{}", text(&part["id"]));
    let change = |body: Value| {
        let (status, part) = page.patch(&at, &body);
        assert_eq!(status, 200, "{part}");
        (part["cost_minor"].clone(), part["currency"].clone())
    };
    assert_eq!(change(json!({ "version": 1, "what": "stem" })), (json!(900), json!("SEK")));
    assert_eq!(change(json!({ "version": 2, "cost_minor": 950 })), (json!(950), json!("SEK")));
    assert_eq!(change(json!({ "version": 3, "cost_minor": null })), (Value::Null, Value::Null));
    assert_eq!(change(json!({ "version": 4, "cost_minor": 5 })), (json!(5), json!("EUR")));
    assert_eq!(change(json!({ "version": 5, "currency": "SEK" })), (json!(5), json!("SEK")));
    assert_eq!(change(json!({ "version": 6, "currency": null })), (json!(5), json!("EUR")));
}
