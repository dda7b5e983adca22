//! Papers of a job, as programs from outside read them: Poppler's `pdftotext` and `pdfinfo`, `qpdf`.

use crate::bench::{Bench, Page, bare_reading, code, text};
use crate::uploads::{png, send};
use image::{ImageFormat, RgbImage};
use quantities::{Measured, Position};
use serde_json::{Value, json};
use std::io::Cursor;
use std::process::Command;
use ureq::unversioned::multipart::{Form, Part};

/// A PDF as it came, with what was said of it.
struct Got {
    pdf: Vec<u8>,
    disposition: String,
    policy: String,
}

fn pdf(page: &Page, path: &str) -> Got {
    let mut answer = page.agent.get(page.url(path)).call().unwrap();
    let header = |name: &str| answer.headers()[name].to_str().unwrap().to_owned();
    assert_eq!(
        (answer.status().as_u16(), header("content-type").as_str()),
        (200, "application/pdf")
    );
    let (disposition, policy) = (header("content-disposition"), header("content-security-policy"));
    let pdf = answer.body_mut().read_to_vec().unwrap();
    assert!(pdf.starts_with(b"%PDF-"));
    Got { pdf, disposition, policy }
}

/// What a program says of a PDF.
fn told(pdf: &[u8], program: &str, before: &[&str], after: &[&str]) -> String {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("it.pdf");
    std::fs::write(&path, pdf).unwrap();
    let output = Command::new(program).args(before).arg(&path).args(after).output();
    let output = output.unwrap_or_else(|e| panic!("{program}: {e}; `./dev test` installs it"));
    assert!(output.status.success(), "{program}: {:?}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// Its words, with one space between them.
fn words(pdf: &[u8]) -> String {
    let text = told(pdf, "pdftotext", &["-layout"], &["-"]);
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn send_sign(page: &Page, bytes: &[u8]) -> (u16, Value) {
    let form = Form::new().part("sign", Part::bytes(bytes).file_name("sign.png"));
    let mut answer = page.agent.put(page.url("/settings/papers/sign")).send(form).unwrap();
    let text = answer.body_mut().read_to_string().unwrap();
    (answer.status().as_u16(), serde_json::from_str(&text).unwrap_or(Value::String(text)))
}

/// A picture with a see-through half, 2,400 pixels wide.
fn large_sign() -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    let image = image::RgbaImage::from_fn(2_400, 600, |x, _| {
        if x < 1_200 { image::Rgba([20, 60, 40, 255]) } else { image::Rgba([9, 9, 9, 0]) }
    });
    image.write_to(&mut bytes, ImageFormat::Png).unwrap();
    bytes.into_inner()
}

/// A workshop with a job of which much is known: its owner, what was found, an estimate, two photos
/// and readings before and after the hand was moved.
fn furnished(bench: &Bench) -> String {
    let page = bench.page();
    let head = json!({ "name": "Workshop of the Three Pigeons", "address": "Upper Mill 4\nTidewell", "paper": "a4" });
    assert_eq!(page.put("/settings/papers", &head).0, 200);
    let (_, owner) = page.post("/owners", &json!({ "name": "Jøran Říčný-Çelik" }));
    let watch = json!({ "description": "wrist watch, steel", "owner_id": owner["id"] });
    let (status, job) =
        page.post("/jobs", &json!({ "watch": { "new": watch }, "complaint": "stops at night" }));
    assert_eq!(status, 201, "{job}");
    let id = text(&job["id"]);
    let change = json!({
        "version": job["version"],
        "checklist": [{ "key": "crystal", "state": "damaged", "note": "a crack at 4" }],
        "estimate": {
            "currency": "EUR",
            "lines": [{ "what": "service", "amount_minor": 8_000 }, { "what": "gasket", "amount_minor": 1_250 }],
            "answer": "not_asked",
        },
    });
    let (status, changed) = page.patch(&format!("/jobs/{id}"), &change);
    assert_eq!(status, 200, "{changed}");
    for n in 0..2 {
        assert_eq!(send(&page, &id, &png(), &format!("{n}.png"), "image/png").0, 201);
    }
    let job: jobs::JobId = id.parse().unwrap();
    let reading = |at_ms: i64, position, rate| {
        let mut reading = bare_reading(job, jobs::Moment::from_ms(at_ms));
        reading.position = Some(position);
        reading.wind = "full".into();
        reading.balances = vec![jobs::BalanceReading {
            label: "A".into(),
            beats_per_hour: Some(28_800.0),
            rate_s_per_d: Some(Measured::new(rate, 0.3)),
            rate_sd_with_clock_s_per_d: Some(0.3),
            amplitude_deg: Some(Measured::new(280.0, 2.0)),
            beats_used: 480,
            beats_expected: 480,
            ..jobs::BalanceReading::default()
        }];
        reading
    };
    let now_ms = store::now().ms();
    bench.keep_readings(vec![
        reading(now_ms - 9_000_000, Position::CH, 40.0),
        reading(now_ms - 8_000_000, Position::H6, 20.0),
        reading(now_ms - 1_000_000, Position::CH, 6.0),
        reading(now_ms - 900_000, Position::H6, 2.0),
    ]);
    let at = jobs::Moment::from_ms(now_ms - 5_000_000).to_string();
    let moved = json!({ "balance": "A", "at": at, "by": "index", "amount": 0.5 });
    let (status, moved) = page.post(&format!("/jobs/{id}/adjustments"), &moved);
    assert_eq!(status, 201, "{moved}");
    id
}

#[test]
fn a_report_holds_what_is_kept_of_the_job() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), furnished(&bench));
    let got = pdf(&page, &format!("/jobs/{job}/papers/report.pdf"));
    let words = words(&got.pdf);
    // Before: +40 and +20 make 30 on average; now +6 and +2 make 4.
    for expected in [
        "Workshop of the Three Pigeons",
        "Tidewell",
        "Service report",
        "Jøran Říčný-Çelik",
        "stops at night",
        "a crack at 4",
        "gained about 30 seconds a day on average over 2 positions (+20 to +40) when it came in",
        "It gains about 4.0 seconds a day on average over 2 positions (+2.0 to +6.0) now.",
        "index 0.5° towards +",
        "Page 1 of",
    ] {
        assert!(words.contains(expected), "{expected:?} is not in\n{words}");
    }
    assert!(got.disposition.contains("filename=\"Service report, job 1, wrist watch, steel.pdf\""));
    assert!(got.policy.contains("default-src 'none'"), "{}", got.policy);
    // ISO 19005-2, 6.6.4: how a file says which part and level it keeps to.
    let said = told(&got.pdf, "pdfinfo", &["-meta"], &[]);
    assert!(said.contains("<pdfaid:part>2</pdfaid:part>"), "{said}");
    assert!(said.contains("<pdfaid:conformance>A</pdfaid:conformance>"), "{said}");
    assert!(told(&got.pdf, "pdfinfo", &[], &[]).contains("Tagged:          yes"));
    told(&got.pdf, "qpdf", &["--check"], &[]);
    let images = told(&got.pdf, "pdfimages", &["-list"], &[]);
    assert_eq!(images.lines().filter(|line| line.contains("jpeg")).count(), 2, "{images}");
}

