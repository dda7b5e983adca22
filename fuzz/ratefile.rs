//! What the target `ratefile` does with its bytes; `crates/ratefile/tests/fuzzed.rs` does the same with
//! the corpus.

use horology::isochronism::observe;
use horology::poise::PoiseSettings;
use ratefile::{Place, Unfit, Unsaid};

/// Bytes as a rate sheet that a person wrote: one that can be worked out, and for all else a sentence
/// with a line that is there.
pub(crate) fn feed(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let unsaid = Unsaid { rate_sd: 0.5, amplitude_sd_deg: 3.0, beat_error_sd_ms: 0.1 };
    let file = match ratefile::read(text, &unsaid) {
        Ok(file) => file,
        Err(unfit) => return check(&unfit, text),
    };
    assert!(!file.entries.is_empty(), "a sheet of nothing");
    match file.rounds(0.1) {
        Ok(rounds) => {
            for balance in rounds.now.balances() {
                let _ = regulate::heavy_spot(&rounds.now, balance, &PoiseSettings::default());
                let _ = observe(&rounds.now, balance);
            }
        }
        Err(unfit) => check(&unfit, text),
    }
    if let Err(unfit) = file.fifteen_days() {
        check(&unfit, text);
    }
}

fn check(unfit: &Unfit, text: &str) {
    let lines = text.split('\n').count() as u64;
    match unfit.at {
        Some(Place::Line(line)) => assert!((1..=lines).contains(&line), "{unfit}"),
        Some(Place::Row(row)) => assert!(row > 0, "{unfit}"),
        None => {}
    }
    let sentence = unfit.to_string();
    assert!(sentence.ends_with('.') && !sentence.contains('\n'), "no sentence: {sentence}");
}
