//! A watch heard live through a browser's microphone: simulated sound, sent as a page would.

use crate::bench::{Bench, Page, text};
use serde_json::{Value, json};
use std::net::TcpStream;
use std::path::Path;
use std::time::{Duration, Instant};
use truth::{Balance, Noise, Scenario, Sound, SteppingReference};
use tungstenite::stream::MaybeTlsStream;
use tungstenite::{Message, WebSocket};

pub(crate) const RATE_HZ: usize = 44_100;
const BLOCK: usize = 4_096;
const RATE_S_PER_D: f64 = 7.5;

/// A watch that truly gains 7.5 s/d, swings 275 degrees and has a beat error of 0.4 ms.
pub(crate) fn sound() -> Vec<f32> {
    let balance = Balance {
        rate_s_per_d: RATE_S_PER_D,
        amplitude_deg: 275.0,
        beat_error_ms: 0.4,
        ..Balance::default()
    };
    let scenario = Scenario {
        sample_rate_hz: RATE_HZ as u32,
        duration_s: 20.0,
        balances: vec![balance],
        noises: vec![Noise::White { rms_db: -65.0 }],
        ..Scenario::new(3)
    };
    Sound::new(&scenario).unwrap().rest()
}

pub(crate) struct Live {
    socket: WebSocket<MaybeTlsStream<TcpStream>>,
    pub(crate) id: String,
    sent: usize,
    /// Whether the test expects to be told of failures.
    pub(crate) may_fail: bool,
}

impl Live {
    pub(crate) fn start(bench: &Bench, page: &Page) -> Self {
        let start = json!({
            "source": { "kind": "browser", "name": "microphone", "sample_rate_hz": RATE_HZ as f64, "channels": 1 },
            "settings": { "lift_angles_deg": [52.0], "beats_per_hour": [], "balances": null }
        });
        Self::start_as(bench, page, &start)
    }

    pub(crate) fn start_as(bench: &Bench, page: &Page, start: &Value) -> Self {
        let (status, started) = page.post("/live", start);
        assert_eq!(status, 201, "{started}");
        let id = text(&started["id"]);
        let url = format!("ws://localhost:{}/api/v1/live/{id}/stream", bench.port());
        let (socket, _) = tungstenite::connect(url).unwrap();
        if let MaybeTlsStream::Plain(stream) = socket.get_ref() {
            stream.set_read_timeout(Some(Duration::from_millis(50))).unwrap();
        }
        Self { socket, id, sent: 0, may_fail: false }
    }

    /// Sends sound from where it was left, leaving `gap` frames out before it.
    pub(crate) fn send(&mut self, samples: &[f32], gap: usize) {
        self.sent += gap;
        for block in samples.chunks(BLOCK) {
            let mut bytes = (self.sent as u64).to_le_bytes().to_vec();
            bytes.extend(block.iter().flat_map(|s| s.to_le_bytes()));
            self.socket.send(Message::Binary(bytes.into())).unwrap();
            self.sent += block.len();
        }
    }

    /// Frames until one is as wanted.
    pub(crate) fn until(&mut self, wanted: impl Fn(&Value) -> bool) -> Value {
        let began = Instant::now();
        while began.elapsed() < Duration::from_secs(60) {
            match self.socket.read() {
                Ok(Message::Text(frame)) => {
                    let frame: Value = serde_json::from_str(&frame).unwrap();
                    if wanted(&frame) {
                        return frame;
                    }
                    assert!(self.may_fail || frame["type"] != "failed", "{frame}");
                }
                Ok(_) => {}
                Err(tungstenite::Error::Io(_)) => {}
                Err(error) => panic!("{error}"),
            }
        }
        panic!("nothing of the kind came");
    }
}

pub(crate) fn is(kind: &'static str) -> impl Fn(&Value) -> bool {
    move |frame| frame["type"] == kind
}

/// Value and uncertainty of a quantity of the first balance.
fn first(reading: &Value, what: &str) -> (f64, f64) {
    let value = &reading["balances"][0][what];
    (value["value"].as_f64().unwrap(), value["sd"].as_f64().unwrap())
}