#[test]
fn a_photo_of_a_final_test_stands_with_the_test() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), furnished(&bench));
    let (_, listed) = page.get(&format!("/jobs/{job}/photos"));
    let fields =
        json!({ "photos": [listed["photos"][1]["id"]], "done": "2026-02-12T12:00:00.000Z" });
    let test = json!({ "kind": "look", "fields": fields });
    let (status, kept) = page.post(&format!("/jobs/{job}/tests"), &test);
    assert_eq!(status, 201, "{kept}");
    let words = words(&pdf(&page, &format!("/jobs/{job}/papers/report.pdf?colleague=false")).pdf);
    let (before, tests) = words.split_once("What it was put through").unwrap();
    assert!(!before.contains("A look all over"), "{before}");
    assert!(tests.contains("A look all over, 12 February 2026"), "{tests}");
}

#[test]
fn what_is_wished_is_what_is_printed() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), furnished(&bench));
    let at = |wish: &str| format!("/jobs/{job}/papers/report.pdf?{wish}");
    let without = pdf(&page, &at("colleague=false&photos=none&paper=letter"));
    let text = words(&without.pdf);
    assert!(!text.contains("For the colleague"), "{text}");
    // ANSI/ASME Y14.1: 8.5 by 11 inches, in points of 1/72 inch.
    assert!(told(&without.pdf, "pdfinfo", &[], &[]).contains("612 x 792 pts"));
    let images = told(&without.pdf, "pdfimages", &["-list"], &[]);
    assert!(!images.contains("jpeg"), "{images}");
    let (_, listed) = page.get(&format!("/jobs/{job}/photos"));
    let one =
        pdf(&page, &at(&format!("photos={}", crate::bench::text(&listed["photos"][0]["id"]))));
    let images = told(&one.pdf, "pdfimages", &["-list"], &[]);
    assert_eq!(images.lines().filter(|line| line.contains("jpeg")).count(), 1, "{images}");
    for (path, status, why) in [
        ("report.pdf?photos=no-id".to_owned(), 404, "not_found"),
        ("report.pdf?paper=a3".to_owned(), 422, "invalid"),
        ("report".to_owned(), 404, "not_found"),
        ("invoice.pdf".to_owned(), 404, "not_found"),
    ] {
        let (got, answer) = page.get(&format!("/jobs/{job}/papers/{path}"));
        assert_eq!((got, code(&answer).as_str()), (status, why), "{path}");
    }
    let (status, _) = page.get("/jobs/01890000-0000-7000-8000-000000000001/papers");
    assert_eq!(status, 404);
}

