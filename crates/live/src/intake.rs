//! Takes the sound in: counts it, measures its level, keeps that of a reading, and hands it on.

use crate::analyst::{Finished, Work};
use crate::board::Board;
use crate::kept_sound::KeptSound;
use crate::level::Meter;
use crate::listening::Order;
use crate::snapshot::{InHand, State};
use crate::source::{Arrived, Source};
use crate::taking::{Ended, Gap, NotTaken, Outgoing, Taken, Wish};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, SyncSender, TryRecvError};
use std::time::{Duration, Instant};

/// Orders are looked for this often.
const WAIT: Duration = Duration::from_millis(50);
/// Without sound for so long, the state is that it is waited for.
const WAITING_AFTER: Duration = Duration::from_secs(1);
/// A gap up to this length becomes silence within a reading, seconds; a longer one ends it, for a
/// watch may have been wound, turned or changed meanwhile.
const MOST_GAP_S: f64 = 60.0;
/// After a gap longer than this, what is heard between readings is heard anew, seconds.
const ANEW_AFTER_GAP_S: f64 = 2.0;
/// Frames that have been there before, and longer ago than this, seconds, are no late ones: the source
/// counts anew.
const COUNTS_ANEW_S: f64 = 1.0;
/// Silence is handed on in blocks of this length, seconds.
const SILENCE_S: f64 = 0.1;

pub(crate) struct Intake {
    pub(crate) source: Box<dyn Source>,
    pub(crate) orders: Receiver<Order>,
    pub(crate) work: SyncSender<Work>,
    pub(crate) board: Arc<Board>,
    pub(crate) meter: Meter,
    pub(crate) rate_hz: f64,
    pub(crate) channels: usize,
    pub(crate) flow: Flow,
    pub(crate) taking: Option<InProgress>,
}

/// What has come so far.
#[derive(Default)]
pub(crate) struct Flow {
    begin_frame: Option<u64>,
    next_frame: u64,
    /// What is added to the source's count, which may have begun anew.
    rebase: u64,
    lost_frames: u64,
    paused: bool,
    gone_since: Option<Instant>,
    last_sound: Option<Instant>,
}

/// A reading that is being taken.
pub(crate) struct InProgress {
    pub(crate) id: u64,
    pub(crate) wish: Wish,
    /// Frames that it may have.
    most_frames: Option<u64>,
    sound: Option<KeptSound>,
    frames: u64,
    lost_frames: u64,
    gaps: Vec<Gap>,
}

impl InProgress {
    pub(crate) fn new(id: u64, wish: Wish, rate_hz: f64, sound: Option<KeptSound>) -> Self {
        let most_frames = wish.seconds.map(|s| ((s * rate_hz).round() as u64).max(1));
        Self { id, wish, most_frames, sound, frames: 0, lost_frames: 0, gaps: Vec::new() }
    }
}

/// Whoever hears the sound is gone: the thread ends.
struct Over;

impl Intake {
    pub(crate) fn run(mut self) {
        let why = self.go_on();
        self.finish_reading(match why {
            Ok(_) => Ended::SourceGone,
            Err(Over) => Ended::ListeningEnded,
        });
        // Where a fault of our own ended it, that has been said.
        let end = why.unwrap_or(None);
        self.board.change(|s| {
            if !s.state.is_over() {
                s.state = State::Ended(end);
            }
        });
        // Who comes after the end gets nothing, and leaves no empty file.
        for order in self.orders.try_iter() {
            if let Order::Take(reading, outgoing) = order {
                if let Some(sound) = reading.sound {
                    sound.discard();
                }
                outgoing.put(Err(NotTaken::Over));
            }
        }
    }

    /// Until the source ends, with why, or nobody wants more.
    fn go_on(&mut self) -> Result<Option<String>, Over> {
        let mut block = Vec::new();
        loop {
            block.clear();
            let arrived = self.source.next(&mut block, WAIT);
            // An order holds for the first block that comes after it.
            self.obey()?;
            match arrived {
                Arrived::Sound { first_frame } => self.sound(first_frame, &block)?,
                Arrived::Nothing => self.nothing(),
                Arrived::Gone(why) => self.gone(why),
                Arrived::End(why) => return Ok(why),
            }
        }
    }

