//! Ids that are made of what is written: the same words, the same id.

use sha2::{Digest, Sha256};
use uuid::Uuid;

/// Of these words, whatever their letters' case and the blanks around them: the beginning of a
/// SHA-256, as a UUID of version 8 (RFC 9562, 5.8).
pub(crate) fn of(what: &str, words: &[&str]) -> Uuid {
    let mut hasher = Sha256::new();
    for word in [&"endshake.ledger/1", &what].into_iter().chain(words) {
        let plain = word.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
        // The length before it, so that no two lists of words run into the same text.
        hasher.update((plain.len() as u64).to_be_bytes());
        hasher.update(plain);
    }
    let hash = hasher.finalize();
    let mut bytes: [u8; 16] = std::array::from_fn(|n| hash.get(n).copied().unwrap_or_default());
    bytes[6] = bytes[6] & 0x0f | 0x80;
    bytes[8] = bytes[8] & 0x3f | 0x80;
    Uuid::from_bytes(bytes)
}
