//! Who does not get in.

use crate::bench::{Bench, Page, code, text};
use serde_json::{Value, json};
use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

/// A request as bytes, so that nothing is put right on its way. Gives the status line's number.
pub(crate) fn raw(port: u16, request: &str) -> (u16, String) {
    let mut stream = TcpStream::connect(("127.0.0.1", port)).unwrap();
    stream.write_all(request.as_bytes()).unwrap();
    let mut answer = Vec::new();
    stream.read_to_end(&mut answer).unwrap();
    let answer = String::from_utf8_lossy(&answer).into_owned();
    let status = answer.split(' ').nth(1).and_then(|n| n.parse().ok()).unwrap_or(0);
    (status, answer)
}

#[test]
fn a_name_that_was_pointed_here_opens_nothing() {
    let bench = Bench::new();
    let port = bench.port();
    let ask = |host: &str| {
        raw(
            port,
            &format!("GET /api/v1/jobs HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n"),
        )
        .0
    };
    assert_eq!(ask(&format!("localhost:{port}")), 200);
    assert_eq!(ask(&format!("127.0.0.1:{port}")), 200);
    for host in ["watch.example", &format!("watch.example:{port}"), "localhost:1", "0.0.0.0", ""] {
        assert_eq!(ask(host), 403, "{host}");
    }
}

/// A client that keeps its lines would send its next request into one that has closed, and hear nothing.
#[test]
fn whoever_is_refused_may_ask_again_over_the_same_line() {
    let bench = Bench::new();
    let port = bench.port();
    let host = format!("Host: localhost:{port}\r\n");
    let mut stream = TcpStream::connect(("127.0.0.1", port)).unwrap();
    let refused = format!(
        "POST /api/v1/jobs HTTP/1.1\r\n{host}Origin: http://elsewhere.example\r\n\
         Content-Type: application/json\r\nContent-Length: 2\r\n\r\n"
    );
    stream.write_all(refused.as_bytes()).unwrap();
    // What it holds comes late, as over a slow line.
    std::thread::sleep(Duration::from_millis(100));
    stream.write_all(b"{}").unwrap();
    let asked = format!("GET /api/v1/jobs HTTP/1.1\r\n{host}Connection: close\r\n\r\n");
    stream.write_all(asked.as_bytes()).unwrap();
    let mut answers = Vec::new();
    stream.read_to_end(&mut answers).unwrap();
    let answers = String::from_utf8_lossy(&answers).into_owned();
    let statuses: Vec<&str> =
        answers.split("HTTP/1.1 ").skip(1).filter_map(|answer| answer.get(..3)).collect();
    assert_eq!(statuses, ["403", "200"], "{answers}");
}

#[test]
fn a_page_from_elsewhere_changes_nothing_and_reads_nothing() {
    let bench = Bench::new();
    let port = bench.port();
    let ask = |first: &str, more: &str| {
        let request = format!(
            "{first} HTTP/1.1\r\nHost: localhost:{port}\r\n{more}Content-Type: text/plain\r\n\
             Content-Length: 15\r\nConnection: close\r\n\r\n{{\"name\":\"Evil\"}}"
        );
        raw(port, &request).0
    };
    for origin in ["http://watch.example", "null", &format!("https://localhost:{port}")] {
        assert_eq!(ask("POST /api/v1/owners", &format!("Origin: {origin}\r\n")), 403, "{origin}");
    }
    assert_eq!(ask("GET /api/v1/owners", "Sec-Fetch-Site: cross-site\r\n"), 403);
    assert_eq!(ask("GET /api/v1/owners", "Sec-Fetch-Site: same-site\r\n"), 403);
    // A form without an origin cannot say that it is JSON.
    assert_eq!(ask("POST /api/v1/owners", ""), 415);
    assert_eq!(bench.page().get("/owners").1["total"], 0);
}

