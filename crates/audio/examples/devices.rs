//! Lists the devices that sound can be recorded from, and records from one where it is named:
//! `cargo run -p audio --features capture --example devices -- [NAME SECONDS]`.

use audio::capture::{Capture, CaptureError, CaptureWish, Captured, devices};
use std::time::{Duration, Instant};

fn main() -> Result<(), CaptureError> {
    for device in devices()? {
        println!(
            "{} — {}{}",
            device.name,
            device.description,
            if device.is_usual { " (usual)" } else { "" }
        );
        for f in &device.formats {
            println!(
                "    {} channels, {} to {} Hz",
                f.channels,
                f.least_rate.hz(),
                f.most_rate.hz()
            );
        }
    }
    let mut words = std::env::args().skip(1);
    let Some(device) = words.next() else { return Ok(()) };
    let seconds: f64 = words.next().and_then(|s| s.parse().ok()).unwrap_or(2.0);
    let mut capture =
        Capture::open(&CaptureWish { device: Some(device), ..CaptureWish::default() })?;
    println!(
        "{} at {} Hz, {} channels",
        capture.name(),
        capture.sample_rate().hz(),
        capture.channels()
    );
    let begin = Instant::now();
    let (mut frames, mut next, mut blocks) = (0, 0, 0);
    let mut block = Vec::new();
    while begin.elapsed().as_secs_f64() < seconds {
        block.clear();
        match capture.next(&mut block, Duration::from_millis(50)) {
            Captured::Sound { first_frame, .. } => {
                frames += (block.len() / capture.channels()) as u64;
                next = first_frame + (block.len() / capture.channels()) as u64;
                blocks += 1;
            }
            Captured::Nothing => {}
            Captured::Gone(why) => println!("{why}"),
        }
    }
    println!("{blocks} blocks, {frames} frames, {} lost", next - frames);
    Ok(())
}