    fn obey(&mut self) -> Result<(), Over> {
        loop {
            match self.orders.try_recv() {
                Ok(Order::Settings(settings)) => self.hand_on(Work::Settings(settings))?,
                Ok(Order::Anew) => self.hand_on(Work::Anew)?,
                Ok(Order::Pause(pause)) => self.pause(pause)?,
                Ok(Order::Take(reading, outgoing)) => self.begin_reading(*reading, outgoing)?,
                Ok(Order::Finish(id, why)) => {
                    if self.taking.as_ref().is_some_and(|t| t.id == id) {
                        self.finish_reading(why);
                    }
                }
                Ok(Order::Cancel(id)) => self.cancel(id)?,
                Ok(Order::End) | Err(TryRecvError::Disconnected) => return Err(Over),
                Err(TryRecvError::Empty) => return Ok(()),
            }
        }
    }

    fn hand_on(&self, work: Work) -> Result<(), Over> {
        self.work.send(work).map_err(|_| Over)
    }

    fn pause(&mut self, pause: bool) -> Result<(), Over> {
        if pause {
            self.finish_reading(Ended::ListeningEnded);
        } else if self.flow.paused {
            self.hand_on(Work::Anew)?;
        }
        self.flow.paused = pause;
        let state = if pause { State::Paused } else { State::Waiting };
        self.board.change(|s| s.state = state);
        Ok(())
    }

    fn sound(&mut self, first_frame: u64, block: &[f32]) -> Result<(), Over> {
        let block = &block[..block.len() - block.len() % self.channels];
        let first_frame = self.rebased(first_frame, (block.len() / self.channels) as u64)?;
        let flow = &mut self.flow;
        let begin = *flow.begin_frame.get_or_insert(first_frame);
        if flow.next_frame < begin {
            flow.next_frame = begin;
        }
        // What has been there before is left out.
        let known = flow.next_frame.saturating_sub(first_frame);
        let known = usize::try_from(known).unwrap_or(usize::MAX).saturating_mul(self.channels);
        let Some(block) = block.get(known..).filter(|b| !b.is_empty()) else { return Ok(()) };
        let gap = first_frame.saturating_sub(flow.next_frame);
        let frames = (block.len() / self.channels) as u64;
        flow.next_frame = first_frame.max(flow.next_frame).saturating_add(frames);
        flow.last_sound = Some(Instant::now());
        flow.gone_since = None;
        if !flow.paused {
            flow.lost_frames = flow.lost_frames.saturating_add(gap);
            if gap > 0 {
                self.gap(gap)?;
            }
            self.take(block, 0)?;
        }
        let level = self.meter.push(block);
        let state = if self.flow.paused { State::Paused } else { State::Listening };
        if let Some(level) = level {
            let (elapsed_s, lost_frames) = (self.elapsed_s(), self.flow.lost_frames);
            let in_hand = self.in_hand();
            let against_computer = self.source.against_computer();
            self.board.change(|s| {
                s.against_computer = against_computer;
                (s.elapsed_s, s.lost_frames) = (elapsed_s, lost_frames);
                (s.level, s.state) = (level, state);
                s.in_hand = in_hand.or_else(|| s.in_hand.take().filter(|i| i.finishing));
            });
        }
        Ok(())
    }

    /// The number of a block's first frame in our own count.
    fn rebased(&mut self, first_frame: u64, frames: u64) -> Result<u64, Over> {
        let first = first_frame.wrapping_add(self.flow.rebase);
        let late = (COUNTS_ANEW_S * self.rate_hz) as u64;
        if first.saturating_add(frames).saturating_add(late) >= self.flow.next_frame {
            return Ok(first);
        }
        // Nobody knows what lies between.
        self.finish_reading(Ended::SourceGone);
        self.hand_on(Work::Anew)?;
        self.flow.rebase = self.flow.next_frame.wrapping_sub(first_frame);
        Ok(self.flow.next_frame)
    }

    /// Frames were lost.
    fn gap(&mut self, frames: u64) -> Result<(), Over> {
        let gap_s = frames as f64 / self.rate_hz;
        if gap_s > MOST_GAP_S {
            self.finish_reading(Ended::SourceGone);
        }
        if gap_s > ANEW_AFTER_GAP_S {
            self.hand_on(Work::Anew)?;
        }
        if gap_s > ANEW_AFTER_GAP_S && self.taking.is_none() {
            return Ok(());
        }
        let most = (SILENCE_S * self.rate_hz) as u64;
        let mut left = frames;
        while left > 0 {
            let now = left.min(most);
            self.take(&vec![0.0; now as usize * self.channels], now)?;
            left -= now;
        }
        Ok(())
    }