#[test]
fn a_live_connection_from_elsewhere_is_refused() {
    let bench = Bench::new();
    let start = json!({
        "source": { "kind": "browser", "name": "microphone", "sample_rate_hz": 48_000.0, "channels": 1 },
        "settings": { "lift_angles_deg": [], "beats_per_hour": [], "balances": null }
    });
    let (status, started) = bench.page().post("/live", &start);
    assert_eq!(status, 201, "{started}");
    let port = bench.port();
    let upgrade = |origin: &str| {
        let request = format!(
            "GET /api/v1/live/{}/stream HTTP/1.1\r\nHost: localhost:{port}\r\nOrigin: {origin}\r\n\
             Upgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Version: 13\r\n\
             Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n\r\n",
            text(&started["id"])
        );
        let mut stream = TcpStream::connect(("127.0.0.1", port)).unwrap();
        stream.write_all(request.as_bytes()).unwrap();
        let mut first = [0; 12];
        stream.read_exact(&mut first).unwrap();
        String::from_utf8_lossy(&first).into_owned()
    };
    assert_eq!(upgrade("http://watch.example"), "HTTP/1.1 403");
    assert_eq!(upgrade(&format!("http://localhost:{port}")), "HTTP/1.1 101");
}

pub(crate) fn new_code(bench: &Bench) -> (String, String) {
    new_code_for(bench, "repairer")
}

fn new_code_for(bench: &Bench, role: &str) -> (String, String) {
    let (status, made) = bench.page().post("/join-codes", &json!({ "role": role }));
    assert_eq!(status, 201, "{made}");
    let url = text(&made["urls"][0]);
    let code = url.rsplit('/').next().unwrap().to_owned();
    assert!(text(&made["qr_svg"]).starts_with("<svg"));
    (url, code)
}

/// The cookie that came with an answer to a join.
fn join(phone: &Page, code: &str) -> Result<String, (u16, Value)> {
    join_as(phone, code, "phone")
}

pub(crate) fn join_as(phone: &Page, code: &str, name: &str) -> Result<String, (u16, Value)> {
    let body = json!({ "code": code, "name": name });
    let mut answer = phone.agent.post(phone.url("/join")).send_json(&body).unwrap();
    if answer.status() != 201 {
        let text = answer.body_mut().read_to_string().unwrap();
        return Err((answer.status().as_u16(), serde_json::from_str(&text).unwrap()));
    }
    let cookie = answer.headers()["set-cookie"].to_str().unwrap().to_owned();
    for wanted in ["HttpOnly", "Secure", "SameSite=Strict"] {
        assert!(cookie.contains(wanted), "{cookie}");
    }
    Ok(cookie.split(';').next().unwrap().to_owned())
}

#[test]
fn a_phone_joins_with_a_code_once_and_is_turned_out() {
    let bench = Bench::new();
    let (url, code_) = new_code(&bench);
    let mut phone = Page::phone(&url);
    assert!(phone.base.starts_with("https://"));
    let (status, refused) = phone.get("/jobs");
    assert_eq!((status, code(&refused).as_str()), (401, "not_joined"));
    assert_eq!(phone.get("/session").1["device"]["role"], Value::Null);
    // The page itself holds nobody's data.
    let page = phone.agent.get(format!("{}/", phone.base)).call().unwrap();
    assert_eq!(page.status(), 200);

    phone.cookie = Some(join(&phone, &code_).unwrap());
    assert_eq!(phone.get("/jobs").0, 200);
    let (_, session) = phone.get("/session");
    assert_eq!(
        (session["device"]["role"].as_str(), session["local"].as_bool()),
        (Some("repairer"), Some(false))
    );
    // Used once, it opens nothing any more.
    let (status, again) = join(&Page::phone(&url), &code_).unwrap_err();
    assert_eq!((status, code(&again).as_str()), (403, "wrong_code"));
    // Letting others in is for the bench alone.
    assert_eq!(phone.post("/join-codes", &json!({ "role": "repairer" })).0, 403);

    let (_, devices) = bench.page().get("/devices");
    assert_eq!(devices["devices"][0]["name"], "phone");
    let id = text(&devices["devices"][0]["id"]);
    assert_eq!(bench.page().delete(&format!("/devices/{id}")).0, 204);
    assert_eq!(phone.get("/jobs").0, 401);
    assert_eq!(bench.page().get("/devices").1["devices"], json!([]));
    phone.cookie = Some("endshake_device=guessed".into());
    assert_eq!(phone.get("/jobs").0, 401);
}

