//! `endshake serve` as a service: what it tells, how it ends, and a database of an earlier version.

#![cfg(unix)]

use crate::bench::Bench;
use crate::served::{Live, Served, text, until};
use serde_json::json;
use std::fs::File;
use std::os::unix::net::UnixDatagram;
use std::path::Path;
use std::process::{Command, Stdio};

/// A program that serves, with what it tells in a file.
fn started(bench: &Bench, arguments: &[&str], environment: &[(&str, &str)]) -> Served {
    let mut command = bench.command(arguments);
    command.envs(environment.iter().copied());
    command.stderr(File::create(bench.path("log")).unwrap());
    Served::from_command_that_tells(command)
}

fn log(bench: &Bench) -> String {
    String::from_utf8(bench.read("log")).unwrap()
}

#[test]
fn the_start_tells_where_everything_is() {
    let bench = Bench::new();
    let served = started(&bench, &["serve", "--port", "0", "--data", "shop"], &[]);
    until("the devices are told", || log(&bench).contains("sound devices"));
    let port = served.port();
    assert_eq!(served.end(), Some(0));
    let log = log(&bench);
    for told in [
        "data in shop, database shop/endshake.sqlite (schema 0",
        &format!("open to this machine at http://127.0.0.1:{port}/"),
        "ended; all that was entered is kept",
    ] {
        assert!(log.contains(told), "{told}: {log}");
    }
    let quiet = started(&bench, &["serve", "--port", "0", "--data", "shop", "--log", "error"], &[]);
    assert_eq!(quiet.end(), Some(0));
    assert_eq!(self::log(&bench), "");
}

/// A code lets somebody in, a cookie too, and words that are searched for are an owner's: none of it is told,
/// however much is.
#[test]
fn nothing_that_lets_anybody_in_is_ever_told() {
    let bench = Bench::new();
    let arguments =
        ["serve", "--port", "0", "--network-port", "0", "--data", "shop", "--log", "debug"];
    let served = started(&bench, &arguments, &[("RUST_LOG", "trace")]);
    let page = served.page();
    let (status, code) = page.post("/join-codes", &json!({ "role": "repairer" })).unwrap();
    if status != 201 {
        // A machine without any network lets nobody join; what follows needs one.
        assert_eq!(status, 409, "{code}");
        return;
    }
    let url = text(&code["urls"][0]);
    let secret = url.rsplit('/').next().unwrap().to_owned();
    assert!(secret.len() >= 30, "{url}");
    page.post("/join", &json!({ "code": "a-wrong-code-of-somebody", "name": "phone" })).unwrap();
    let joined = page.post("/join", &json!({ "code": secret, "name": "phone" })).unwrap();
    assert_eq!(joined.0, 201, "{}", joined.1);
    page.get("/search?q=adabergsson").unwrap();
    page.get(&format!("/jobs/{secret}")).unwrap();
    assert_eq!(served.end(), Some(0));
    let log = log(&bench);
    assert!(log.contains("/api/v1/join-codes: 201"), "{log}");
    assert!(log.contains("/api/v1/search: 200"), "{log}");
    assert!(!log.contains("a-wrong-code") && !log.contains("adabergsson"), "{log}");
    // The one place where it was put by hand: into the path of a request, where no page of ours puts it.
    let elsewhere = log.lines().filter(|line| !line.contains("/api/v1/jobs/"));
    assert!(elsewhere.into_iter().all(|line| !line.contains(&secret)), "{log}");
    assert!(!log.contains("endshake_device="), "{log}");
}

