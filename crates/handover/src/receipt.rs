//! The receipt at intake: what came in, in which state, and why.

use crate::case::Case;
use crate::kind::Kind;
use crate::paper::{chapter, condition, paper, text};
use crate::shots::photos;
use report::{Block, Document};

/// A receipt for a watch that came in.
#[must_use]
pub fn receipt(case: &Case<'_>) -> Document {
    let mut document = paper(case, Kind::Receipt);
    let said = text(&case.job.complaint).into_iter().collect();
    let found = condition(case).into_iter().chain(photos(case, case.photos)).collect();
    document.chapters.extend(chapter("Why it came in", said));
    document.chapters.extend(chapter("How it came in", found));
    let signed = vec![
        Block::Text("The watch described here was received for repair.".to_owned()),
        Block::Signatures(vec!["For the workshop".to_owned(), "Owner".to_owned()]),
    ];
    document.chapters.extend(chapter("Received", signed));
    document
}