/// What each role may do, and that another one counts at once.
#[test]
fn who_may_look_changes_nothing_and_a_repairer_not_the_workshop() {
    let bench = Bench::new();
    let owner = bench.page();
    let job = json!({ "watch": { "new": { "description": "Pocket watch" } } });
    let (_, made) = owner.post("/jobs", &job);
    let there = format!("/jobs/{}", text(&made["id"]));
    let (url, code_) = new_code_for(&bench, "read_only");
    let mut phone = Page::phone(&url);
    phone.cookie = Some(join(&phone, &code_).unwrap());
    assert_eq!(phone.get("/session").1["device"]["role"], "read_only");
    let change = |notes: &str| json!({ "version": 1, "notes": notes });
    let (status, seen) = phone.get(&there);
    assert_eq!(status, 200);
    for answer in [
        phone.patch(&there, &change("changed by whoever may look")),
        phone.post("/jobs", &job),
        phone.delete(&there),
        phone.put("/settings", &owner.get("/settings").1),
        phone.post("/live", &json!({ "source": { "kind": "browser", "sample_rate_hz": 48000 } })),
    ] {
        assert_eq!((answer.0, code(&answer.1).as_str()), (403, "not_in_role"), "{}", answer.1);
    }
    assert_eq!(phone.get(&there).1, seen);
    // Sums change nothing.
    assert_ne!(phone.post("/reckon", &json!({ "parts": [] })).0, 403);

    let id = text(&owner.get("/devices").1["devices"][0]["id"]);
    let to = format!("/devices/{id}");
    let (status, device) = owner.patch(&to, &json!({ "role": "repairer" }));
    assert_eq!((status, device["role"].as_str()), (200, Some("repairer")));
    assert_eq!(phone.patch(&there, &change("changed by a repairer")).0, 200);
    let settings = owner.get("/settings").1;
    for answer in [
        phone.put("/settings", &settings),
        phone.delete("/bin"),
        phone.patch(&to, &json!({ "role": "owner" })),
    ] {
        assert_eq!((answer.0, code(&answer.1).as_str()), (403, "not_in_role"), "{}", answer.1);
    }
    // An owner's phone may do all that; letting others in is for the bench all the same.
    assert_eq!(owner.patch(&to, &json!({ "role": "owner" })).0, 200);
    assert_eq!(phone.put("/settings", &settings).0, 200);
    let (status, refused) = phone.post("/join-codes", &json!({ "role": "owner" }));
    assert_eq!((status, code(&refused).as_str()), (403, "bench_only"));
    // Nor do whole archives go out or come in over the network.
    let id = "0190f2f0-0000-7000-8000-000000000001";
    for answer in [
        phone.put(&format!("/archive/made/{id}"), &json!({})),
        phone.get(&format!("/archive/made/{id}")),
        phone.put(&format!("/archive/sent/{id}"), &json!({})),
        phone.post(&format!("/archive/sent/{id}/look"), &json!({})),
        phone.post(&format!("/archive/sent/{id}/add"), &json!({})),
        phone.get(&format!("/archive/hand/{id}")),
        phone.delete(&format!("/archive/hand/{id}")),
    ] {
        assert_eq!((answer.0, code(&answer.1).as_str()), (403, "bench_only"), "{}", answer.1);
    }
    assert_eq!(owner.patch(&to, &json!({ "role": "nobody" })).0, 422);
}

/// A bench of a workshop need not be the owner's.
#[test]
fn a_bench_has_a_name_and_a_role_of_its_own() {
    let window = server::Bench { name: "window".into(), role: store::Role::Repairer };
    let bench = Bench::called(window);
    let page = bench.page();
    let session = page.get("/session").1;
    assert_eq!(
        (session["device"]["name"].as_str(), session["device"]["role"].as_str()),
        (Some("window"), Some("repairer"))
    );
    assert_eq!(page.put("/settings", &page.get("/settings").1).0, 403);
    let (status, made) =
        page.post("/jobs", &json!({ "watch": { "new": { "description": "Pocket watch" } } }));
    assert_eq!(status, 201, "{made}");
    let history = page.get(&format!("/jobs/{}/history", text(&made["id"]))).1;
    assert_eq!(history["entries"][0]["device"], "window");
}

