//! What the target `listen` does with its bytes; `crates/beats/tests/fuzzed.rs` does the same with the
//! corpus.

use beats::{Listener, Settings};
use quantities::SampleRate;

/// Bytes as samples, at any sample rate and in any number of channels, as the sound of a watch: a
/// reading without a panic, whose uncertainties are numbers.
pub(crate) fn feed(bytes: &[u8]) {
    let [rate, channels, gain, step, rest @ ..] = bytes else { return };
    let rate_hz = 8000.0 + 376_000.0 * f64::from(*rate) / 255.0;
    let Ok(rate) = SampleRate::from_hz(rate_hz) else { return };
    let channels = usize::from(*channels % 8);
    let mut listener = Listener::new(rate, channels, Settings::default());
    // Each pair of bytes is held for a while, so that a few kilobytes make seconds of sound; the
    // largest gain makes values that are no numbers.
    let gain = if *gain == 255 { f32::NAN } else { f32::from(*gain) / 64.0 };
    let held = 1 + usize::from(*step) * 4;
    for pair in rest.chunks_exact(2) {
        let value = gain * f32::from(i16::from_le_bytes([pair[0], pair[1]])) / 32_768.0;
        listener.push(&vec![value; held]);
    }
    let reading = listener.reading();
    assert!(reading.duration_s.is_finite() && reading.duration_s >= 0.0);
    for balance in &reading.balances {
        for measured in
            [balance.measured_beats_per_hour, balance.rate_s_per_d, balance.amplitude_deg]
                .into_iter()
                .flatten()
        {
            assert!(measured.value.is_finite() && measured.sd.is_finite() && measured.sd >= 0.0);
        }
    }
}
