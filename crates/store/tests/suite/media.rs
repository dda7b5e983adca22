use crate::given::{self, by, visit};
use bytes::Bytes;
use jobs::MediaHash;
use std::io::Write;
use store::{Error, Store};

/// SHA-256 of "abc": FIPS 180-4, first example of its appendix (NIST, SHA256.pdf).
const ABC: &str = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";

pub(crate) async fn sounds_and_photos_are_kept_by_content(store: Store) {
    let hash = store.put_media(Bytes::from_static(b"abc")).await.unwrap();
    assert_eq!(hash.to_string(), ABC);
    assert_eq!(store.put_media(Bytes::from_static(b"abc")).await.unwrap(), hash);
    assert_eq!(store.media(&hash).await.unwrap(), "abc");
    assert_eq!(store.media_range(&hash, 1..3).await.unwrap(), "bc");

    // A long one, from a file, in several parts of which the last is short.
    let content: Vec<u8> = (0..20_000_000_u64).map(|n| (n * n % 251) as u8).collect();
    let mut file = tempfile::NamedTempFile::new().unwrap();
    file.write_all(&content).unwrap();
    let long = store.put_media_file(file.path()).await.unwrap();
    assert_eq!(store.media_size(&long).await.unwrap(), 20_000_000);
    assert_eq!(store.put_media(Bytes::from(content.clone())).await.unwrap(), long);
    assert_eq!(store.media(&long).await.unwrap(), content);

    let empty = tempfile::NamedTempFile::new().unwrap();
    let nothing = store.put_media_file(empty.path()).await.unwrap();
    assert_eq!(store.media(&nothing).await.unwrap(), "");
}

pub(crate) async fn a_record_names_nothing_that_is_not_there(store: Store) {
    let (.., job) = visit(&store).await;
    let nowhere = MediaHash::from_bytes([7; 32]);
    let photo = store.create(&by(), given::photo(job.id, nowhere, "dial")).await;
    assert!(matches!(photo, Err(Error::NoMedia(hash)) if hash == nowhere), "{photo:?}");
    assert!(matches!(store.media(&nowhere).await, Err(Error::NotFound(_))));
}
