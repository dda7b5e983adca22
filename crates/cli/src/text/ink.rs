//! Colour in a terminal, where it is wanted.

use crate::shown;
use clap::ColorChoice;
use std::env;
use std::io::IsTerminal;

/// Whether text is coloured, and how.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Ink {
    on: bool,
}

impl Ink {
    /// For standard output, by what the user said and by what it is. `NO_COLOR` (any value but an
    /// empty one, <https://no-color.org>) turns colour off unless the command line asks for it.
    pub(crate) fn for_output(choice: ColorChoice) -> Self {
        let set = |name| env::var_os(name).is_some_and(|value| !value.is_empty());
        let on = match choice {
            ColorChoice::Always => true,
            ColorChoice::Never => false,
            ColorChoice::Auto => {
                std::io::stdout().is_terminal()
                    && !set("NO_COLOR")
                    && env::var_os("TERM").is_none_or(|term| term != "dumb")
            }
        };
        Self { on }
    }

    pub(crate) fn bold(self, words: &str) -> String {
        self.painted("1", words)
    }

    pub(crate) fn dim(self, words: &str) -> String {
        self.painted("2", words)
    }

    pub(crate) fn warning(self, words: &str) -> String {
        self.painted("33", words)
    }

    fn painted(self, code: &str, words: &str) -> String {
        let words = shown::safe(words);
        if self.on && !words.is_empty() {
            format!("\u{1b}[{code}m{words}\u{1b}[0m")
        } else {
            words.into_owned()
        }
    }
}
