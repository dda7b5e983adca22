//! What stands at the head of the workshop's papers: kept as one setting, its sign as another.

use crate::failure::Failure;
use crate::wire::{PaperHead, PaperHeadWish, PaperSize};
use jobs::{MediaHash, limit};
use report::{Letterhead, Paper, Picture};
use store::{By, PAPER_SIGN, Store};

/// The key under which the head is kept, as JSON.
const KEY: &str = "paper_head";
/// Most lines below the name: more of them leave no room for the paper itself.
const MOST_LINES: usize = 8;

/// What stands at the head now.
pub(crate) async fn head(store: &Store) -> Result<PaperHead, Failure> {
    let PaperHeadWish { name, address, paper } = kept(store).await?;
    let sign = sign(store).await?.map(|hash| hash.to_string());
    Ok(PaperHead { name, address, paper, sign })
}

async fn kept(store: &Store) -> Result<PaperHeadWish, Failure> {
    let Some(text) = store.setting(KEY).await? else { return Ok(PaperHeadWish::default()) };
    serde_json::from_str(&text)
        .map_err(|e| Failure::Ours(format!("the kept head of papers cannot be read: {e}")))
}

/// The picture that is the sign.
pub(crate) async fn sign(store: &Store) -> Result<Option<MediaHash>, Failure> {
    Ok(store.setting(PAPER_SIGN).await?.and_then(|hash| hash.parse().ok()))
}

/// Keeps what stands at the head; its sign stays.
pub(crate) async fn keep_head(store: &Store, by: &By, wish: PaperHeadWish) -> Result<(), Failure> {
    let lines: Vec<&str> = wish.address.lines().map(str::trim_end).collect();
    if lines.len() > MOST_LINES {
        let words = format!("At most {MOST_LINES} lines stand below the name.");
        return Err(Failure::Invalid(words));
    }
    let long = |line: &&str| line.chars().count() > limit::LINE;
    if std::iter::once(wish.name.as_str()).chain(lines.iter().copied()).any(|line| long(&line)) {
        let words = format!("A line at the head of a paper has at most {} letters.", limit::LINE);
        return Err(Failure::Invalid(words));
    }
    let wish = PaperHeadWish {
        name: wish.name.trim().to_owned(),
        address: lines.join("\n").trim().to_owned(),
        ..wish
    };
    let text = serde_json::to_string(&wish).map_err(|e| Failure::Ours(e.to_string()))?;
    Ok(store.set(by, KEY, &text).await?)
}

/// The head as it is printed.
pub(crate) async fn letterhead(store: &Store) -> Result<Letterhead, Failure> {
    let PaperHeadWish { name, address, .. } = kept(store).await?;
    let logo = match sign(store).await? {
        Some(hash) => Some(Picture {
            bytes: match store.media(&hash).await {
                Ok(bytes) => bytes.to_vec(),
                // The paper says so in its place, and `endshake check` tells it.
                Err(store::Error::NotFound(_)) => Vec::new(),
                Err(error) => return Err(error.into()),
            },
            words: "the workshop's sign".into(),
            caption: String::new(),
        }),
        None => None,
    };
    Ok(Letterhead { name, lines: crate::convert::lines(&address), logo })
}

/// The size of its pages.
pub(crate) fn size(size: PaperSize) -> Paper {
    match size {
        PaperSize::A4 => Paper::A4,
        PaperSize::Letter => Paper::Letter,
    }
}