/// For the journal a line begins with its level and has no time of its own.
#[cfg(target_os = "linux")]
#[test]
fn the_journal_gets_levels_and_no_times() {
    use std::os::linux::fs::MetadataExt;
    let bench = Bench::new();
    bench.write("log", b"");
    let file = std::fs::metadata(bench.path("log")).unwrap();
    let journal = format!("{}:{}", file.st_dev(), file.st_ino());
    let arguments = ["serve", "--port", "0", "--data", "shop"];
    let served = started(&bench, &arguments, &[("JOURNAL_STREAM", &journal)]);
    assert_eq!(served.end(), Some(0));
    let log = log(&bench);
    assert!(log.starts_with("<6>endshake::serve: Endshake "), "{log}");
    assert!(log.lines().all(|line| line.starts_with('<')), "{log}");
    let another = started(&bench, &arguments, &[("JOURNAL_STREAM", "1:1")]);
    assert_eq!(another.end(), Some(0));
    assert!(self::log(&bench).contains("INFO endshake::serve: Endshake "), "{}", self::log(&bench));
}

/// The manager hears when the bench is open, and when it ends (sd_notify(3)).
#[cfg(target_os = "linux")]
#[test]
fn the_service_manager_is_told() {
    let bench = Bench::new();
    let socket = UnixDatagram::bind(bench.path("notify")).unwrap();
    socket.set_read_timeout(Some(std::time::Duration::from_secs(60))).unwrap();
    let path = bench.path("notify");
    let arguments = ["serve", "--port", "0", "--data", "shop"];
    let served = started(&bench, &arguments, &[("NOTIFY_SOCKET", path.to_str().unwrap())]);
    let mut said = [0; 4_096];
    let mut heard = || {
        let length = socket.recv(&mut said).unwrap();
        String::from_utf8_lossy(&said[..length]).into_owned()
    };
    let ready = heard();
    assert!(ready.contains("READY=1") && ready.contains("STATUS=open at http://"), "{ready}");
    assert_eq!(served.end(), Some(0));
    assert!(heard().contains("STOPPING=1"));
}

/// What a manager sends to end a service: a reading that is being taken is kept with what it has.
#[test]
fn a_reading_is_kept_when_the_service_is_stopped() {
    let bench = Bench::new();
    let arguments = ["serve", "--port", "0", "--data", "shop"];
    let served = started(&bench, &arguments, &[]);
    let page = served.page();
    let job = page.job().unwrap();
    let mut live = Live::start(&page, 48_000.0).unwrap();
    live.take(&json!({ "job_id": job, "note": "as the service stops" })).unwrap();
    // Something that cannot be packed into nothing: what is waited for below is more than a second of it,
    // at three bytes a sample.
    let noise: Vec<f32> =
        (0..5 * 48_000_u32).map(|n| (n * 7_919 % 2_003) as f32 / 20_030.0 - 0.05).collect();
    live.send(&noise).unwrap();
    until("its sound is kept in hand", || {
        let folder = bench.path("shop/readings-in-hand");
        std::fs::read_dir(folder).unwrap().any(|entry| {
            let path = entry.unwrap().path();
            let is_sound = path.extension().is_some_and(|e| e == "flac");
            is_sound && std::fs::metadata(path).is_ok_and(|about| about.len() > 160_000)
        })
    });
    assert_eq!(served.end_as("-TERM"), Some(0));
    let again = started(&bench, &arguments, &[]);
    let (_, listed) = again.page().get(&format!("/jobs/{job}/readings")).unwrap();
    assert_eq!(listed["total"], 1, "{listed}");
    let seconds = listed["readings"][0]["duration_s"].as_f64().unwrap();
    assert!(seconds > 1.0, "{seconds}");
    assert_eq!(again.end(), Some(0));
}