/// A phone that joined finds the door open when the program was started anew.
#[test]
fn who_joined_stays_joined_over_a_restart() {
    let bench = Bench::new();
    let (url, code) = new_code(&bench);
    let mut phone = Page::phone(&url);
    phone.cookie = Some(join(&phone, &code).unwrap());
    let bench = bench.restarted();
    let began = Instant::now();
    // It opens behind the start, as the page of the bench does not wait for it.
    while TcpStream::connect(("127.0.0.1", bench.network_port())).is_err() {
        assert!(began.elapsed() < Duration::from_secs(20), "the door stays shut");
        std::thread::sleep(Duration::from_millis(20));
    }
    assert_eq!(phone.get("/jobs").0, 200);
}

/// Whoever is turned out hears nothing more, not even through what is open already.
#[test]
fn who_is_turned_out_hears_nothing_more() {
    let bench = Bench::new();
    let (url, code) = new_code(&bench);
    let phone = Page::phone(&url);
    let cookie = join(&phone, &code).unwrap();
    let events = phone.agent.get(phone.url("/events")).header("cookie", &cookie).call().unwrap();
    assert_eq!(events.status(), 200);
    let id = text(&bench.page().get("/devices").1["devices"][0]["id"]);
    assert_eq!(bench.page().delete(&format!("/devices/{id}")).0, 204);
    let mut rest = String::new();
    // It ends by itself; else the client's own patience would end it with an error.
    events.into_body().into_reader().read_to_string(&mut rest).unwrap();
}

#[test]
fn codes_are_not_guessed() {
    let bench = Bench::new();
    let (url, right) = new_code(&bench);
    let phone = Page::phone(&url);
    for n in 0..10 {
        let (status, answer) = join(&phone, &format!("guess-{n}")).unwrap_err();
        assert_eq!((status, code(&answer).as_str()), (403, "wrong_code"));
    }
    let (status, answer) = join(&phone, "guess-10").unwrap_err();
    assert_eq!((status, code(&answer).as_str()), (429, "too_many_guesses"));
    // Whoever guesses holds up even the right one, for a minute.
    assert_eq!(join(&phone, &right).unwrap_err().0, 429);
}

/// Whatever is asked for by whatever path, nothing outside of what was built in comes back.
#[test]
fn tricks_with_paths_lead_nowhere() {
    let bench = Bench::new();
    let port = bench.port();
    for path in [
        "/../../../../etc/passwd",
        "/%2e%2e/%2e%2e/etc/passwd",
        "/assets/../../endshake.sqlite",
        "/assets/..%2f..%2fendshake.sqlite",
        "//etc/passwd",
        "/endshake.sqlite",
        "/network-key.pem",
        "/api/v1/media/../../../etc/passwd",
        "/api/v1/media/..%2f..%2f..%2fetc%2fpasswd",
        "/api/v1/media/%00",
        "/api/v1/readings/..%2f..%2fendshake.sqlite/sound",
        "/api/v2/jobs",
        "/api/v1/nothing",
    ] {
        let request =
            format!("GET {path} HTTP/1.1\r\nHost: localhost:{port}\r\nConnection: close\r\n\r\n");
        let (status, answer) = raw(port, &request);
        // A place within the page is the page; no file of this machine is ever.
        assert!(!answer.contains("root:") && !answer.contains("SQLite format"), "{path}");
        assert!(!answer.contains("PRIVATE KEY"), "{path}");
        assert!(
            status == 404 || status == 400 || answer.contains("<!doctype html>"),
            "{path} {status}"
        );
    }
}