    /// Sound, or silence for so many lost frames: into the file and on to whoever hears it.
    fn take(&mut self, block: &[f32], lost: u64) -> Result<(), Over> {
        let mut rest = block;
        while !rest.is_empty() {
            let most = self.taking.as_ref().and_then(|t| t.most_frames.map(|m| m - t.frames));
            let most = most.and_then(|m| usize::try_from(m).ok()).unwrap_or(usize::MAX);
            let (now, later) = rest.split_at(most.saturating_mul(self.channels).min(rest.len()));
            rest = later;
            if let Some(taking) = &mut self.taking {
                let frames = (now.len() / self.channels) as u64;
                if lost > 0 {
                    taking.lose(frames);
                }
                taking.frames += frames;
                if let Some(sound) = &mut taking.sound {
                    sound.write(now);
                }
            }
            self.hand_on(Work::Sound(now.to_vec()))?;
            if self.taking.as_ref().is_some_and(|t| Some(t.frames) == t.most_frames) {
                self.finish_reading(Ended::TimeOver);
            }
        }
        Ok(())
    }

    fn nothing(&mut self) {
        let long = self.flow.last_sound.is_some_and(|then| then.elapsed() > WAITING_AFTER);
        if long && !self.flow.paused {
            self.flow.last_sound = None;
            self.board.change(|s| s.state = State::Waiting);
        }
    }

    fn gone(&mut self, why: String) {
        let since = *self.flow.gone_since.get_or_insert_with(Instant::now);
        if since.elapsed().as_secs_f64() > MOST_GAP_S {
            self.finish_reading(Ended::SourceGone);
        }
        let state = State::DeviceGone(why);
        if self.board.latest().state != state {
            self.board.change(|s| s.state = state);
        }
        // A source that is gone need not wait itself.
        std::thread::sleep(WAIT);
    }

    fn elapsed_s(&self) -> f64 {
        let begin = self.flow.begin_frame.unwrap_or(self.flow.next_frame);
        self.flow.next_frame.saturating_sub(begin) as f64 / self.rate_hz
    }

    fn in_hand(&self) -> Option<InHand> {
        let taking = self.taking.as_ref()?;
        Some(InHand {
            wish: taking.wish.clone(),
            seconds: taking.frames as f64 / self.rate_hz,
            lost_frames: taking.lost_frames,
            sound_failed: taking.sound.as_ref().and_then(|s| s.failed().map(str::to_owned)),
            finishing: false,
        })
    }

    fn begin_reading(&mut self, reading: InProgress, outgoing: Outgoing) -> Result<(), Over> {
        if self.taking.is_some() {
            if let Some(sound) = reading.sound {
                sound.discard();
            }
            outgoing.put(Err(NotTaken::Busy));
            return Ok(());
        }
        let (id, wish) = (reading.id, reading.wish.clone());
        self.taking = Some(reading);
        let in_hand = self.in_hand();
        self.board.change(|s| s.in_hand = in_hand);
        self.hand_on(Work::Begin { id, wish, outgoing })
    }

    fn finish_reading(&mut self, ended: Ended) {
        let Some(taking) = self.taking.take() else { return };
        let kept = taking.sound.map(KeptSound::finish);
        self.board.change(|s| {
            if let Some(in_hand) = &mut s.in_hand {
                in_hand.finishing = true;
                in_hand.seconds = taking.frames as f64 / self.rate_hz;
            }
        });
        let (frames, lost_frames, gaps) = (taking.frames, taking.lost_frames, taking.gaps);
        // Where nobody is there to hear it, its outcome says so by itself.
        let _ = self.hand_on(Work::Finish(Finished { frames, lost_frames, gaps, ended, kept }));
    }

    fn cancel(&mut self, id: u64) -> Result<(), Over> {
        let Some(taking) = self.taking.take_if(|t| t.id == id) else { return Ok(()) };
        if let Some(sound) = taking.sound {
            sound.discard();
        }
        self.board.change(|s| s.in_hand = None);
        self.hand_on(Work::Cancel)
    }
}

impl InProgress {
    fn lose(&mut self, frames: u64) {
        self.lost_frames += frames;
        let goes_on = self.gaps.last_mut().filter(|g| g.at_frame + g.frames == self.frames);
        if let Some(last) = goes_on {
            last.frames += frames;
        } else if self.gaps.len() < Taken::MOST_GAPS {
            self.gaps.push(Gap { at_frame: self.frames, frames });
        }
    }
}