#[test]
fn a_reading_is_heard_taken_kept_shown_and_read_again() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let samples = sound();
    let mut live = Live::start(&bench, &page);
    live.send(&samples[..6 * RATE_HZ], 0);
    let heard = live.until(|f| f["type"] == "reading" && !f["balances"][0].is_null());
    let balance = &heard["balances"][0];
    let rate = &balance["numbers"]["rate_s_per_d"];
    // Five deviations of what it claims after so short a time.
    let error = rate["value"].as_f64().unwrap() - RATE_S_PER_D;
    assert!(error.abs() < 5.0 * rate["sd"].as_f64().unwrap(), "{rate}");
    assert!(!balance["drift"]["time_s"].as_array().unwrap().is_empty());
    assert!(text(&heard["clock_words"]).contains("not calibrated"));

    let wish = json!({ "job_id": job, "position": "6H", "wind": "full", "seconds": 10.0, "note": "first" });
    assert_eq!(page.post(&format!("/live/{}/reading", live.id), &wish).0, 202);
    // One at a time.
    assert_eq!(page.post(&format!("/live/{}/reading", live.id), &wish).0, 409);
    let taking = live.until(|f| f["type"] == "state" && !f["taking"].is_null());
    assert_eq!(taking["taking"]["position"], "6H");
    live.send(&samples[6 * RATE_HZ..12 * RATE_HZ], 0);
    // A hole of 10 ms: whole beats after it come at their own time all the same.
    live.send(&samples[12 * RATE_HZ + 441..19 * RATE_HZ], 441);
    let kept = live.until(is("kept"));
    let at = format!("/readings/{}", text(&kept["reading_id"]));
    let (status, reading) = page.get(&at);
    assert_eq!(status, 200, "{reading}");
    assert_eq!(
        (reading["position"].as_str(), reading["wind"].as_str()),
        (Some("6H"), Some("full"))
    );
    assert_eq!(reading["lost_samples"], 441);
    assert_eq!(reading["duration_s"], 10.0);
    assert_eq!(text(&reading["sound_device"]), "microphone (bench)");
    let (rate, sd) = first(&reading, "rate_s_per_d");
    assert!((rate - RATE_S_PER_D).abs() < 5.0 * sd && sd < 1.0, "{rate} ± {sd}");
    let (amplitude, sd) = first(&reading, "amplitude_deg");
    assert!((amplitude - 275.0).abs() < 5.0 * sd.max(0.5), "{amplitude} ± {sd}");

    // Ten seconds are no course over the wind, and say so.
    let (status, over_wind) = page.get(&format!("{at}/over-wind?balance=A"));
    assert_eq!(status, 200, "{over_wind}");
    assert!(text(&over_wind["words"][0]).starts_with("Too little of it"), "{over_wind}");
    assert_eq!(over_wind["has_picture"], false);
    for (picture, holds) in [("/drift.svg?theme=dark", "<svg"), ("/beat.svg?balance=A", "<svg")] {
        let mut answer = page.agent.get(page.url(&format!("{at}{picture}"))).call().unwrap();
        assert_eq!(answer.status(), 200, "{picture}");
        assert_eq!(answer.headers()["content-type"], "image/svg+xml");
        assert!(answer.body_mut().read_to_string().unwrap().starts_with(holds));
    }
    assert_eq!(page.get(&format!("{at}/beat.svg?balance=Q")).0, 404);
    let mut answer = page.agent.get(page.url(&format!("{at}/sound"))).call().unwrap();
    assert!(answer.body_mut().read_to_vec().unwrap().starts_with(b"fLaC"));
    let part = page.agent.get(page.url(&format!("{at}/sound"))).header("range", "bytes=0-3");
    let mut part = part.call().unwrap();
    assert_eq!(part.status(), 206);
    assert_eq!(part.body_mut().read_to_vec().unwrap(), b"fLaC");

    // 2 sin(pi f dt) A = lift: the amplitude goes with the lift angle, to a part of its deviation,
    // for what is kept has whole steps where what was heard had none.
    let again = json!({ "version": 1, "lift_angles_deg": [48.0] });
    let (status, again) = page.post(&format!("{at}/read-again"), &again);
    assert_eq!(status, 200, "{again}");
    let (other, _) = first(&again, "amplitude_deg");
    assert!((other - amplitude * 48.0 / 52.0).abs() < sd, "{other} {amplitude} ± {sd}");
    assert_eq!(again["version"], 2);
    let (uncorrected, _) = first(&again, "rate_s_per_d");

    // A clock that is found later: a true sampling rate that is 20 ppm higher makes every interval
    // shorter, so the watch gains 20e-6 of a day more (docs/design/time.md).
    let wish = json!({ "version": 2, "with_clock_now": true });
    assert_eq!(page.post(&format!("{at}/read-again"), &wish).0, 422);
    let clock = json!({ "device": "microphone (bench)", "error_ppm": 20.0, "sd_ppm": 0.5, "found_by": "a test" });
    assert_eq!(page.post("/clocks", &clock).0, 200);
    let (status, again) = page.post(&format!("{at}/read-again"), &wish);
    assert_eq!(status, 200, "{again}");
    let (corrected, _) = first(&again, "rate_s_per_d");
    // The same samples: what is left is the product of two small numbers.
    assert!(
        (corrected - uncorrected - 20e-6 * 86_400.0).abs() < 0.001,
        "{corrected} {uncorrected}"
    );
    assert_eq!(again["settings"]["clock_calibrated"], true);
    assert_eq!(
        page.get(&format!("/jobs/{job}/readings")).1["readings"].as_array().unwrap().len(),
        1
    );
}