/// An earlier version's database is copied and brought up; the log says so, and where the copy is.
#[test]
fn a_database_of_an_earlier_version_is_copied_first() {
    let bench = Bench::new();
    let made = Served::start(&bench, &["serve", "--port", "0", "--data", "shop"]);
    let job = made.page().job().unwrap();
    assert_eq!(made.end(), Some(0));
    undo_last_step(&bench.path("shop/endshake.sqlite"));
    let said = bench.run("doctor --data shop --port 0 --format json").json();
    let lines = said["lines"].as_array().unwrap();
    let schema = lines.iter().find(|line| line["code"] == "schema").unwrap();
    assert_eq!(schema["state"], "look", "{schema}");

    let served = started(&bench, &["serve", "--port", "0", "--data", "shop"], &[]);
    let (status, found) = served.page().get(&format!("/jobs/{job}")).unwrap();
    assert_eq!((status, &found["id"]), (200, &json!(job)));
    assert_eq!(served.end(), Some(0));
    let log = log(&bench);
    assert!(log.contains("a copy of the database as it was is at shop/endshake.schema-0"), "{log}");
    let copies = std::fs::read_dir(bench.path("shop")).unwrap();
    let copies =
        copies.filter(|e| e.as_ref().unwrap().file_name().to_str().unwrap().contains("schema-"));
    assert_eq!(copies.count(), 1);
}

/// Takes the last step of the schema back, as if it had never been taken.
fn undo_last_step(file: &Path) {
    tokio::runtime::Runtime::new().unwrap().block_on(async {
        use sea_orm::ConnectionTrait;
        let database =
            sea_orm::Database::connect(format!("sqlite://{}", file.display())).await.unwrap();
        let undo = "DROP INDEX change_by_parent_seq; \
                    DELETE FROM seaql_migrations WHERE version = '0007_history_of_a_job'";
        database.execute_unprepared(undo).await.unwrap();
        database.close().await.unwrap();
    });
}

/// What the package holds is there, and systemd understands the services.
#[test]
fn the_package_and_its_services_are_sound() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let manifest = std::fs::read_to_string(root.join("Cargo.toml")).unwrap();
    let manifest: toml::Table = manifest.parse().unwrap();
    let deb = &manifest["package"]["metadata"]["deb"];
    let mut targets = Vec::new();
    for asset in deb["assets"].as_array().unwrap() {
        let [source, target, mode] = &asset.as_array().unwrap()[..] else { panic!("{asset:?}") };
        let (source, mode) = (source.as_str().unwrap(), mode.as_str().unwrap());
        targets.push(target.as_str().unwrap().to_owned());
        assert!(["644", "755"].contains(&mode), "{asset:?}");
        // What is built for the package is there once it is.
        if !source.contains("target/") {
            assert!(root.join(source).is_file(), "{source} is not there");
        }
    }
    for wanted in [
        "usr/bin/endshake",
        "usr/lib/systemd/system/endshake.service",
        "usr/lib/systemd/user/endshake.service",
        "usr/share/man/man1/",
        "usr/share/bash-completion/completions/endshake",
    ] {
        assert!(targets.iter().any(|target| target == wanted), "{wanted}: {targets:?}");
    }
    let licence = deb["license-file"].as_array().unwrap()[0].as_str().unwrap();
    assert!(root.join(licence).is_file());
    for service in ["endshake.service", "endshake.user.service"] {
        let path = root.join("../../packaging").join(service);
        let unit = std::fs::read_to_string(&path).unwrap();
        let start = unit
            .lines()
            .find_map(|line| line.strip_prefix("ExecStart=/usr/bin/endshake "))
            .unwrap();
        // The program knows what it is started with.
        let help = Bench::new().done("serve --help");
        for option in start.split(' ').filter(|word| word.starts_with("--")) {
            assert!(help.contains(option), "{option}");
        }
        // With the program that was just built in the place of the installed one.
        let bench = Bench::new();
        let unit = unit.replace("/usr/bin/endshake", env!("CARGO_BIN_EXE_endshake"));
        let unit: String = unit
            .lines()
            .filter(|l| !l.starts_with("Documentation"))
            .map(|l| format!("{l}\n"))
            .collect();
        bench.write("endshake.service", unit.as_bytes());
        let mut verify = Command::new("systemd-analyze");
        verify
            .args(["verify", "--man=no"])
            .arg(bench.path("endshake.service"))
            .stdin(Stdio::null());
        match verify.output() {
            Ok(said) => assert_eq!(String::from_utf8_lossy(&said.stderr), "", "{service}"),
            Err(_) => eprintln!("skipped: there is no systemd-analyze here"),
        }
    }
}
