//! The recorder's clock from the recordings with known truth, where that folder is.

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
    println!("step sd {} s, span {}", reading.step_sd_s, reading.span_s);
    let error = reading.error_ppm.value + 22.0;
    assert!(error.abs() < 0.3, "{error}");
    // Three deviations: the chance of an honest one to fail is 0.3 %, and this is one recording.
    assert!(error.abs() < 3.0 * reading.error_ppm.sd, "{error} {:?}", reading.error_ppm);
    assert!(reading.error_ppm.sd < 0.3, "{:?}", reading.error_ppm);
}