#[test]
fn a_reading_can_be_cancelled_and_ended_early() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let samples = sound();
    let mut live = Live::start(&bench, &page);
    let at = format!("/live/{}/reading", live.id);
    let wish = json!({ "job_id": job, "seconds": 600.0 });
    assert_eq!(page.delete(&at).0, 409);
    assert_eq!(page.post(&at, &wish).0, 202);
    live.send(&samples[..4 * RATE_HZ], 0);
    live.until(|f| {
        f["type"] == "state" && f["taking"]["elapsed_s"].as_f64().is_some_and(|s| s > 2.0)
    });
    assert_eq!(page.delete(&at).0, 204);
    live.until(|f| f["type"] == "state" && f["taking"].is_null());
    assert_eq!(page.get(&format!("/jobs/{job}/readings")).1["readings"], json!([]));
    let folder = bench.folder().join("readings-in-hand");
    let left = || std::fs::read_dir(&folder).unwrap().count();
    let began = Instant::now();
    while left() > 0 && began.elapsed() < Duration::from_secs(10) {
        std::thread::sleep(Duration::from_millis(20));
    }
    assert_eq!(left(), 0, "a cancelled reading leaves nothing");

    assert_eq!(page.post(&at, &wish).0, 202);
    live.send(&samples[4 * RATE_HZ..12 * RATE_HZ], 0);
    live.until(|f| {
        f["type"] == "state" && f["taking"]["elapsed_s"].as_f64().is_some_and(|s| s > 5.0)
    });
    assert_eq!(page.delete(&format!("{at}?keep=true")).0, 204);
    let kept = live.until(is("kept"));
    let (_, reading) = page.get(&format!("/readings/{}", text(&kept["reading_id"])));
    assert!(reading["duration_s"].as_f64().unwrap() > 5.0);
    assert_eq!(page.delete(&format!("/live/{}", live.id)).0, 204);
    live.until(is("ended"));
    assert_eq!(page.get("/live").1["live"], json!([]));
}

