//! Whose turn it is to decode photos: they take much memory, so few are decoded at once.

use crate::failure::Failure;
use std::sync::{Arc, LazyLock};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};

/// Ordinary photos that are decoded at the same time.
const AT_ONCE: u32 = 2;
/// A photo with more pixels than this takes all turns. One of 200 megapixels takes up to 820 MB,
/// measured with the test of the largest photo, whose own picture is part of that.
const LARGE_PIXELS: u64 = 50_000_000;

static TURNS: LazyLock<Arc<Semaphore>> =
    LazyLock::new(|| Arc::new(Semaphore::new(AT_ONCE as usize)));

/// Somebody's turn.
pub(crate) struct Turn(OwnedSemaphorePermit);

impl Turn {
    /// Waits for the turn of a photo of ordinary size.
    pub(crate) async fn ordinary() -> Result<Self, Failure> {
        Self::of(1).await
    }

    /// Waits for the turn of a photo with so many pixels.
    pub(crate) async fn for_pixels(pixels: u64) -> Result<Self, Failure> {
        Self::of(if pixels > LARGE_PIXELS { AT_ONCE } else { 1 }).await
    }

    async fn of(many: u32) -> Result<Self, Failure> {
        let turn = TURNS.clone().acquire_many_owned(many).await;
        turn.map(Self).map_err(|e| Failure::Ours(e.to_string()))
    }

    /// Works on a thread of its own. The turn ends with the work: where nobody waits for it any
    /// more it goes on all the same, and takes its memory.
    pub(crate) async fn run<T: Send + 'static>(
        self,
        work: impl FnOnce() -> T + Send + 'static,
    ) -> Result<T, Failure> {
        let run = move || {
            let done = work();
            drop(self.0);
            done
        };
        Ok(tokio::task::spawn_blocking(run).await?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicUsize, Ordering};
    use std::time::Duration;

    /// Whoever hangs up does not give their turn to another while the work still goes on.
    #[tokio::test]
    async fn no_more_than_so_many_work_at_once() {
        static AT_WORK: AtomicUsize = AtomicUsize::new(0);
        static MOST: AtomicUsize = AtomicUsize::new(0);
        let work = || {
            MOST.fetch_max(AT_WORK.fetch_add(1, Ordering::SeqCst) + 1, Ordering::SeqCst);
            std::thread::sleep(Duration::from_millis(60));
            AT_WORK.fetch_sub(1, Ordering::SeqCst);
        };
        for _ in 0..6 {
            let hung_up = async { Turn::ordinary().await.unwrap().run(work).await.unwrap() };
            let _ = tokio::time::timeout(Duration::from_millis(5), hung_up).await;
        }
        let large = Turn::for_pixels(LARGE_PIXELS + 1).await.unwrap();
        assert_eq!(AT_WORK.load(Ordering::SeqCst), 0, "a large one waits for all others");
        large.run(work).await.unwrap();
        assert_eq!(MOST.load(Ordering::SeqCst), AT_ONCE as usize);
    }
}
