//! `endshake.doctor/1`: what `doctor --format json` prints.

use doctor::{Line, State, worst};
use serde::Serialize;

/// What was found.
#[derive(Debug, Serialize)]
pub(crate) struct DoctorResult {
    schema: &'static str,
    version: &'static str,
    /// The worst of the lines: ok, look or broken.
    worst: &'static str,
    lines: Vec<LineResult>,
}

/// What is said of one thing.
#[derive(Debug, Serialize)]
struct LineResult {
    code: &'static str,
    about: &'static str,
    /// ok, look or broken.
    state: &'static str,
    sentence: String,
}

impl DoctorResult {
    pub(crate) fn of(lines: &[Line]) -> Self {
        let result = |line: &Line| LineResult {
            code: line.code,
            about: line.about,
            state: State::code(line.state),
            sentence: line.sentence.clone(),
        };
        Self {
            schema: "endshake.doctor/1",
            version: env!("CARGO_PKG_VERSION"),
            worst: worst(lines).code(),
            lines: lines.iter().map(result).collect(),
        }
    }
}
