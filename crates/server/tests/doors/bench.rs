//! A program that serves an empty workshop, and whoever asks it.

use serde_json::{Value, json};
use server::{Options, Serving, StartFailure};
use std::path::{Path, PathBuf};
use std::time::Duration;
use store::{Places, Store};
use tempfile::TempDir;
use tokio::runtime::Runtime;
use ureq::tls::TlsConfig;
use ureq::{Agent, RequestBuilder};

pub(crate) struct Bench {
    runtime: Runtime,
    serving: Option<Serving>,
    folder: PathBuf,
    /// The folder, where it goes with the bench.
    own: Option<TempDir>,
    network_port: u16,
}

impl Bench {
    pub(crate) fn new() -> Self {
        Self::after(|_| {})
    }

    /// Opens it once `before` has put something into its folder.
    pub(crate) fn after(before: impl FnOnce(&Path)) -> Self {
        let own = tempfile::tempdir().unwrap();
        before(own.path());
        let folder = own.path().to_owned();
        Self::open(&Places::in_folder(&folder), folder, Some(own), free_port())
    }

    /// In a folder that stays, and soon out of patience with others who hold the database.
    pub(crate) fn at(folder: &Path) -> Self {
        let patience = Duration::from_millis(300);
        let places = Places { patience, ..Places::in_folder(folder) };
        Self::open(&places, folder.to_owned(), None, free_port())
    }

    /// With a name and a role of its own.
    pub(crate) fn called(bench: server::Bench) -> Self {
        let own = tempfile::tempdir().unwrap();
        let folder = own.path().to_owned();
        let options = Options { bench, ..options(folder.clone(), free_port()) };
        Self::open_with(&Places::in_folder(&folder), Some(own), options)
    }

    /// With its database elsewhere.
    pub(crate) fn with(places: &Places, folder: &Path) -> Self {
        Self::open(places, folder.to_owned(), None, free_port())
    }

    /// Ends it as it stands.
    pub(crate) fn ended(mut self) {
        let serving = self.serving.take().unwrap();
        self.runtime.block_on(serving.end());
    }

    fn open(places: &Places, folder: PathBuf, own: Option<TempDir>, network_port: u16) -> Self {
        Self::open_with(places, own, options(folder, network_port))
    }

    fn open_with(places: &Places, own: Option<TempDir>, options: Options) -> Self {
        let runtime = Runtime::new().unwrap();
        let store = runtime.block_on(Store::open(places)).unwrap();
        let (folder, network_port) = (options.folder.clone(), options.network_port);
        let serving = runtime.block_on(server::serve(store, options)).unwrap();
        Self { runtime, serving: Some(serving), folder, own, network_port }
    }

    /// The same data served by a program that was started anew.
    pub(crate) fn restarted(self) -> Self {
        self.restarted_after(|_| {})
    }

    /// The same, with these files among the readings in hand.
    pub(crate) fn restarted_with(self, in_hand: &Path) -> Self {
        self.restarted_after(|folder| {
            for entry in std::fs::read_dir(in_hand).unwrap() {
                let entry = entry.unwrap();
                let to = folder.join("readings-in-hand").join(entry.file_name());
                std::fs::copy(entry.path(), to).unwrap();
            }
        })
    }

    fn restarted_after(mut self, between: impl FnOnce(&Path)) -> Self {
        let serving = self.serving.take().unwrap();
        self.runtime.block_on(serving.end());
        between(&self.folder);
        let (folder, own) = (self.folder.clone(), self.own.take());
        Self::open(&Places::in_folder(&folder), folder, own, self.network_port)
    }

    /// Ends it, and looks whether all that was kept is there and as it was.
    pub(crate) fn ended_and_checked(mut self) -> store::Checked {
        let serving = self.serving.take().unwrap();
        self.runtime.block_on(async {
            serving.end().await;
            let store = Store::open(&Places::in_folder(&self.folder)).await.unwrap();
            let checked = store::check(&store, false, &mut |_| true).await.unwrap().unwrap();
            store.close().await;
            checked
        })
    }

    /// What a second program says that shall serve the same folder.
    pub(crate) fn served_twice(&self) -> Option<StartFailure> {
        self.runtime.block_on(async {
            let store = Store::open(&Places::in_folder(&self.folder)).await.unwrap();
            let folder = self.folder();
            server::serve(store, options(folder, 0)).await.err()
        })
    }

    pub(crate) fn folder(&self) -> PathBuf {
        self.folder.clone()
    }

    pub(crate) fn network_port(&self) -> u16 {
        self.network_port
    }

    pub(crate) fn port(&self) -> u16 {
        self.serving.as_ref().unwrap().address().port()
    }

    /// The bench's own page.
    pub(crate) fn page(&self) -> Page {
        Page { agent: agent(), base: format!("http://localhost:{}", self.port()), cookie: None }
    }

    /// A job with a watch of its own; gives its id.
    pub(crate) fn job(&self) -> String {
        let new = json!({ "watch": { "new": { "description": "two balances, steel" } } });
        let (status, job) = self.page().post("/jobs", &new);
        assert_eq!(status, 201, "{job}");
        text(&job["id"])
    }
}

/// One that is free now, and hardly taken until it is used.
fn free_port() -> u16 {
    std::net::TcpListener::bind(("0.0.0.0", 0)).unwrap().local_addr().unwrap().port()
}

