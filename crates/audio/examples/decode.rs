//! Decodes recordings and says what was in them and how fast it went.
//!
//! `cargo run --release -p audio --example decode -- FILE...`

use std::path::Path;
use std::time::Instant;

fn main() {
    for path in std::env::args().skip(1) {
        let begin = Instant::now();
        match read(Path::new(&path)) {
            Ok(file) => {
                let seconds = file.frames_read() as f64 / file.sample_rate().hz();
                println!(
                    "{path}: {}, {} Hz, {} channels, {} frames (says {:?} s), {:.0} x real time",
                    file.format(),
                    file.sample_rate().hz(),
                    file.channels(),
                    file.frames_read(),
                    file.duration_hint_s(),
                    seconds / begin.elapsed().as_secs_f64(),
                );
                for damage in file.damage() {
                    println!("  {damage}");
                }
            }
            Err(error) => println!("{path}: {error}"),
        }
    }
}

fn read(path: &Path) -> Result<audio::AudioFile, audio::AudioError> {
    let mut file = audio::AudioFile::open(path)?;
    let mut block = Vec::new();
    while file.next_block(&mut block)? {
        block.clear();
    }
    Ok(file)
}
