//! The built program as it serves, and whoever asks it.

use crate::bench::Bench;
use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use tungstenite::stream::MaybeTlsStream;
use tungstenite::{Message, WebSocket};
use ureq::Agent;
use ureq::unversioned::multipart::{Form, Part};

/// A program that serves, and the port that it named.
pub(crate) struct Served {
    child: Child,
    port: u16,
}

impl Served {
    pub(crate) fn start(bench: &Bench, arguments: &[&str]) -> Self {
        Self::from_command(bench.command(arguments))
    }

    pub(crate) fn from_command(mut command: Command) -> Self {
        command.stderr(Stdio::null());
        Self::from_command_that_tells(command)
    }

    /// Where its standard error goes is said already.
    pub(crate) fn from_command_that_tells(mut command: Command) -> Self {
        let mut child = command.stdout(Stdio::piped()).spawn().unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.as_mut().unwrap()).read_line(&mut line).unwrap();
        let port = line.trim().trim_end_matches('/').rsplit(':').next().unwrap().parse();
        Self { child, port: port.unwrap_or_else(|_| panic!("{line}")) }
    }

    pub(crate) fn port(&self) -> u16 {
        self.port
    }

    pub(crate) fn ask(&self, path: &str) -> String {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        let port = self.port;
        let request =
            format!("GET {path} HTTP/1.1\r\nHost: localhost:{port}\r\nConnection: close\r\n\r\n");
        stream.write_all(request.as_bytes()).unwrap();
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).unwrap();
        String::from_utf8_lossy(&answer).into_owned()
    }

    pub(crate) fn page(&self) -> Page {
        let agent = Agent::config_builder()
            .http_status_as_error(false)
            // A line on which something was refused while it was being sent is closed, and may be so just as the
            // next request goes into it.
            .max_idle_connections(0)
            .timeout_global(Some(Duration::from_secs(60)))
            .build()
            .into();
        Page { agent, port: self.port }
    }

    /// Most memory that the program ever had resident, MiB, where the system says (Linux: `VmHWM`,
    /// proc_pid_status(5)).
    pub(crate) fn most_memory_mib(&self) -> Option<f64> {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.id())).ok()?;
        let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
        let kib: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
        Some(kib / 1024.0)
    }

    /// Memory that the program has resident now, MiB (`VmRSS`, proc_pid_status(5)).
    #[cfg(target_os = "linux")]
    pub(crate) fn memory_mib(&self) -> f64 {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.id())).unwrap();
        let line = status.lines().find(|line| line.starts_with("VmRSS:")).unwrap();
        line.split_whitespace().nth(1).unwrap().parse::<f64>().unwrap() / 1024.0
    }

    /// Processor time that the program has used, s: the fields utime and stime of proc_pid_stat(5), in
    /// hundredths of a second on every usual kernel.
    #[cfg(target_os = "linux")]
    pub(crate) fn processor_s(&self) -> f64 {
        let stat = std::fs::read_to_string(format!("/proc/{}/stat", self.child.id())).unwrap();
        // Behind the name, which may hold anything.
        let fields: Vec<&str> = stat.rsplit_once(") ").unwrap().1.split(' ').collect();
        let ticks = |field: &str| field.parse::<f64>().unwrap();
        (ticks(fields[11]) + ticks(fields[12])) / 100.0
    }

    /// Ends it as Ctrl-C does; its exit status.
    pub(crate) fn end(self) -> Option<i32> {
        self.end_as("-INT")
    }

    /// Ends it with a signal that can be caught; its exit status.
    pub(crate) fn end_as(mut self, signal: &str) -> Option<i32> {
        let id = self.child.id().to_string();
        assert!(Command::new("kill").args([signal, &id]).status().unwrap().success());
        self.child.wait().unwrap().code()
    }

    /// SIGKILL, which no program can catch.
    pub(crate) fn kill(mut self) {
        assert!(self.child.try_wait().unwrap().is_none(), "it has ended by itself");
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }
}

/// A test that fails leaves no program behind.
impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Somebody at the bench who asks. Nothing comes back where the program is gone.
#[derive(Clone)]
pub(crate) struct Page {
    agent: Agent,
    port: u16,
}

type Answer = Option<(u16, Value)>;

