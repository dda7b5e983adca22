//! The recorder's clock from the recordings with known truth, where that folder is.

#![allow(clippy::unwrap_used, reason = "a test says what went wrong by failing")]

use audio::AudioFile;
use audio::clock::{ClockFailure, ClockReading, Reference, ReferencePeriod, SteppingListener};
use std::path::{Path, PathBuf};

fn recording(name: &str) -> Option<PathBuf> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../../shared/recordings").join(name);
    if path.exists() {
        return Some(path);
    }
    eprintln!("SKIPPED: {} is not here, so nothing was tested with it", path.display());
    None
}

fn read(path: &Path, reference: Reference) -> Result<ClockReading, ClockFailure> {
    let mut file = AudioFile::open(path).unwrap();
    let mut listener = SteppingListener::new(file.sample_rate(), file.channels(), reference);
    let mut block = Vec::new();
    while file.next_block(&mut block).unwrap() {
        listener.push(&block);
        block.clear();
    }
    listener.finish()
}

/// The folder's manifest says -22 ppm; 0.3 is what the project must reach.
#[test]
fn the_shared_reference_gives_its_clock() {
    let Some(path) = recording("reference-quartz-clock-22.flac") else { return };
    let reading = read(&path, Reference::exact(ReferencePeriod::one_second())).unwrap();
    println!("{:?} of {} steps, {:?}", reading.error_ppm, reading.steps_used, reading.warnings);
    let error = reading.error_ppm.value + 22.0;
    assert!(error.abs() < 0.3, "{error}");
    // Three deviations: the chance of an honest one to fail is 0.3 %, and this is one recording.
    assert!(error.abs() < 3.0 * reading.error_ppm.sd, "{error} {:?}", reading.error_ppm);
    assert!(reading.error_ppm.sd < 0.3, "{:?}", reading.error_ppm);
}

/// Five seconds of a real quartz clock (the folder's `real/`, K. J. Piczak's ESC-10): too little,
/// and the sentence says how much is needed.
#[test]
fn five_seconds_of_a_real_clock_are_too_few() {
    let Some(path) = recording("real/2-141584-A.ogg") else { return };
    let failure = read(&path, Reference::unchecked(ReferencePeriod::one_second())).unwrap_err();
    assert!(matches!(failure, ClockFailure::TooShort { .. }), "{failure}");
    assert!(failure.to_string().contains("record at least 9 s, better 120 s"), "{failure}");
}

/// The same clock, its five steps over and over: the sound of a real movement in a real room, and a
/// period that is exact by construction but for what its own five steps differ by. Five seconds
/// are 220,544 samples there, so that the seam adds 44 samples (1 ms) to every fifth interval; cut
/// to 220,500 it fits.
#[test]
fn a_real_clocks_sound_can_be_followed() {
    let Some(path) = recording("real/2-141584-A.ogg") else { return };
    let mut file = AudioFile::open(&path).unwrap();
    let (mut all, mut block) = (Vec::new(), Vec::new());
    while file.next_block(&mut block).unwrap() {
        all.append(&mut block);
    }
    let (rate, channels) = (file.sample_rate(), file.channels());
    all.truncate(220_500 * channels);
    let mut listener =
        SteppingListener::new(rate, channels, Reference::exact(ReferencePeriod::one_second()));
    for _ in 0..24 {
        listener.push(&all);
    }
    let reading = listener.finish().unwrap();
    println!("{:?}, step sd {} s, {:?}", reading.error_ppm, reading.step_sd_s, reading.warnings);
    // The same five steps come every five seconds exactly: the error is nought but for the ends.
    assert!(reading.error_ppm.value.abs() < 3.0 * reading.error_ppm.sd, "{:?}", reading.error_ppm);
    assert!(reading.error_ppm.value.abs() < 1.0, "{:?}", reading.error_ppm);
    assert!(reading.steps_used >= 90, "{}", reading.steps_used);
}

/// Watches and noise of the folder are no references.
#[test]
fn the_shared_watches_are_no_references() {
    for name in ["single-28800-clean.flac", "single-21600-room.flac", "noise-room.flac"] {
        let Some(path) = recording(name) else { return };
        let got = read(&path, Reference::exact(ReferencePeriod::one_second()));
        println!("{name}: {}", got.clone().unwrap_err());
        assert!(got.is_err(), "{name}");
    }
    for name in ["3-171041-A.ogg", "4-175945-A.ogg", "5-208624-A.ogg"] {
        let Some(path) = recording(&format!("real/{name}")) else { return };
        assert!(read(&path, Reference::exact(ReferencePeriod::from_s(0.25).unwrap())).is_err());
    }
}