impl Bench {
    /// So many parts, photos and readings each for a job, as another program would keep them.
    pub(crate) fn fill(&self, job: &str, many: usize) {
        self.runtime.block_on(async {
            let store = Store::open(&Places::in_folder(&self.folder)).await.unwrap();
            let job: jobs::JobId = job.parse().unwrap();
            let taken = jobs::Moment::from_ms(1_700_000_000_000);
            let by = store::By::at("bench", taken);
            let media = store.put_media("one for all".into()).await.unwrap();
            let part = jobs::Part {
                job,
                what: "crown".into(),
                quantity: 1,
                supplier: String::new(),
                state: jobs::PartState::Wanted,
                cost: None,
            };
            store.create_all(&by, vec![part; many]).await.unwrap();
            let caption = String::new();
            let photo = jobs::Photo { job, media, caption, width_px: 4, height_px: 3, taken };
            store.create_all(&by, vec![photo; many]).await.unwrap();
            store.create_all(&by, vec![bare_reading(job, taken); many]).await.unwrap();
            store.close().await;
        });
    }
}

impl Bench {
    /// Keeps readings with a job, as if they had been heard.
    pub(crate) fn keep_readings(&self, readings: Vec<jobs::Reading>) {
        self.runtime.block_on(async {
            let store = Store::open(&Places::in_folder(&self.folder)).await.unwrap();
            let by = store::By::at("bench", jobs::Moment::from_ms(1_700_000_000_000));
            store.create_all(&by, readings).await.unwrap();
            store.close().await;
        });
    }
}

impl Bench {
    /// A reading as it is kept.
    pub(crate) fn kept_reading(&self, id: &str) -> jobs::Reading {
        self.runtime.block_on(async {
            let store = Store::open(&Places::in_folder(&self.folder)).await.unwrap();
            let kept = store.get(id.parse::<jobs::ReadingId>().unwrap()).await.unwrap();
            store.close().await;
            kept.value
        })
    }
}

/// A reading in which nothing was heard.
pub(crate) fn bare_reading(job: jobs::JobId, taken: jobs::Moment) -> jobs::Reading {
    jobs::Reading {
        job,
        position: None,
        wind: String::new(),
        taken,
        duration_s: 30.0,
        device: "pickup".into(),
        settings: jobs::ReadingSettings::default(),
        program: "0.1.0".into(),
        sound: None,
        balances: Vec::new(),
        relation: None,
        lost_samples: 0,
        warnings: Vec::new(),
        note: String::new(),
    }
}

fn options(folder: PathBuf, network_port: u16) -> Options {
    let bench = server::Bench::default();
    Options { bench, port: 0, network_port, folder, demo: false, simulated: Vec::new() }
}

impl Drop for Bench {
    fn drop(&mut self) {
        if let Some(serving) = self.serving.take() {
            self.runtime.block_on(serving.end());
        }
    }
}

fn agent() -> Agent {
    // The certificate is the program's own: nobody else vouches for it.
    let tls = TlsConfig::builder().disable_verification(true).build();
    Agent::config_builder()
        .http_status_as_error(false)
        // A line on which something was refused while it was being sent is closed, and may be so just as the
        // next request goes into it.
        .max_idle_connections(0)
        .timeout_global(Some(Duration::from_secs(60)))
        .tls_config(tls)
        .build()
        .into()
}

/// Somebody who asks.
pub(crate) struct Page {
    pub(crate) agent: Agent,
    pub(crate) base: String,
    pub(crate) cookie: Option<String>,
}

impl Page {
    /// A device of the network, at the address of a join code.
    pub(crate) fn phone(join_url: &str) -> Self {
        let base = join_url.split("/#").next().unwrap().to_owned();
        Self { agent: agent(), base, cookie: None }
    }

    pub(crate) fn url(&self, path: &str) -> String {
        format!("{}/api/v1{path}", self.base)
    }

    fn as_who_it_is<B>(&self, request: RequestBuilder<B>) -> RequestBuilder<B> {
        match &self.cookie {
            Some(cookie) => request.header("cookie", cookie),
            None => request,
        }
    }

    pub(crate) fn get(&self, path: &str) -> (u16, Value) {
        answer(self.as_who_it_is(self.agent.get(self.url(path))).call().unwrap())
    }

    pub(crate) fn post(&self, path: &str, body: &Value) -> (u16, Value) {
        answer(self.as_who_it_is(self.agent.post(self.url(path))).send_json(body).unwrap())
    }

    pub(crate) fn patch(&self, path: &str, body: &Value) -> (u16, Value) {
        answer(self.as_who_it_is(self.agent.patch(self.url(path))).send_json(body).unwrap())
    }

    pub(crate) fn put(&self, path: &str, body: &Value) -> (u16, Value) {
        answer(self.as_who_it_is(self.agent.put(self.url(path))).send_json(body).unwrap())
    }

    pub(crate) fn delete(&self, path: &str) -> (u16, Value) {
        answer(self.as_who_it_is(self.agent.delete(self.url(path))).call().unwrap())
    }
}

fn answer(mut response: ureq::http::Response<ureq::Body>) -> (u16, Value) {
    let status = response.status().as_u16();
    let text = response.body_mut().read_to_string().unwrap();
    (status, serde_json::from_str(&text).unwrap_or(Value::String(text)))
}

pub(crate) fn text(value: &Value) -> String {
    value.as_str().unwrap_or_else(|| panic!("{value} is no text")).to_owned()
}

/// The stable code of what went wrong.
pub(crate) fn code(answer: &Value) -> String {
    text(&answer["error"]["code"])
}