#[test]
fn every_answer_says_what_a_page_may_do() {
    let bench = Bench::new();
    let page = bench.page();
    for url in [format!("{}/", page.base), page.url("/jobs"), page.url("/nothing")] {
        let answer = page.agent.get(&url).call().unwrap();
        let header = |name: &str| answer.headers()[name].to_str().unwrap().to_owned();
        assert!(header("content-security-policy").contains("default-src 'self'"), "{url}");
        assert!(header("content-security-policy").contains("frame-ancestors 'none'"), "{url}");
        assert_eq!(header("x-content-type-options"), "nosniff", "{url}");
        assert_eq!(header("cross-origin-resource-policy"), "same-origin", "{url}");
        assert!(!answer.headers().contains_key("access-control-allow-origin"), "{url}");
    }
}

/// Nor by whatever name something is sent, changed or removed: nothing appears beside the data, and
/// nothing is gone.
#[test]
fn tricks_with_names_and_ids_lead_nowhere() {
    let bench = Bench::new();
    let job = bench.job();
    let folder = bench.folder();
    std::fs::write(folder.join("precious"), "x").unwrap();
    let names = || {
        let mut names: Vec<String> = [&folder, folder.parent().unwrap()]
            .into_iter()
            .flat_map(|folder| std::fs::read_dir(folder).unwrap())
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .filter(|name| name.contains("evil") || name.contains("precious"))
            .collect();
        names.sort();
        names
    };
    let port = bench.port();
    let tricks = [
        "..%2f..%2fprecious",
        "../../precious",
        "%2e%2e%2fprecious",
        "precious%00.jpg",
        "..%5c..%5cprecious",
        "%252e%252e%252fprecious",
        "01890000-0000-7000-8000-000000000001%2f..%2f..%2fprecious",
        "file:%2f%2f%2fetc%2fpasswd",
    ];
    for id in tricks {
        for (first, body) in [
            (format!("DELETE /api/v1/photos/{id}"), ""),
            (format!("DELETE /api/v1/live/{id}"), ""),
            (format!("DELETE /api/v1/live/{id}/reading?keep=true"), ""),
            (format!("DELETE /api/v1/bin/photo/{id}"), ""),
            (format!("DELETE /api/v1/devices/{id}"), ""),
            (format!("PATCH /api/v1/photos/{id}"), r#"{"version":1,"caption":"x"}"#),
            (format!("POST /api/v1/jobs/{id}/parts"), r#"{"what":"x"}"#),
            (format!("POST /api/v1/readings/{id}/read-again"), r#"{"version":1}"#),
            (format!("GET /api/v1/media/{id}/small"), ""),
            (format!("GET /api/v1/readings/{id}/sound"), ""),
            (format!("GET /api/v1/readings/{id}/drift.svg"), ""),
        ] {
            let request = format!(
                "{first} HTTP/1.1\r\nHost: localhost:{port}\r\nContent-Type: application/json\r\n\
                 Content-Length: {}\r\nConnection: close\r\n\r\n{body}",
                body.len()
            );
            let (status, answer) = raw(port, &request);
            assert!((400..500).contains(&status), "{first}: {answer}");
            assert!(!answer.contains("root:"), "{first}");
        }
    }
    let photo = crate::uploads::png();
    for name in ["../../evil.jpg", "/tmp/evil.jpg", "..\\..\\evil", "evil\0.jpg", "a/../../evil"] {
        let mut form = format!(
            "--x\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"{name}\"\r\n\
             Content-Type: image/png\r\n\r\n"
        )
        .into_bytes();
        form.extend_from_slice(&photo);
        form.extend_from_slice(b"\r\n--x--\r\n");
        let url = bench.page().url(&format!("/jobs/{job}/photos"));
        let kind = "multipart/form-data; boundary=x";
        let answer = bench.page().agent.post(url).header("content-type", kind).send(&form[..]);
        let status = answer.unwrap().status().as_u16();
        // Kept under the name of what is in it, or not at all.
        assert!(status == 201 || status == 422, "{name:?}: {status}");
    }
    // A device may be asked for by any name; it is no file of this machine.
    let start = json!({
        "source": { "kind": "device", "name": "../../precious" },
        "settings": { "lift_angles_deg": [], "beats_per_hour": [], "balances": null }
    });
    assert_eq!(bench.page().post("/live", &start).0, 409);
    assert_eq!(names(), ["precious"]);
    assert_eq!(bench.ended_and_checked().faults, []);
}
