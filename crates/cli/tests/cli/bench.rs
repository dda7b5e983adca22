//! A folder of its own for each test, and the binary run in it.

use serde_json::Value;
use std::path::PathBuf;
use std::process::{Command, Output};
use tempfile::TempDir;

/// A folder that goes when the test ends.
pub(crate) struct Bench {
    folder: TempDir,
}

/// What a run gave.
pub(crate) struct Said {
    pub(crate) status: i32,
    pub(crate) out: String,
    pub(crate) err: String,
}

impl Bench {
    pub(crate) fn new() -> Self {
        Self { folder: tempfile::tempdir().unwrap() }
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub(crate) fn write(&self, name: &str, bytes: &[u8]) {
        std::fs::write(self.path(name), bytes).unwrap();
    }

    pub(crate) fn read(&self, name: &str) -> Vec<u8> {
        std::fs::read(self.path(name)).unwrap()
    }

    /// Names of all files, sorted.
    pub(crate) fn names(&self) -> Vec<String> {
        let entries = std::fs::read_dir(self.folder.path()).unwrap();
        let mut names: Vec<String> =
            entries.map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    }

    /// The binary, at home in this folder and with nothing else around it.
    pub(crate) fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_endshake"));
        command
            .current_dir(self.folder.path())
            .args(arguments)
            .env_clear()
            .env("HOME", self.folder.path())
            .env("XDG_DATA_HOME", self.path("data"));
        command
    }

    pub(crate) fn raw(&self, arguments: &[&str]) -> Output {
        self.command(arguments).output().unwrap()
    }

    /// Runs with these arguments, given as one line.
    pub(crate) fn run(&self, line: &str) -> Said {
        let arguments: Vec<&str> = line.split_whitespace().collect();
        Said::of(self.raw(&arguments))
    }

    /// Runs what must succeed.
    pub(crate) fn done(&self, line: &str) -> String {
        let said = self.run(line);
        assert_eq!(said.status, 0, "{line}\n{}{}", said.out, said.err);
        said.out
    }
}

impl Said {
    pub(crate) fn of(output: Output) -> Self {
        Self {
            status: output.status.code().unwrap_or(-1),
            out: String::from_utf8(output.stdout).unwrap(),
            err: String::from_utf8(output.stderr).unwrap(),
        }
    }

    /// Standard output as JSON, an object a line.
    pub(crate) fn json_lines(&self) -> Vec<Value> {
        self.out.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
    }

    /// Standard output as the one JSON object that it is.
    pub(crate) fn json(&self) -> Value {
        let mut all = self.json_lines();
        assert_eq!(all.len(), 1, "{}", self.out);
        all.remove(0)
    }

    /// The one sentence on standard error, without the program's name.
    pub(crate) fn sentence(&self) -> &str {
        let sentence = self.err.strip_suffix('\n').unwrap();
        assert!(!sentence.contains('\n'), "more than one line: {}", self.err);
        sentence.strip_prefix("endshake: ").unwrap()
    }
}

/// A number in JSON, by its path; panics where there is none.
pub(crate) fn number(json: &Value, pointer: &str) -> f64 {
    let value = json.pointer(pointer).unwrap_or_else(|| panic!("no {pointer} in {json}"));
    value.as_f64().unwrap_or_else(|| panic!("{pointer} is {value}, not a number"))
}

/// Codes of the warnings.
pub(crate) fn codes(json: &Value) -> Vec<&str> {
    let warnings = json["warnings"].as_array().unwrap();
    warnings.iter().map(|w| w["code"].as_str().unwrap()).collect()
}
