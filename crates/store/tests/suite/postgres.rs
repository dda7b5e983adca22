//! A PostgreSQL server of our own, in a folder of its own, gone at the end.

use sea_orm::ConnectionTrait;
use std::fs::Permissions;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use store::Database;
use tempfile::TempDir;

pub(crate) struct Server {
    programs: PathBuf,
    folder: TempDir,
    port: u16,
}

/// The one that it has unless it is told otherwise.
const USUAL_PORT: u16 = 5432;

/// Debian keeps them in a folder per version, which is not on the path.
fn programs() -> Option<PathBuf> {
    let on_path = std::env::var_os("PATH").unwrap_or_default();
    let mut folders: Vec<PathBuf> = std::env::split_paths(&on_path).collect();
    if let Ok(versions) = std::fs::read_dir("/usr/lib/postgresql") {
        folders.extend(versions.flatten().map(|version| version.path().join("bin")));
    }
    let found =
        folders.into_iter().find(|f| f.join("initdb").exists() && f.join("pg_ctl").exists())?;
    // There may be links to these two alone; all of them lie where they lead to.
    let initdb = std::fs::canonicalize(found.join("initdb")).ok()?;
    initdb.parent().map(PathBuf::from)
}

fn is_root() -> bool {
    Command::new("id").arg("-u").output().is_ok_and(|id| id.stdout == b"0\n")
}

/// A server refuses to be run by root; then it is run by the user that its package has made.
fn run(words: &[String]) {
    let mut command = if is_root() {
        let mut su = Command::new("su");
        let quoted: Vec<_> = words.iter().map(|word| format!("'{word}'")).collect();
        su.args(["postgres", "-s", "/bin/sh", "-c", &quoted.join(" ")]);
        su
    } else {
        let mut plain = Command::new(&words[0]);
        plain.args(&words[1..]);
        plain
    };
    // The server would keep our output open, and whoever waits for it would wait for ever.
    let status = command.stdout(Stdio::null()).stdin(Stdio::null()).status().unwrap();
    assert!(status.success(), "{words:?}");
}

impl Server {
    /// Nothing where PostgreSQL is not installed: then a message, and a failure where CI runs.
    #[allow(dead_code, reason = "for tests")]
    pub(crate) fn start() -> Option<Self> {
        Self::start_with(USUAL_PORT, &[], "-c fsync=off")
    }

    /// One that listens at this machine's own address too, and takes nobody there who does not encrypt.
    #[allow(dead_code, reason = "for the tests of that")]
    pub(crate) fn start_encrypted(port: u16, certificate: &str, key: &str) -> Option<Self> {
        let who = "local all all trust\nhostssl all all 127.0.0.1/32 trust\n";
        let files = [("server.crt", certificate), ("server.key", key), ("who", who)];
        let more = format!(
            "-c fsync=off -c port={port} -c listen_addresses=127.0.0.1 -c ssl=on \
             -c ssl_cert_file=HERE/server.crt -c ssl_key_file=HERE/server.key -c hba_file=HERE/who"
        );
        Self::start_with(port, &files, &more)
    }

    /// One that brings what it acknowledges to the disk, as a workshop's does.
    #[allow(dead_code, reason = "for what measures it")]
    pub(crate) fn start_durable() -> Option<Self> {
        Self::start_with(USUAL_PORT, &[], "")
    }

    /// `files` lie beside its data, at the place that `more` calls `HERE`.
    fn start_with(port: u16, files: &[(&str, &str)], more: &str) -> Option<Self> {
        let Some(programs) = programs() else {
            let ci = std::env::var_os("CI").is_some_and(|ci| ci == "true");
            assert!(!ci, "PostgreSQL is not installed here: the store's suite must run on it");
            eprintln!("skipped: PostgreSQL is not installed (apt-get install postgresql)");
            return None;
        };
        let folder = tempfile::Builder::new().prefix("pg").tempdir_in("/tmp").unwrap();
        for (name, text) in files {
            let file = folder.path().join(name);
            std::fs::write(&file, text).unwrap();
            std::fs::set_permissions(&file, Permissions::from_mode(0o600)).unwrap();
        }
        if is_root() {
            let owned = Command::new("chown").arg("-R").arg("postgres").arg(folder.path()).status();
            assert!(owned.unwrap().success());
        }
        let server = Self { programs, folder, port };
        let words =
            |words: &[&str]| words.iter().map(|word| (*word).to_owned()).collect::<Vec<_>>();
        let data = server.data();
        run(&words(&[
            &server.program("initdb"),
            "-D",
            &data,
            "-A",
            "trust",
            "-U",
            "postgres",
            "--no-sync",
            "-E",
            "UTF8",
            "--locale=C.UTF-8",
        ]));
        let options = format!("-c listen_addresses= -c unix_socket_directories=HERE {more}")
            .replace("HERE", &server.path().display().to_string());
        let log = server.path().join("log").display().to_string();
        run(&words(&[
            &server.program("pg_ctl"),
            "-D",
            &data,
            "-o",
            &options,
            "-l",
            &log,
            "-w",
            "start",
        ]));
        Some(server)
    }

    /// Where it listens.
    #[allow(dead_code, reason = "for tests that stand between")]
    pub(crate) fn socket(&self) -> PathBuf {
        self.path().join(format!(".s.PGSQL.{}", self.port))
    }

    fn path(&self) -> &Path {
        self.folder.path()
    }

    fn data(&self) -> String {
        self.path().join("data").display().to_string()
    }

    fn program(&self, name: &str) -> String {
        self.programs.join(name).display().to_string()
    }

    /// Where a database of its own is, by way of its socket.
    pub(crate) fn url(&self, database: &str) -> String {
        let (port, folder) = (self.port, self.path().display());
        format!("postgres://postgres@localhost:{port}/{database}?host={folder}")
    }

    /// A copy of a database, made by the server's own program as a file.
    #[allow(dead_code, reason = "for tests of older databases")]
    pub(crate) fn dumped(&self, database: &str, to: &Path) -> PathBuf {
        self.copied("pg_dump", &["--format=custom", "--dbname", &self.url(database), "--file"], to);
        to.to_owned()
    }

    /// A database made of such a copy.
    #[allow(dead_code, reason = "for tests of older databases")]
    pub(crate) async fn restored(&self, database: &str, from: &Path) -> Database {
        let made = self.fresh_database(database).await;
        self.copied("pg_restore", &["--dbname", &self.url(database)], from);
        made
    }

    fn copied(&self, program: &str, before: &[&str], file: &Path) {
        let mut command = Command::new(self.program(program));
        assert!(command.args(before).arg(file).status().unwrap().success(), "{program}");
    }

    /// An empty database.
    pub(crate) async fn fresh_database(&self, name: &str) -> Database {
        let server = sea_orm::Database::connect(self.url("postgres")).await.unwrap();
        server.execute_unprepared(&format!("CREATE DATABASE {name}")).await.unwrap();
        server.close().await.unwrap();
        Database::Server(self.url(name))
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let stop = ["-D", &self.data(), "-m", "immediate", "-w", "stop"].map(str::to_owned);
        run(&std::iter::once(self.program("pg_ctl")).chain(stop).collect::<Vec<_>>());
    }
}
