//! Whatever a text holds, it is text: it comes back as it was, as JSON that no browser takes for a
//! page.

use crate::bench::{Bench, Page, text};
use crate::listening::{Live, RATE_HZ, is};
use crate::strangers::{join_as, new_code};
use crate::uploads::{png, send};
use serde_json::{Value, json};

const SCRIPT: &str = "</script><script>alert(1)</script><img src=x onerror=alert(1)>";

/// Everything that takes a text is given one; gives the paths that say it again.
fn enter_everywhere(bench: &Bench, page: &Page) -> Vec<String> {
    let new = json!({
        "watch": { "new": { "owner": { "name": SCRIPT, "contact": SCRIPT, "notes": SCRIPT },
            "description": SCRIPT, "calibre": SCRIPT, "serial_numbers": SCRIPT, "notes": SCRIPT } },
        "complaint": SCRIPT
    });
    let (status, job) = page.post("/jobs", &new);
    assert_eq!(status, 201, "{job}");
    let (id, watch) = (text(&job["id"]), text(&job["watch"]["id"]));
    let at = format!("/jobs/{id}");
    let change = json!({ "version": 1, "notes": SCRIPT,
        "checklist": [{ "key": "dial", "state": "good", "note": SCRIPT }],
        "estimate": { "currency": "EUR", "answer": "not_asked", "lines": [{ "what": SCRIPT, "amount_minor": 1 }] } });
    assert_eq!(page.patch(&at, &change).0, 200);
    let part = json!({ "what": SCRIPT, "supplier": SCRIPT });
    assert_eq!(page.post(&format!("{at}/parts"), &part).0, 201);

    let (status, photo) = send(page, &id, &png(), SCRIPT, "image/png");
    assert_eq!(status, 201, "{photo}");
    let photo = format!("/photos/{}", text(&photo["id"]));
    assert_eq!(page.patch(&photo, &json!({ "version": 1, "caption": SCRIPT })).0, 200);

    let start = json!({
        "source": { "kind": "browser", "name": SCRIPT, "sample_rate_hz": RATE_HZ as f64, "channels": 1 },
        "settings": { "lift_angles_deg": [], "beats_per_hour": [], "balances": null }
    });
    let mut live = Live::start_as(bench, page, &start);
    let wish = json!({ "job_id": id, "wind": SCRIPT, "note": SCRIPT, "seconds": 2.0 });
    let (status, said) = page.post(&format!("/live/{}/reading", live.id), &wish);
    assert_eq!(status, 202, "{said}");
    live.send(&vec![0.0; 3 * RATE_HZ], 0);
    let reading = format!("/readings/{}", text(&live.until(is("kept"))["reading_id"]));

    let clock = json!({ "device": SCRIPT, "error_ppm": 1.0, "sd_ppm": 1.0, "found_by": SCRIPT });
    assert_eq!(page.post("/clocks", &clock).0, 200);
    let (url, code) = new_code(bench);
    join_as(&Page::phone(&url), &code, SCRIPT).unwrap();

    let of_the_job =
        ["", "/parts", "/photos", "/readings", "/history"].map(|more| format!("{at}{more}"));
    let others =
        ["/jobs", "/owners", "/watches", "/search?q=alert", "/clocks", "/devices", "/live"];
    let others = others.map(str::to_owned).into_iter().chain([
        format!("/watches/{watch}"),
        format!("/watches/{watch}/jobs"),
        photo,
        reading,
    ]);
    of_the_job.into_iter().chain(others).collect()
}

/// How many texts within say it.
fn texts_with_script(value: &Value) -> usize {
    match value {
        Value::String(text) => usize::from(text.contains("<script>alert(1)</script>")),
        Value::Array(all) => all.iter().map(texts_with_script).sum(),
        Value::Object(all) => all.values().map(texts_with_script).sum(),
        _ => 0,
    }
}

#[test]
fn script_in_every_text_stays_text() {
    let bench = Bench::new();
    let page = bench.page();
    for path in enter_everywhere(&bench, &page) {
        let mut answer = page.agent.get(page.url(&path)).call().unwrap();
        assert_eq!(answer.status(), 200, "{path}");
        let header = |name: &str| answer.headers()[name].to_str().unwrap().to_owned();
        assert_eq!(header("content-type"), "application/json", "{path}");
        assert_eq!(header("x-content-type-options"), "nosniff", "{path}");
        let policy = header("content-security-policy");
        let scripts = policy.split(';').any(|rule| rule.trim().starts_with("script-src"));
        assert!(policy.contains("default-src 'self'") && !scripts, "{path}: {policy}");
        let body: Value = answer.body_mut().read_json().unwrap();
        assert!(texts_with_script(&body) > 0, "{path} does not hold what was entered: {body}");
    }
}

/// What cannot be done is told in words of ours; what was sent may stand in them, as text.
#[test]
fn script_in_what_is_refused_stays_text() {
    let bench = Bench::new();
    let page = bench.page();
    let sent = json!({ "name": "Ada", SCRIPT: 1 });
    let mut answer = page.agent.post(page.url("/owners")).send_json(&sent).unwrap();
    assert_eq!(answer.status(), 422);
    assert_eq!(answer.headers()["content-type"], "application/json");
    assert_eq!(answer.headers()["x-content-type-options"], "nosniff");
    let _: Value = answer.body_mut().read_json().unwrap();
    for path in
        ["/search?q=%3Cscript%3Ealert(1)%3C/script%3E", "/jobs/%3Cscript%3E", "/%3Cscript%3E"]
    {
        let answer = page.agent.get(page.url(path)).call().unwrap();
        assert_eq!(answer.headers()["content-type"], "application/json", "{path}");
        assert_eq!(answer.headers()["x-content-type-options"], "nosniff", "{path}");
    }
}
