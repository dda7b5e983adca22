//! How much of the processor four watches of two balances each take when they are heard live at
//! once, each with a reading whose sound is kept:
//! `cargo run --release -p live --example four_watches -- [SECONDS [WATCHES]]` (Linux).

use audio::{Encoding, FlacWriter, WavFormat};
use live::{FileSource, Listening, Options, Pace, Wish};
use std::error::Error;
use std::path::Path;
use std::time::{Duration, Instant};
use truth::{Balance, Noise, Scenario, Sound};

/// Clock ticks a second that Linux counts a process's time in, on all usual machines (proc(5)).
const TICKS: f64 = 100.0;

fn main() -> Result<(), Box<dyn Error>> {
    let mut words = std::env::args().skip(1);
    let mut number = |usual: f64| words.next().map_or(Ok(usual), |word| word.parse::<f64>());
    let seconds = number(120.0)?;
    let watches = number(4.0)? as u64;
    let folder = std::env::temp_dir().join(format!("four-watches-{}", std::process::id()));
    std::fs::create_dir_all(&folder)?;
    for watch in 0..watches {
        make_recording(&folder.join(format!("{watch}.flac")), watch, seconds + 5.0)?;
    }
    let before_s = processor_s()?;
    let begin = Instant::now();
    let mut all = Vec::new();
    for watch in 0..watches {
        let source = FileSource::open(&folder.join(format!("{watch}.flac")), Pace::RealTime)?;
        let listening = Listening::start(source, Options::default())?;
        let sound = Some(folder.join(format!("{watch}.kept.flac")));
        let taking = listening.take(Wish { seconds: Some(seconds), sound, ..Wish::default() })?;
        let watcher = listening.watch();
        all.push((listening, taking, watcher, Looks::default()));
    }
    while all.iter().any(|(_, taking, _, _)| taking.outcome().is_none()) {
        for (_, _, watcher, looks) in &mut all {
            if let Some(heard) = watcher.next(Duration::from_millis(20)).and_then(|s| s.heard)
                && heard.reading.duration_s != looks.at_s
            {
                let waited_s = begin.elapsed().as_secs_f64() - looks.seen_s;
                looks.longest_s = looks.longest_s.max(waited_s);
                looks.seen_s = begin.elapsed().as_secs_f64();
                looks.at_s = heard.reading.duration_s;
                looks.count += 1;
            }
        }
    }
    let (wall_s, used_s) = (begin.elapsed().as_secs_f64(), processor_s()? - before_s);
    println!(
        "{watches} watches for {seconds} s: {wall_s:.1} s of wall time, {used_s:.1} s of the \
         processor, {:.0} % of one core.",
        100.0 * used_s / wall_s
    );
    for (_, taking, _, looks) in &all {
        let Some(Ok(taken)) = taking.outcome() else { continue };
        let rates = taken.reading.balances.iter().filter_map(|b| b.rate_s_per_d);
        let rates: Vec<String> = rates.map(|r| format!("{:+.3} ± {:.3}", r.value, r.sd)).collect();
        println!(
            "{} looks, {:.1} s between two at most, {} frames lost; {} s/d",
            looks.count,
            looks.longest_s,
            taken.lost_frames,
            rates.join(", ")
        );
    }
    drop(all);
    std::fs::remove_dir_all(&folder)?;
    Ok(())
}

/// How often something new was heard of a watch.
#[derive(Debug, Default)]
struct Looks {
    count: u32,
    at_s: f64,
    seen_s: f64,
    longest_s: f64,
}

fn make_recording(path: &Path, watch: u64, seconds: f64) -> Result<(), Box<dyn Error>> {
    let balance = |beats_per_hour, rate_s_per_d, loudness| Balance {
        beats_per_hour,
        rate_s_per_d,
        loudness,
        ..Balance::default()
    };
    let scenario = Scenario::new(watch)
        .with_duration_s(seconds)
        .with_balance(balance(28_800.0, 4.0 + watch as f64, 1.0))
        .with_balance(balance(21_600.0, -6.0, 0.6))
        .with_noise(Noise::White { rms_db: -65.0 });
    let format = WavFormat { sample_rate_hz: 48_000, channels: 1, encoding: Encoding::Bits16 };
    let mut file = FlacWriter::create(path, format)?;
    file.write(&Sound::new(&scenario)?.rest())?;
    file.finish()?;
    Ok(())
}

/// Time of the processor that this process has had, user and system, seconds: the 14th and 15th
/// field of `/proc/self/stat` (proc(5)).
fn processor_s() -> Result<f64, Box<dyn Error>> {
    let stat = std::fs::read_to_string("/proc/self/stat")?;
    let fields = stat.rsplit_once(')').ok_or("no name in /proc/self/stat")?.1;
    let ticks: Result<Vec<f64>, _> =
        fields.split_whitespace().skip(11).take(2).map(str::parse::<f64>).collect();
    Ok(ticks?.iter().sum::<f64>() / TICKS)
}
