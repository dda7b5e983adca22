//! Writes the sound of a recording, so that it can be heard and looked at.

use crate::command::Failure;
use crate::hearing::NotLaidDown;
use crate::recordings::Recording;
use std::io::Write;
use std::path::Path;
use truth::Sound;

/// Writes the sound of a recording. Whatever is longer than the format can hold is left out.
pub(crate) fn write(path: &Path, recording: &Recording) -> Result<(), Failure> {
    let scenario = &recording.scenario;
    let frames = frames_that_fit(scenario.frames(), scenario.channels);
    let mut file = std::io::BufWriter::new(std::fs::File::create(path)?);
    file.write_all(&head(frames, scenario.channels, scenario.sample_rate_hz))?;
    let mut sound = Sound::new(scenario).map_err(NotLaidDown::from)?;
    let mut left = frames as usize * scenario.channels;
    let mut block = vec![0.0_f32; 4_096 * scenario.channels];
    while left > 0 {
        let filled = sound.fill(&mut block).min(left);
        if filled == 0 {
            break;
        }
        recording.store_as.round(&mut block[..filled]);
        for x in &block[..filled] {
            file.write_all(&x.to_le_bytes())?;
        }
        left -= filled;
    }
    file.flush()?;
    Ok(())
}

/// Writes the samples of one channel.
pub(crate) fn write_samples(path: &Path, rate_hz: u32, samples: &[f32]) -> Result<(), Failure> {
    let frames = frames_that_fit(samples.len() as u64, 1);
    let mut file = std::io::BufWriter::new(std::fs::File::create(path)?);
    file.write_all(&head(frames, 1, rate_hz))?;
    for x in &samples[..frames as usize] {
        file.write_all(&x.to_le_bytes())?;
    }
    file.flush()?;
    Ok(())
}

const BYTES: u64 = 4;

fn frames_that_fit(frames: u64, channels: usize) -> u64 {
    frames.min((u64::from(u32::MAX) - 64) / (BYTES * channels as u64))
}

/// Head of a WAV file of 32-bit floats (format 3 of the WAVE format description, Microsoft and
/// IBM, 1991, with the "fact" chunk that its revision of 1994 asks for).
fn head(frames: u64, channels: usize, rate_hz: u32) -> Vec<u8> {
    let frame_bytes = BYTES * channels as u64;
    let data_bytes = (frames * frame_bytes) as u32;
    let mut head = Vec::new();
    head.extend(b"RIFF");
    head.extend((data_bytes + 50).to_le_bytes());
    head.extend(b"WAVEfmt ");
    head.extend(18_u32.to_le_bytes());
    head.extend(3_u16.to_le_bytes());
    head.extend((channels as u16).to_le_bytes());
    head.extend(rate_hz.to_le_bytes());
    head.extend((rate_hz * frame_bytes as u32).to_le_bytes());
    head.extend((frame_bytes as u16).to_le_bytes());
    head.extend(32_u16.to_le_bytes());
    head.extend(0_u16.to_le_bytes());
    head.extend(b"fact");
    head.extend(4_u32.to_le_bytes());
    head.extend((frames as u32).to_le_bytes());
    head.extend(b"data");
    head.extend(data_bytes.to_le_bytes());
    head
}