#[test]
fn receipt_and_estimate_have_their_own() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), furnished(&bench));
    let receipt = words(&pdf(&page, &format!("/jobs/{job}/papers/receipt.pdf")).pdf);
    for expected in ["Receipt", "a crack at 4", "The watch described here was received for repair."]
    {
        assert!(receipt.contains(expected), "{expected:?} is not in\n{receipt}");
    }
    // 80.00 and 12.50 make 92.50.
    let estimate = words(&pdf(&page, &format!("/jobs/{job}/papers/estimate.pdf")).pdf);
    for expected in ["Estimate", "92.50 EUR", "Yes, please do the work"] {
        assert!(estimate.contains(expected), "{expected:?} is not in\n{estimate}");
    }
}

#[test]
fn what_is_missing_and_what_is_not_shown_is_told_before() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let (status, listed) = page.get(&format!("/jobs/{job}/papers"));
    assert_eq!(status, 200, "{listed}");
    let kinds: Vec<&Value> =
        listed["papers"].as_array().unwrap().iter().map(|p| &p["kind"]).collect();
    assert_eq!(kinds, ["receipt", "estimate", "report"]);
    let missing = |of: usize| listed["papers"][of]["missing"].to_string();
    assert!(
        missing(0).contains("no name yet") && missing(0).contains("no owner"),
        "{}",
        missing(0)
    );
    assert!(missing(1).contains("Nothing is estimated yet."), "{}", missing(1));
    assert!(missing(2).contains("No reading was kept"), "{}", missing(2));
    assert_eq!(listed["papers"][1]["photos"], Value::Null);
    // No font has a letter of the private use area (Unicode, chapter 23.5).
    let head = json!({ "name": "Mill \u{F8F0}", "address": "", "paper": "letter" });
    assert_eq!(page.put("/settings/papers", &head).0, 200);
    bench.fill(&job, 1);
    let (status, check) = page.get(&format!("/jobs/{job}/papers/report/check"));
    assert_eq!(status, 200, "{check}");
    assert!(check["pages"].as_u64().unwrap() >= 1 && check["bytes"].as_u64().unwrap() > 1_000);
    let warnings = check["warnings"].to_string();
    assert!(warnings.contains("No font of this machine has \u{F8F0}"), "{warnings}");
    assert!(warnings.contains("could not be read"), "{warnings}");
    let (_, idle) = page.get(&format!("/jobs/{job}/papers/report/progress"));
    assert_eq!(idle, json!({ "words": null, "share": null }));
    let (status, _) = page.get(&format!("/jobs/{job}/papers/report.pdf/progress"));
    assert_eq!(status, 404);
}

