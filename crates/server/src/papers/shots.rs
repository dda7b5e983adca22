//! Photos as small as they are printed.

use super::progress::{Doing, Progress};
use crate::failure::Failure;
use crate::photos::{Turn, printed};
use bytes::Bytes;
use futures_util::{StreamExt, stream};
use jobs::{MediaHash, Photo};
use std::num::NonZeroUsize;
use std::sync::{Mutex, PoisonError};
use store::Store;

/// Small ones that are held: those of some papers, a twentieth of a megabyte each.
const HELD: NonZeroUsize = NonZeroUsize::new(256).unwrap();
/// How many are worked at; whose turn it is to decode is told by [`Turn`].
const AT_ONCE: usize = 4;

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
        photos: Vec<Photo>,
        progress: &Progress,
    ) -> Result<Vec<(Photo, Vec<u8>)>, Failure> {
        let of = photos.len();
        progress.now(Doing::Photos { done: 0, of });
        let mut small = stream::iter(photos)
            .map(|photo| async move {
                let bytes = self.one(store, &photo.media).await?;
                Ok::<_, Failure>((photo, bytes.to_vec()))
            })
            .buffered(AT_ONCE);
        let mut all = Vec::with_capacity(of);
        while let Some(one) = small.next().await {
            all.push(one?);
            progress.now(Doing::Photos { done: all.len(), of });
        }
        Ok(all)
    }

    async fn one(&self, store: &Store, hash: &MediaHash) -> Result<Bytes, Failure> {
        if let Some(held) = self.held().get(hash) {
            return Ok(held.clone());
        }
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

    fn held(&self) -> std::sync::MutexGuard<'_, lru::LruCache<MediaHash, Bytes>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
