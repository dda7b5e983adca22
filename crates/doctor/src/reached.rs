//! The page and its port.

use crate::facts::{Facts, PageFact, PortFact};
use crate::words::size;
use crate::{Line, State};

const PAGE: (&str, &str) = ("page", "page");
const PORT: (&str, &str) = ("port", "port");

pub(crate) fn lines(facts: &Facts) -> [Line; 2] {
    [page(&facts.page), port(&facts.port)]
}

fn page(page: &PageFact) -> Line {
    match page {
        PageFact::Answers(bytes) => {
            let sentence = format!(
                "It is in the program and answers at a port of this machine ({}).",
                size(*bytes as u64)
            );
            Line::new(PAGE, State::Ok, sentence)
        }
        PageFact::NotBuiltIn => Line::new(
            PAGE,
            State::Broken,
            "This program was built without its page (Node.js was missing): build it again, or install \
             a package of it.",
        ),
        PageFact::Silent(why) => Line::new(
            PAGE,
            State::Broken,
            format!(
                "It does not answer on this machine ({why}): look whether a firewall shuts the loopback \
                 address 127.0.0.1."
            ),
        ),
    }
}

fn port((port, fact): &(u16, PortFact)) -> Line {
    match fact {
        PortFact::Free => Line::new(PORT, State::Ok, format!("{port} is free.")),
        PortFact::Ours(version) => Line::new(
            PORT,
            State::Ok,
            format!(
                "At {port} the bench is open already (version {version}): http://127.0.0.1:{port}/"
            ),
        ),
        PortFact::Taken(by) => {
            let by =
                by.as_deref().map_or_else(|| "another program".to_owned(), |by| format!("“{by}”"));
            let sentence =
                format!("{port} is used by {by}: end that, or name another port with --port.");
            Line::new(PORT, State::Broken, sentence)
        }
        PortFact::Shut(why) => Line::new(
            PORT,
            State::Broken,
            format!("{port} cannot be opened ({why}): name another port, above 1023, with --port."),
        ),
    }
}
