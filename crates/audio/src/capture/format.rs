//! In what form a device is opened.

use super::CaptureWish;
use super::failure::CaptureError;
use super::hush::hushed;
use crate::Encoding;
use cpal::traits::DeviceTrait;
use cpal::{BufferSize, SampleFormat, SupportedBufferSize, SupportedStreamConfigRange};
use quantities::SampleRate;

/// What most recorders do best, Hz.
const USUAL_RATE_HZ: u32 = 48_000;
/// Two pickups at most are expected of a device that was not asked for more.
const MOST_UNASKED: u16 = 2;
/// Blocks that are asked for, seconds. Longer ones cost less; the level is to be seen ten times a
/// second.
const BLOCK_S: f64 = 0.04;
/// Kinds of sample, best first; 16 bits are taken where a device has no better.
const KINDS: [SampleFormat; 6] = [
    SampleFormat::I32,
    SampleFormat::F32,
    SampleFormat::I24,
    SampleFormat::I16,
    SampleFormat::U8,
    SampleFormat::I8,
];

/// A form.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Chosen {
    pub(super) sample_rate: SampleRate,
    pub(super) channels: usize,
    pub(super) kind: SampleFormat,
    /// As the system wants it, with the block length that is asked for.
    pub(super) config: cpal::StreamConfig,
}

impl Chosen {
    pub(super) fn encoding(&self) -> Encoding {
        match self.kind {
            SampleFormat::I16 | SampleFormat::U8 | SampleFormat::I8 => Encoding::Bits16,
            _ => Encoding::Bits24,
        }
    }

    /// The same with the block length that the device has of itself.
    pub(super) fn usual_blocks(&self) -> cpal::StreamConfig {
        cpal::StreamConfig { buffer_size: BufferSize::Default, ..self.config }
    }
}

pub(super) fn choose(
    device: &cpal::Device,
    name: &str,
    wish: &CaptureWish,
) -> Result<Chosen, CaptureError> {
    let all = hushed(|| device.supported_input_configs().map(Iterator::collect::<Vec<_>>));
    let mut all = all.map_err(|error| CaptureError::not_opened(name, &error))?;
    all.retain(|c| KINDS.contains(&c.sample_format()) && c.channels() > 0);
    let usual = hushed(|| device.default_input_config()).ok();
    let wished_hz = wish.sample_rate.map(|rate| rate.hz().round() as u32);
    let has = |c: &SupportedStreamConfigRange, hz: u32| {
        (c.min_sample_rate()..=c.max_sample_rate()).contains(&hz)
    };
    let usual_channels = usual.as_ref().map_or(1, |u| u.channels()).clamp(1, MOST_UNASKED);
    let usual_hz = usual.as_ref().map(|u| u.sample_rate());
    let fits = |c: &&SupportedStreamConfigRange| {
        wish.channels.is_none_or(|n| usize::from(c.channels()) == n)
            && wished_hz.is_none_or(|hz| has(c, hz))
    };
    let place = |c: &SupportedStreamConfigRange| {
        let kind = KINDS.iter().position(|k| *k == c.sample_format());
        // Nearest to the usual number of channels, then the better samples.
        (c.channels().abs_diff(usual_channels), kind)
    };
    let best = all.iter().filter(fits).min_by_key(|c| place(c));
    let Some(best) = best else { return Err(refused(name, wish, &all)) };
    let hz = wished_hz
        .or_else(|| has(best, USUAL_RATE_HZ).then_some(USUAL_RATE_HZ))
        .or(usual_hz.filter(|hz| has(best, *hz)))
        .unwrap_or(best.max_sample_rate());
    let Ok(sample_rate) = SampleRate::from_hz(f64::from(hz)) else {
        return Err(refused(name, wish, &all));
    };
    let wanted = (BLOCK_S * f64::from(hz)) as u32;
    let buffer_size = match best.buffer_size() {
        SupportedBufferSize::Range { min, max } if min <= max => {
            BufferSize::Fixed(wanted.clamp(*min, *max))
        }
        _ => BufferSize::Default,
    };
    Ok(Chosen {
        sample_rate,
        channels: usize::from(best.channels()),
        kind: best.sample_format(),
        config: cpal::StreamConfig { channels: best.channels(), sample_rate: hz, buffer_size },
    })
}

fn refused(name: &str, wish: &CaptureWish, all: &[SupportedStreamConfigRange]) -> CaptureError {
    let channels = wish.channels.map(|n| format!("{n} channels"));
    let rate = wish.sample_rate.map(|rate| format!("{} samples a second", rate.hz()));
    let wished: Vec<String> = channels.into_iter().chain(rate).collect();
    let wished =
        if wished.is_empty() { "sound of a known kind".into() } else { wished.join(" at ") };
    let mut there: Vec<String> = all
        .iter()
        .map(|c| {
            let (least, most) = (c.min_sample_rate(), c.max_sample_rate());
            let rates =
                if least == most { least.to_string() } else { format!("{least} to {most}") };
            format!("{} channels at {rates}", c.channels())
        })
        .collect();
    there.sort();
    there.dedup();
    there.truncate(8);
    let there = if there.is_empty() { "none".into() } else { there.join(", ") };
    CaptureError::Format { name: name.into(), wished, there }
}
