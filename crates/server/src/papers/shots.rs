//! Photos as small as they are printed.

use super::progress::{Doing, Progress};
use crate::failure::Failure;
use crate::photos::{Turn, printed};
use bytes::Bytes;
use futures_util::future::try_join_all;
use jobs::{MediaHash, Photo};
use std::num::NonZeroUsize;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};
use store::{Kept, Store};

/// Small ones that are held: those of some papers, a twentieth of a megabyte each.
const HELD: NonZeroUsize = NonZeroUsize::new(256).unwrap();

/// Photos that were made small before.
pub(crate) struct Shots(Mutex<lru::LruCache<MediaHash, Bytes>>);

impl Default for Shots {
    fn default() -> Self {
        Self(Mutex::new(lru::LruCache::new(HELD)))
    }
}

impl Shots {
    /// Each photo with what is printed of it. One that cannot be read comes with nothing, so that
    /// the paper says so in its place.
    pub(crate) async fn of(
        &self,
        store: &Store,
        photos: Vec<Kept<Photo>>,
        progress: &Progress,
    ) -> Result<Vec<(Kept<Photo>, Vec<u8>)>, Failure> {
        let of = photos.len();
        progress.now(Doing::Photos { done: 0, of });
        let done = AtomicUsize::new(0);
        let done = &done;
        try_join_all(photos.into_iter().map(|photo| async move {
            let bytes = self.one(store, &photo.value.media).await?;
            let done = done.fetch_add(1, Ordering::Relaxed) + 1;
            progress.now(Doing::Photos { done, of });
            Ok((photo, bytes.to_vec()))
        }))
        .await
    }

    async fn one(&self, store: &Store, hash: &MediaHash) -> Result<Bytes, Failure> {
        if let Some(held) = self.held().get(hash) {
            return Ok(held.clone());
        }
        // Few are read and decoded at once, however many wait.
        let turn = Turn::ordinary().await?;
        let whole = match store.media(hash).await {
            Ok(whole) => whole,
            // A file that is gone leaves its sentence on the paper, and `endshake check` tells it.
            Err(store::Error::NotFound(_)) => return Ok(Bytes::new()),
            Err(error) => return Err(error.into()),
        };
        let small = turn.run(move || printed(&whole)).await?;
        let small = small.map(Bytes::from).unwrap_or_default();
        self.held().put(*hash, small.clone());
        Ok(small)
    }

    fn held(&self) -> MutexGuard<'_, lru::LruCache<MediaHash, Bytes>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
