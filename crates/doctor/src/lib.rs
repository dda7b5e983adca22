//! Whether all is well with the program and what it stands on: facts in, a line each out, with what to do
//! where something is wrong. Who gathers the facts is none of its business, so that any state of a machine
//! can be put before it in a test.
//!
//! Limits here are our own choice where nothing else is said: they are about when to tell somebody, not
//! about what works.

mod disk;
mod facts;
mod kept;
mod reached;
mod sound;
mod system;
mod words;

pub use facts::{
    Backups, Capture, DamageFact, DatabaseFact, DatabaseState, Facts, FileSystem, FolderFact,
    FolderState, MediaFact, PageFact, PortFact, RecorderClock, SoundFacts, System, Trouble,
};
pub use words::size;

/// How it stands with one thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum State {
    /// All is well.
    Ok,
    /// It works, but somebody should look at it.
    Look,
    /// It does not work, or what is kept is in danger.
    Broken,
}

impl State {
    /// For people.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Ok => "ok",
            Self::Look => "look at this",
            Self::Broken => "broken",
        }
    }

    /// For programs; it never changes.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::Ok => "ok",
            Self::Look => "look",
            Self::Broken => "broken",
        }
    }
}

/// What is said of one thing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// For programs; it never changes.
    pub code: &'static str,
    /// What it is about, a word or two.
    pub about: &'static str,
    /// How it stands.
    pub state: State,
    /// What is so and, where something is wrong, what to do.
    pub sentence: String,
}

impl Line {
    fn new(about: (&'static str, &'static str), state: State, sentence: impl Into<String>) -> Self {
        let (code, about) = about;
        Self { code, about, state, sentence: sentence.into() }
    }
}

/// Everything that there is to say, in the order in which one would look.
#[must_use]
pub fn lines(facts: &Facts) -> Vec<Line> {
    let mut lines = vec![system::program(facts)];
    lines.extend(disk::lines(facts));
    lines.extend(kept::lines(facts));
    lines.extend(reached::lines(facts));
    lines.extend(sound::lines(facts));
    lines.extend(system::lines(facts));
    lines
}

/// The worst of them.
#[must_use]
pub fn worst(lines: &[Line]) -> State {
    lines.iter().map(|line| line.state).max().unwrap_or(State::Ok)
}
