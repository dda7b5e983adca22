//! Long readings: memory that does not grow. It is that of the whole process: one such test a file,
//! so that no other counts.
#![allow(clippy::unwrap_used)]

mod watch;

use live::{Arrived, Listening, Options, Source, SourceFacts, Wish};
use std::time::Duration;
use truth::Sound;
use watch::{clean, facts, settings};

/// A simulated watch, made as it is asked for.
struct Simulated {
    facts: SourceFacts,
    sound: Sound,
    frames: u64,
}

impl Source for Simulated {
    fn facts(&self) -> &SourceFacts {
        &self.facts
    }

    fn next(&mut self, into: &mut Vec<f32>, _wait: Duration) -> Arrived {
        into.resize(4_800, 0.0);
        let filled = self.sound.fill(into);
        into.truncate(filled);
        let first_frame = self.frames;
        self.frames += filled as u64;
        if filled == 0 { Arrived::End(None) } else { Arrived::Sound { first_frame } }
    }
}

/// Most memory that this process ever had resident, MiB, where the system says (Linux: `VmHWM` in
/// `/proc/self/status`, proc_pid_status(5)).
fn most_memory_mib() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    let kib: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kib / 1024.0)
}

/// A quarter of an hour at 48 kHz is 165 MiB of samples. Held are the last minute (11 MiB), up to
/// 51 s that wait to be heard (10 MiB), the engine's 80 s with what it makes of them, and the
/// simulator.
#[test]
fn a_quarter_of_an_hour_is_not_held() {
    let folder = tempfile::tempdir().unwrap();
    let kept = folder.path().join("kept.flac");
    let scenario = clean(11, 900.0, 2.0);
    let truth = scenario.truth().unwrap().balances[0].clone();
    let source = Simulated { facts: facts(1), sound: Sound::new(&scenario).unwrap(), frames: 0 };
    let options = Options { settings: settings(), ..Options::default() };
    let listening = Listening::start(source, options).unwrap();
    let wish = Wish { seconds: Some(890.0), sound: Some(kept.clone()), ..Wish::default() };
    let taken = listening.take(wish).unwrap().wait(Duration::from_secs(300)).unwrap().unwrap();
    assert_eq!((taken.frames, taken.lost_frames), (890 * 48_000, 0));
    let rate = taken.reading.balances[0].rate_s_per_d.unwrap();
    let error = rate.value - truth.rate_by_slope_s_per_d;
    // Five deviations; 0.01 s/d is what half an hour of such a watch gives.
    assert!(error.abs() < 5.0 * rate.sd && rate.sd < 0.01, "{error} ± {}", rate.sd);
    if let Some(mib) = most_memory_mib() {
        println!("{mib:.0} MiB at most");
        assert!(mib < 150.0, "{mib} MiB");
    }
}
