//! Real timepieces, five seconds each, where the folder of recordings is: from the ESC-10 dataset (K. J. Piczak,
//! "ESC: Dataset for Environmental Sound Classification", ACM Multimedia 2015). The folder's own notes give how
//! long two beats take, found by folding the envelope at trial periods: a method of its own.

#![allow(clippy::unwrap_used, reason = "a test says what went wrong by failing")]

use audio::AudioFile;
use beats::{Listener, Reading, Settings};
use std::path::Path;

/// What is heard in one of them, told nothing. `None` where the folder is not here.
fn heard(name: &str) -> Option<Reading> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../shared/recordings/real");
    let path = folder.join(name);
    if !path.exists() {
        eprintln!("SKIPPED: {} is not here, so nothing was tested with it", path.display());
        return None;
    }
    let mut file = AudioFile::open(&path).unwrap();
    let mut listener = Listener::new(file.sample_rate(), file.channels(), Settings::default());
    let mut block = Vec::new();
    while file.next_block(&mut block).unwrap() {
        listener.push(&block);
        block.clear();
    }
    Some(listener.reading())
}

/// Beats per hour within the folder's table, for the one balance that is there.
fn beats(name: &str, per_hour: f64, within: f64) {
    let Some(reading) = heard(name) else { return };
    let all = reading.balances.iter().filter_map(|b| b.measured_beats_per_hour);
    let all: Vec<f64> = all.map(|measured| measured.value).collect();
    assert!(matches!(all[..], [one] if (one - per_hour).abs() <= within), "{name}: {all:?}");
}

#[test]
fn an_old_electromechanical_balance_clock() {
    beats("3-171041-A.ogg", 18_003.0, 10.0);
}

#[test]
fn an_old_mechanical_clock_in_a_reverberant_room() {
    beats("5-208624-A.ogg", 12_006.0, 10.0);
}

#[test]
fn a_clockwork_timer_badly_out_of_beat() {
    beats("4-175945-A.ogg", 15_826.0, 20.0);
}

/// It steps once a second: no balance.
#[test]
fn a_quartz_clock_is_no_watch() {
    let Some(reading) = heard("2-141584-A.ogg") else { return };
    assert!(reading.balances.is_empty(), "{:?}", reading.balances.len());
}