/// A recorder whose clock is 22 ppm slow, and a quartz movement that is right within 0.5 ppm: what
/// is found is the simulator's truth, and every later reading knows it.
#[test]
fn a_quartz_movement_on_the_pickup_gives_the_clock() {
    let bench = Bench::new();
    let page = bench.page();
    let scenario = Scenario {
        sample_rate_hz: RATE_HZ as u32,
        duration_s: 41.0,
        references: vec![SteppingReference::default()],
        noises: vec![Noise::White { rms_db: -70.0 }],
        clock_error_ppm: -22.0,
        ..Scenario::new(5)
    };
    let samples = Sound::new(&scenario).unwrap().rest();
    let mut live = Live::start(&bench, &page);
    let at = format!("/live/{}/quartz", live.id);
    assert_eq!(page.post(&at, &json!({ "seconds": 5.0 })).0, 422);
    let wish = json!({ "seconds": 40.0, "reference_error_ppm": 0.0, "reference_sd_ppm": 0.5 });
    assert_eq!(page.post(&at, &wish).0, 202);
    let listening = live.until(|f| f["type"] == "state" && !f["quartz"].is_null());
    assert_eq!(listening["quartz"]["seconds"], 40.0);
    for second in samples.chunks(RATE_HZ) {
        live.send(second, 0);
        std::thread::sleep(Duration::from_millis(5));
    }
    let kept = live.until(is("clock_kept"));
    let (error, sd) = (kept["error_ppm"].as_f64().unwrap(), kept["sd_ppm"].as_f64().unwrap());
    assert!((error + 22.0).abs() < 5.0 * sd && sd < 3.0, "{error} ± {sd}");
    assert_eq!(page.get("/clocks").1["clocks"][0]["device"], "microphone (bench)");
    live.until(|f| f["clock_words"].as_str().is_some_and(|w| w.contains("corrected for −2")));
    assert_eq!(std::fs::read_dir(bench.folder().join("readings-in-hand")).unwrap().count(), 0);
}

fn copy_all(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let target = to.join(entry.file_name());
        if entry.file_type().unwrap().is_dir() {
            copy_all(&entry.path(), &target);
        } else {
            std::fs::copy(entry.path(), target).unwrap();
        }
    }
}

/// What lies on the disk at a moment in the midst of a reading is what a killed program leaves.
#[test]
fn a_reading_that_was_cut_short_is_taken_in_at_the_next_start() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let samples = sound();
    let mut live = Live::start(&bench, &page);
    let wish = json!({ "job_id": job, "position": "CH", "wind": "half", "note": "long run" });
    assert_eq!(page.post(&format!("/live/{}/reading", live.id), &wish).0, 202);
    live.send(&samples[..15 * RATE_HZ], 0);
    live.until(|f| {
        f["type"] == "state" && f["taking"]["elapsed_s"].as_f64().is_some_and(|s| s > 14.0)
    });
    let left = tempfile::tempdir().unwrap();
    copy_all(&bench.folder(), left.path());
    let killed = Bench::after(|folder| copy_all(left.path(), folder));
    let page = killed.page();
    let began = Instant::now();
    let readings = loop {
        let (_, listed) = page.get(&format!("/jobs/{job}/readings"));
        let readings = listed["readings"].as_array().unwrap().clone();
        if !readings.is_empty() || began.elapsed() > Duration::from_secs(30) {
            break readings;
        }
        std::thread::sleep(Duration::from_millis(50));
    };
    assert_eq!(readings.len(), 1, "it was not taken in");
    assert_eq!(readings[0]["position"], "CH");
    assert_eq!(text(&readings[0]["note"]), "long run Cut short when the program ended.");
    let (rate, sd) = first(&readings[0], "rate_s_per_d");
    assert!((rate - RATE_S_PER_D).abs() < 5.0 * sd, "{rate} ± {sd}");
    // All but the last block or two of what was sent.
    assert!(readings[0]["duration_s"].as_f64().unwrap() > 13.0);

    // Killed once more between the keeping and the forgetting: it is not taken in twice.
    let again = killed.restarted_with(&left.path().join("readings-in-hand"));
    let in_hand = || std::fs::read_dir(again.folder().join("readings-in-hand")).unwrap().count();
    while in_hand() > 0 && began.elapsed() < Duration::from_secs(60) {
        std::thread::sleep(Duration::from_millis(50));
    }
    let (_, listed) = again.page().get(&format!("/jobs/{job}/readings"));
    assert_eq!(listed["readings"].as_array().unwrap().len(), 1, "{listed}");
}
