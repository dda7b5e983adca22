use crate::source::{Arrived, Source, SourceFacts};
use std::collections::VecDeque;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};
use thiserror::Error;

/// So much sound waits at most, seconds; what comes beyond it is lost, and counted as such.
const MOST_WAITING_S: f64 = 30.0;
/// Short blocks that follow on from each other are put together up to this length, seconds.
const TOGETHER_S: f64 = 0.1;

/// Why sound was not taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum PushRefused {
    /// Nobody listens any more.
    #[error("Nobody listens any more: start listening again.")]
    NobodyListens,
    /// More waits than can be gone through.
    #[error("Sound comes faster than it can be heard; what does not fit is left out.")]
    TooFast,
    /// Part of a frame.
    #[error("A block of sound must hold whole frames: one sample for every channel.")]
    PartOfFrame,
}

/// One end: where sound is pushed in.
#[derive(Debug)]
pub struct Pusher {
    queue: Arc<Queue>,
    channels: usize,
    most_waiting: usize,
    together: usize,
}

/// The other end: the source.
#[derive(Debug)]
pub struct PushedSource {
    queue: Arc<Queue>,
    facts: SourceFacts,
    together: usize,
}

#[derive(Debug, Default)]
struct Queue {
    inner: Mutex<Inner>,
    came: Condvar,
}

#[derive(Debug, Default)]
struct Inner {
    blocks: VecDeque<(u64, Vec<f32>)>,
    /// Samples in them.
    waiting: usize,
    ended: bool,
    abandoned: bool,
}

impl Queue {
    fn lock(&self) -> MutexGuard<'_, Inner> {
        self.inner.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// A source for sound that comes from elsewhere: what a browser sends, say.
#[must_use]
pub fn pushed(facts: SourceFacts) -> (Pusher, PushedSource) {
    let queue = Arc::new(Queue::default());
    let channels = facts.channels.max(1);
    let samples = |seconds: f64| (seconds * facts.sample_rate.hz()) as usize * channels;
    let together = samples(TOGETHER_S).max(channels);
    let most_waiting = samples(MOST_WAITING_S);
    let pusher = Pusher { queue: queue.clone(), channels, most_waiting, together };
    (pusher, PushedSource { queue, facts, together })
}

impl Pusher {
    /// Appends interleaved samples, full scale ±1, whose first frame has this number. Frames that
    /// were left out are found by the numbers: they become silence and count as lost. Frames that
    /// have been there before are left out, unless they are more than a second old: then the sender
    /// has begun to count anew, which ends a reading that is being taken.
    ///
    /// # Errors
    /// Where the samples were not taken: see [`PushRefused`].
    pub fn push(&self, first_frame: u64, interleaved: &[f32]) -> Result<(), PushRefused> {
        if !interleaved.len().is_multiple_of(self.channels) {
            return Err(PushRefused::PartOfFrame);
        }
        let mut inner = self.queue.lock();
        if inner.abandoned {
            return Err(PushRefused::NobodyListens);
        }
        if inner.waiting + interleaved.len() > self.most_waiting {
            return Err(PushRefused::TooFast);
        }
        inner.waiting += interleaved.len();
        // In pieces, so that what waits further on is bounded by its length, not by its number.
        for (n, piece) in interleaved.chunks(self.together).enumerate() {
            let frame = first_frame.saturating_add((n * self.together / self.channels) as u64);
            inner.blocks.push_back((frame, piece.to_vec()));
        }
        drop(inner);
        self.queue.came.notify_one();
        Ok(())
    }

    /// No more will come. The same as dropping it.
    pub fn end(self) {}
}

impl Drop for Pusher {
    fn drop(&mut self) {
        self.queue.lock().ended = true;
        self.queue.came.notify_one();
    }
}

impl Drop for PushedSource {
    fn drop(&mut self) {
        let mut inner = self.queue.lock();
        inner.abandoned = true;
        inner.blocks.clear();
    }
}

impl Source for PushedSource {
    fn facts(&self) -> &SourceFacts {
        &self.facts
    }

    fn next(&mut self, into: &mut Vec<f32>, wait: Duration) -> Arrived {
        let until = Instant::now() + wait;
        let mut inner = self.queue.lock();
        while inner.blocks.is_empty() {
            if inner.ended {
                return Arrived::End(None);
            }
            let left = until.saturating_duration_since(Instant::now());
            if left.is_zero() {
                return Arrived::Nothing;
            }
            inner = match self.queue.came.wait_timeout(inner, left) {
                Ok((inner, _)) => inner,
                Err(poisoned) => poisoned.into_inner().0,
            };
        }
        let mut begin = None;
        while let Some((frame, block)) = inner.blocks.front() {
            let (frame, len) = (*frame, block.len());
            let first = *begin.get_or_insert(frame);
            let follows = first.saturating_add((into.len() / self.facts.channels) as u64) == frame;
            if !into.is_empty() && (!follows || into.len() + len > self.together) {
                break;
            }
            into.extend_from_slice(block);
            inner.blocks.pop_front();
            inner.waiting -= len;
        }
        begin.map_or(Arrived::Nothing, |first_frame| Arrived::Sound { first_frame })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use audio::Encoding;
    use quantities::SampleRate;

    fn pair(channels: usize) -> (Pusher, PushedSource) {
        pushed(SourceFacts {
            name: "test".into(),
            sample_rate: SampleRate::from_hz(8_000.0).unwrap(),
            channels,
            encoding: Encoding::Bits24,
        })
    }

    fn next(source: &mut PushedSource) -> (Arrived, Vec<f32>) {
        let mut block = Vec::new();
        let arrived = source.next(&mut block, Duration::from_millis(1));
        (arrived, block)
    }

    #[test]
    fn blocks_that_follow_are_put_together_and_others_are_not() {
        let (pusher, mut source) = pair(2);
        pusher.push(0, &[1.0, 2.0]).unwrap();
        pusher.push(1, &[3.0, 4.0]).unwrap();
        pusher.push(7, &[5.0, 6.0]).unwrap();
        let sound = |first_frame| Arrived::Sound { first_frame };
        assert_eq!(next(&mut source), (sound(0), vec![1.0, 2.0, 3.0, 4.0]));
        assert_eq!(next(&mut source), (sound(7), vec![5.0, 6.0]));
        assert_eq!(next(&mut source).0, Arrived::Nothing);
        assert_eq!(pusher.push(8, &[1.0]), Err(PushRefused::PartOfFrame));
        pusher.end();
        assert_eq!(next(&mut source).0, Arrived::End(None));
    }

    #[test]
    fn what_nobody_takes_does_not_pile_up() {
        let (pusher, source) = pair(1);
        let second = vec![0.0; 8_000];
        for k in 0..30 {
            pusher.push(k * 8_000, &second).unwrap();
        }
        assert_eq!(pusher.push(240_000, &second), Err(PushRefused::TooFast));
        drop(source);
        assert_eq!(pusher.push(240_000, &second), Err(PushRefused::NobodyListens));
    }
}