#[test]
fn a_sign_is_decoded_written_anew_and_kept() {
    let bench = Bench::new();
    let page = bench.page();
    let script: &[u8] =
        b"<svg xmlns=\"http://www.w3.org/2000/svg\"><script>alert(1)</script></svg>";
    for bytes in [script, b"", b"\x89PNG\r\n\x1a\n and no more"] {
        let (status, answer) = send_sign(&page, bytes);
        assert_eq!((status, code(&answer).as_str()), (415, "not_a_photo"));
    }
    assert_eq!(page.get("/settings/papers/sign").0, 404);
    let (status, head) = send_sign(&page, &large_sign());
    assert_eq!(status, 200, "{head}");
    assert!(head["sign"].is_string(), "{head}");
    let mut answer = page.agent.get(page.url("/settings/papers/sign")).call().unwrap();
    assert_eq!(answer.headers()["content-type"], "image/png");
    let policy = answer.headers()["content-security-policy"].to_str().unwrap().to_owned();
    assert!(policy.contains("sandbox"), "{policy}");
    let kept: RgbImage =
        image::load_from_memory(&answer.body_mut().read_to_vec().unwrap()).unwrap().to_rgb8();
    // 45 mm at 600 dots an inch are 1,063; see-through places are white, as on paper.
    assert_eq!(kept.dimensions(), (1_063, 265));
    assert_eq!((kept.get_pixel(10, 10).0, kept.get_pixel(1_050, 10).0), ([20, 60, 40], [255; 3]));
    let preview = pdf(&page, "/settings/papers/preview.pdf");
    let images = told(&preview.pdf, "pdfimages", &["-list"], &[]);
    assert!(images.contains("1063"), "{images}");
    // Nothing of it is left over, nor missing.
    let job = bench.job();
    assert_eq!(pdf(&page, &format!("/jobs/{job}/papers/receipt.pdf")).pdf[..5], *b"%PDF-");
    let checked = bench.ended_and_checked();
    assert_eq!((checked.faults, checked.media), (Vec::new(), 1));
}

#[test]
fn the_head_of_papers_is_kept_within_bounds() {
    let bench = Bench::new();
    let page = bench.page();
    let (_, usual) = page.get("/settings/papers");
    assert_eq!(usual, json!({ "name": "", "address": "", "paper": "a4", "sign": null }));
    let head =
        |name: &str, address: &str| json!({ "name": name, "address": address, "paper": "letter" });
    let (status, kept) =
        page.put("/settings/papers", &head(" Three Pigeons ", "Mill 4 \nTidewell\n"));
    assert_eq!(status, 200, "{kept}");
    assert_eq!(
        (&kept["name"], &kept["address"]),
        (&json!("Three Pigeons"), &json!("Mill 4\nTidewell"))
    );
    for wrong in
        [head(&"x".repeat(301), ""), head("", &"x\n".repeat(9)), head("", &"y".repeat(301))]
    {
        assert_eq!(page.put("/settings/papers", &wrong).0, 422);
    }
    assert_eq!(page.get("/settings/papers").1["name"], "Three Pigeons");
}

/// Whoever hangs up leaves the way free for the next.
#[test]
fn who_hangs_up_is_not_waited_for() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), furnished(&bench));
    let hurried: ureq::Agent = ureq::Agent::config_builder()
        .timeout_global(Some(std::time::Duration::from_millis(5)))
        .build()
        .into();
    for _ in 0..8 {
        let _ = hurried.get(page.url(&format!("/jobs/{job}/papers/report.pdf"))).call();
    }
    let (status, _) = page.get(&format!("/jobs/{job}/papers/report/check"));
    assert_eq!(status, 200);
    assert_eq!(page.get(&format!("/jobs/{job}/papers/report/progress")).1["words"], Value::Null);
}
