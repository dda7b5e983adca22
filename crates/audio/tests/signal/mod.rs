//! The signal that `fixtures/make.py` writes, made again here: integer arithmetic only, so that
//! both make the very same samples.

#![allow(dead_code, clippy::unwrap_used)]

use std::path::PathBuf;

/// Frame of the first click of channel 0.
pub(crate) const FIRST_CLICK: usize = 700;
/// Frames from click to click.
pub(crate) const CLICK_EVERY: usize = 1999;

/// Interleaved 24-bit samples: noise bursts that halve every 32 frames, over a little noise.
/// Channel c clicks at frame 700 + 1999 k + 37 c.
pub(crate) fn signal24(frames: usize, channels: usize) -> Vec<i32> {
    let mut state = 12_345_u32;
    let mut out = Vec::with_capacity(frames * channels);
    for frame in 0..frames {
        for channel in 0..channels {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            let noise = (state >> 8) as i32 - (1 << 23);
            let mut value = noise >> 12;
            if let Some(since) = frame.checked_sub(FIRST_CLICK + 37 * channel) {
                let shift = 1 + (since % CLICK_EVERY) / 32;
                if shift < 12 {
                    value = noise >> shift;
                }
            }
            out.push(value);
        }
    }
    out
}

/// The signal cut to `bits`, as `f32` at full scale ±1.
pub(crate) fn signal(frames: usize, channels: usize, bits: u32) -> Vec<f32> {
    let dropped = 24 - bits;
    signal24(frames, channels)
        .into_iter()
        .map(|value| ((value >> dropped) << dropped) as f32 / (1 << 23) as f32)
        .collect()
}

/// Path of a fixture.
pub(crate) fn fixture(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures").join(name)
}

/// Bytes of a fixture.
pub(crate) fn fixture_bytes(name: &str) -> Vec<u8> {
    std::fs::read(fixture(name)).unwrap()
}

/// Names of all recordings among the fixtures.
pub(crate) fn all_fixtures() -> Vec<String> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures");
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| !name.ends_with(".py") && !name.ends_with(".md"))
        .collect();
    names.sort();
    assert!(names.len() > 40, "fixtures are missing: {names:?}");
    names
}

/// Whether this build can decode that fixture.
pub(crate) fn decodable(name: &str) -> bool {
    !name.ends_with(".w64") && (cfg!(feature = "opus") || !name.starts_with("opus"))
}
