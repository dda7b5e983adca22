//! A device while it runs: the system's own thread copies what comes into a ring, from which
//! whoever listens takes it. That thread waits for nobody: where the ring is full, the block is
//! left out, and the count of frames shows it.

use super::failure::CaptureError;
use super::format::Chosen;
use super::hush::hushed;
use cpal::traits::{DeviceTrait, StreamTrait};
use cpal::{ErrorKind, FromSample, Sample, SampleFormat, SizedSample, StreamConfig};
use rtrb::{Consumer, Producer, RingBuffer};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

/// So much sound waits at most, seconds: whoever listens may be busy for long on a slow machine.
const RING_S: f64 = 20.0;
/// Blocks that wait at most: those of 5 ms fill the ring.
const MOST_BLOCKS: usize = 4_096;
/// Between two looks whether a block has come.
const LOOK: Duration = Duration::from_millis(5);

/// A block in the ring.
#[derive(Debug, Clone, Copy)]
pub(super) struct Block {
    pub(super) first_frame: u64,
    samples: usize,
    pub(super) at: Instant,
    pub(super) counted: bool,
}

/// Why nothing more comes.
pub(super) enum Trouble {
    Gone(String),
}

#[derive(Default)]
struct Said {
    gone: Mutex<Option<String>>,
    /// The system has lost sound before the next block, nobody knows how much.
    overrun: AtomicBool,
}

pub(super) struct Running {
    /// Where its count begins in that of the capture.
    pub(super) begins_at: u64,
    blocks: Consumer<Block>,
    samples: Consumer<f32>,
    said: Arc<Said>,
    _stream: cpal::Stream,
}

impl Running {
    pub(super) fn start(
        device: &cpal::Device,
        name: &str,
        chosen: &Chosen,
    ) -> Result<Self, CaptureError> {
        let opened = hushed(|| Self::open(device, chosen, chosen.config));
        // Some devices refuse a length of block that they claim to have.
        opened
            .or_else(|_| hushed(|| Self::open(device, chosen, chosen.usual_blocks())))
            .map_err(|error| CaptureError::not_opened(name, &error))
    }

    fn open(
        device: &cpal::Device,
        chosen: &Chosen,
        config: StreamConfig,
    ) -> Result<Self, cpal::Error> {
        let room = (RING_S * chosen.sample_rate.hz()) as usize * chosen.channels;
        let (put_samples, samples) = RingBuffer::new(room);
        let (put_blocks, blocks) = RingBuffer::new(MOST_BLOCKS);
        let said = Arc::new(Said::default());
        let copier = Copier {
            samples: put_samples,
            blocks: put_blocks,
            said: said.clone(),
            channels: chosen.channels,
            rate_hz: chosen.sample_rate.hz(),
            frames: 0,
            last: None,
        };
        let stream = match chosen.kind {
            SampleFormat::I32 => build::<i32>(device, config, copier),
            SampleFormat::F32 => build::<f32>(device, config, copier),
            SampleFormat::I24 => build::<cpal::I24>(device, config, copier),
            SampleFormat::I16 => build::<i16>(device, config, copier),
            SampleFormat::U8 => build::<u8>(device, config, copier),
            _ => build::<i8>(device, config, copier),
        }?;
        stream.play()?;
        Ok(Self { begins_at: 0, blocks, samples, said, _stream: stream })
    }

    /// Takes the next block out.
    pub(super) fn next(&mut self, into: &mut Vec<f32>, wait: Duration) -> Option<Block> {
        let until = Instant::now() + wait;
        let block = loop {
            match self.blocks.pop() {
                Ok(block) => break block,
                Err(_) if self.is_gone() || Instant::now() >= until => return None,
                Err(_) => std::thread::sleep(LOOK),
            }
        };
        // A block is announced once all of it is there.
        let chunk = self.samples.read_chunk(block.samples).ok()?;
        let (first, second) = chunk.as_slices();
        into.extend_from_slice(first);
        into.extend_from_slice(second);
        chunk.commit_all();
        Some(block)
    }

    fn is_gone(&self) -> bool {
        self.said.gone.lock().unwrap_or_else(PoisonError::into_inner).is_some()
    }

    pub(super) fn trouble(&self) -> Option<Trouble> {
        let gone = self.said.gone.lock().unwrap_or_else(PoisonError::into_inner);
        gone.clone().map(Trouble::Gone)
    }
}

/// What the system's thread does with a block.
struct Copier {
    samples: Producer<f32>,
    blocks: Producer<Block>,
    said: Arc<Said>,
    channels: usize,
    rate_hz: f64,
    frames: u64,
    last: Option<Instant>,
}

impl Copier {
    fn copy<T: Sample>(&mut self, data: &[T])
    where
        f32: FromSample<T>,
    {
        let at = Instant::now();
        let whole = data.len() - data.len() % self.channels;
        let frames = (whole / self.channels) as u64;
        let overrun = self.said.overrun.swap(false, Ordering::Relaxed);
        if let (true, Some(last)) = (overrun, self.last) {
            // By the clock: right to some milliseconds.
            let came = at.duration_since(last).as_secs_f64() * self.rate_hz;
            self.frames += (came as u64).saturating_sub(frames);
        }
        self.last = Some(at);
        let first_frame = self.frames;
        self.frames += frames;
        if self.blocks.is_full() {
            return;
        }
        let Ok(room) = self.samples.write_chunk_uninit(whole) else { return };
        room.fill_from_iter(data.iter().map(|x| x.to_sample::<f32>()));
        // There is room: only this thread puts blocks in.
        let _ = self.blocks.push(Block { first_frame, samples: whole, at, counted: !overrun });
    }
}

fn build<T>(
    device: &cpal::Device,
    config: StreamConfig,
    mut copier: Copier,
) -> Result<cpal::Stream, cpal::Error>
where
    T: SizedSample,
    f32: FromSample<T>,
{
    let said = copier.said.clone();
    device.build_input_stream(
        config,
        move |data: &[T], _: &_| copier.copy(data),
        move |error: cpal::Error| match error.kind() {
            ErrorKind::Xrun => said.overrun.store(true, Ordering::Relaxed),
            // Neither stops the sound.
            ErrorKind::RealtimeDenied | ErrorKind::DeviceChanged => {}
            _ => {
                let mut gone = said.gone.lock().unwrap_or_else(PoisonError::into_inner);
                let why = error.to_string().trim_end_matches('.').to_owned();
                gone.get_or_insert(why);
            }
        },
        None,
    )
}
