//! Simulated watches: their sound, and what is heard in it.

use crate::NotMade;
use audio::{Encoding, FlacWriter, WavFormat};
use beats::{Reading, Settings};
use std::path::Path;
use truth::{Balance, Noise, Ripple, Scenario, Sound, Voice, VoiceFamily};

/// Samples a second of all of them.
const SAMPLE_RATE_HZ: u32 = 48_000;
/// Frames made at once.
const BLOCK_FRAMES: usize = 4_096;

/// A balance of an invented watch.
#[derive(Debug, Clone, Copy)]
pub(super) struct Swing {
    pub(super) beats_per_hour: f64,
    pub(super) rate_s_per_d: f64,
    pub(super) amplitude_deg: f64,
    pub(super) beat_error_ms: f64,
    pub(super) loudness: f64,
    pub(super) voice: (VoiceFamily, u64),
    /// Half of peak to peak, ms, and period, s, of what a wheel does to its beats.
    pub(super) wheel: Option<(f64, f64)>,
}

/// What is recorded of an invented watch.
pub(super) fn scenario(swings: &[Swing], duration_s: f64, seed: u64) -> Scenario {
    let balance = |(n, swing): (usize, &Swing)| Balance {
        beats_per_hour: swing.beats_per_hour,
        rate_s_per_d: swing.rate_s_per_d,
        amplitude_deg: swing.amplitude_deg,
        beat_error_ms: swing.beat_error_ms,
        loudness: swing.loudness,
        offset_s: 0.03 + 0.041 * n as f64,
        voice: Voice::new(swing.voice.0, swing.voice.1),
        timing_ripple_ms: swing
            .wheel
            .into_iter()
            .map(|(semi_amplitude, period_s)| Ripple { semi_amplitude, period_s, phase_turns: 0.3 })
            .collect(),
        ..Balance::default()
    };
    Scenario {
        sample_rate_hz: SAMPLE_RATE_HZ,
        duration_s,
        balances: swings.iter().enumerate().map(balance).collect(),
        noises: vec![Noise::White { rms_db: -70.0 }, Noise::Pink { rms_db: -62.0 }],
        ..Scenario::new(seed)
    }
}

fn making(error: &dyn std::error::Error) -> NotMade {
    NotMade::Making(error.to_string())
}

/// Writes the sound as FLAC, and says what is heard in that.
pub(super) fn record(
    scenario: &Scenario,
    settings: Settings,
    file: &Path,
) -> Result<Reading, NotMade> {
    play(scenario, file)?;
    server::hear_file(file, settings).map_err(|e| making(&e))
}

/// Writes the sound as FLAC.
pub(super) fn play(scenario: &Scenario, file: &Path) -> Result<(), NotMade> {
    let mut sound = Sound::new(scenario).map_err(|e| making(&e))?;
    let format = WavFormat {
        sample_rate_hz: SAMPLE_RATE_HZ,
        channels: scenario.channels,
        encoding: Encoding::Bits16,
    };
    let mut out = FlacWriter::create(file, format).map_err(|e| making(&e))?;
    let mut block = vec![0.0; BLOCK_FRAMES * scenario.channels];
    loop {
        match sound.fill(&mut block) {
            0 => break,
            frames => out.write(&block[..frames * scenario.channels]).map_err(|e| making(&e))?,
        }
    }
    out.finish().map_err(|e| making(&e))
}