fn answer(response: Result<ureq::http::Response<ureq::Body>, ureq::Error>) -> Answer {
    let mut response = response.ok()?;
    let bytes = response.body_mut().read_to_vec().ok()?;
    let text = || Value::String(String::from_utf8_lossy(&bytes).into_owned());
    let body = serde_json::from_slice(&bytes).unwrap_or_else(|_| text());
    Some((response.status().as_u16(), body))
}

impl Page {
    pub(crate) fn url(&self, path: &str) -> String {
        format!("http://localhost:{}/api/v1{path}", self.port)
    }

    pub(crate) fn get(&self, path: &str) -> Answer {
        answer(self.agent.get(self.url(path)).call())
    }

    pub(crate) fn post(&self, path: &str, body: &Value) -> Answer {
        answer(self.agent.post(self.url(path)).send_json(body))
    }

    pub(crate) fn patch(&self, path: &str, body: &Value) -> Answer {
        answer(self.agent.patch(self.url(path)).send_json(body))
    }

    /// Bytes as they are, said to be of this kind.
    pub(crate) fn post_bytes(&self, path: &str, headers: &[(&str, &str)], body: &[u8]) -> Answer {
        let mut request = self.agent.post(self.url(path));
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        answer(request.send(body))
    }

    pub(crate) fn send_photo(&self, job: &str, bytes: &[u8]) -> Answer {
        let part = Part::bytes(bytes).file_name("photo").mime_str("image/png").unwrap();
        let form = Form::new().part("photo", part);
        answer(self.agent.post(self.url(&format!("/jobs/{job}/photos"))).send(form))
    }

    /// A job with a watch of its own; gives its id.
    pub(crate) fn job(&self) -> Option<String> {
        let new = json!({ "watch": { "new": { "description": "two balances, steel" } } });
        let (status, job) = self.post("/jobs", &new)?;
        assert_eq!(status, 201, "{job}");
        Some(text(&job["id"]))
    }
}

pub(crate) fn text(value: &Value) -> String {
    value.as_str().unwrap_or_else(|| panic!("{value} is no text")).to_owned()
}

/// A browser that sends sound.
pub(crate) struct Live {
    page: Page,
    pub(crate) id: String,
    socket: WebSocket<MaybeTlsStream<TcpStream>>,
    sent: u64,
}

impl Live {
    /// `None` where the program is gone.
    pub(crate) fn start(page: &Page, rate_hz: f64) -> Option<Self> {
        let start = json!({
            "source": { "kind": "browser", "name": "microphone", "sample_rate_hz": rate_hz, "channels": 1 },
            "settings": { "lift_angles_deg": [52.0], "beats_per_hour": [], "balances": null }
        });
        let (status, started) = page.post("/live", &start)?;
        assert_eq!(status, 201, "{started}");
        let id = text(&started["id"]);
        let url = page.url(&format!("/live/{id}/stream")).replacen("http", "ws", 1);
        let (socket, _) = tungstenite::connect(url).ok()?;
        Some(Self { page: page.clone(), id, socket, sent: 0 })
    }

    /// Begins a reading.
    pub(crate) fn take(&self, wish: &Value) -> Option<()> {
        let (status, said) = self.page.post(&format!("/live/{}/reading", self.id), wish)?;
        assert_eq!(status, 202, "{said}");
        Some(())
    }

    /// Sends sound from where it was left.
    pub(crate) fn send(&mut self, samples: &[f32]) -> Option<()> {
        for block in samples.chunks(4_096) {
            let mut bytes = self.sent.to_le_bytes().to_vec();
            bytes.extend(block.iter().flat_map(|s| s.to_le_bytes()));
            self.socket.send(Message::Binary(bytes.into())).ok()?;
            self.sent += block.len() as u64;
        }
        Some(())
    }

    /// The next thing that the program says.
    pub(crate) fn frame(&mut self) -> Option<Value> {
        loop {
            match self.socket.read() {
                Ok(Message::Text(frame)) => return serde_json::from_str(&frame).ok(),
                Ok(Message::Close(_)) | Err(_) => return None,
                Ok(_) => {}
            }
        }
    }
}

/// Waits for what must come in the end.
pub(crate) fn until(what: &str, so: impl Fn() -> bool) {
    let began = Instant::now();
    while !so() {
        assert!(began.elapsed() < Duration::from_secs(120), "not within two minutes: {what}");
        std::thread::sleep(Duration::from_millis(20));
    }
}
