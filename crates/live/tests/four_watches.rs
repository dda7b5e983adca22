//! Four watches of two balances each, heard at once with a reading each whose sound is kept: nothing
//! is lost, and it takes a part of two cores.
#![allow(clippy::unwrap_used)]

mod watch;

use live::{Listening, Options, PushRefused, Pusher, Taking, Wish, pushed};
use std::time::{Duration, Instant};
use truth::{Balance, Noise, Scenario};
use watch::{RATE_HZ, facts, read, sound};

const WATCHES: u64 = 4;
const SECONDS: f64 = 12.0;
/// A bench has two cores. Judged by the processor's time and not by the clock on the wall, so that
/// whatever else the machine does is no part of it.
const CORES: f64 = 2.0;
/// Clock ticks a second that Linux counts a process's time in, on all usual machines (proc(5)).
const TICKS: f64 = 100.0;

fn two_balances(watch: u64) -> Scenario {
    let balance = |beats_per_hour, rate_s_per_d, loudness| Balance {
        beats_per_hour,
        rate_s_per_d,
        loudness,
        ..Balance::default()
    };
    Scenario::new(watch)
        .with_duration_s(SECONDS + 1.0)
        .with_balance(balance(28_800.0, 4.0 + watch as f64, 1.0))
        .with_balance(balance(21_600.0, -6.0, 0.6))
        .with_noise(Noise::White { rms_db: -65.0 })
}

/// Time of the processor that this process has had, user and system, seconds, where the system says
/// (Linux: the 14th and 15th field of `/proc/self/stat`, proc_pid_stat(5)).
fn processor_s() -> Option<f64> {
    let stat = std::fs::read_to_string("/proc/self/stat").ok()?;
    let fields = stat.rsplit_once(')')?.1.split_whitespace().skip(11).take(2);
    Some(fields.map(|ticks| ticks.parse::<f64>().unwrap()).sum::<f64>() / TICKS)
}

struct Watched {
    listening: Listening,
    pusher: Pusher,
    taking: Taking,
    samples: Vec<f32>,
    sent: usize,
}

impl Watched {
    /// Sends what has come by now, as a page does: what is not taken is not sent again.
    fn send_until(&mut self, now_s: f64) -> Result<(), PushRefused> {
        let until = ((now_s * RATE_HZ) as usize).min(self.samples.len());
        let first = self.sent;
        self.sent = until;
        self.pusher.push(first as u64, &self.samples[first..until])
    }
}

#[test]
fn four_watches_of_two_balances_are_heard_at_once_and_nothing_is_lost() {
    let folder = tempfile::tempdir().unwrap();
    let kept = |watch: u64| folder.path().join(format!("{watch}.flac"));
    let mut all: Vec<Watched> = (0..WATCHES)
        .map(|watch| {
            let samples = sound(&two_balances(watch));
            let (pusher, source) = pushed(facts(1));
            let listening = Listening::start(source, Options::default()).unwrap();
            let wish = Wish { seconds: Some(SECONDS), sound: Some(kept(watch)), ..Wish::default() };
            let taking = listening.take(wish).unwrap();
            Watched { listening, pusher, taking, samples, sent: 0 }
        })
        .collect();
    let (began, before_s) = (Instant::now(), processor_s());
    // As fast as it is: a block every 40 ms.
    while all.iter().any(|one| one.sent < one.samples.len()) {
        std::thread::sleep(Duration::from_millis(40));
        let now_s = began.elapsed().as_secs_f64();
        for one in &mut all {
            one.send_until(now_s).unwrap();
        }
    }
    for (watch, one) in all.iter().enumerate() {
        let taken = one.taking.wait(Duration::from_secs(120)).expect("it never ends").unwrap();
        assert_eq!((taken.lost_frames, taken.gaps.len()), (0, 0), "watch {watch}");
        assert_eq!(taken.frames, (SECONDS * RATE_HZ) as u64, "watch {watch}");
        assert_eq!(taken.sound_failed, None);
        // The very samples that were sent, to a step of 16 bits: full scale itself lies one beyond the
        // largest number, others are half a step off at most.
        let file = read(&kept(watch as u64));
        assert_eq!(file.len() as u64, taken.frames);
        let off = file.iter().zip(&one.samples).map(|(a, b)| (a - b).abs()).fold(0.0, f32::max);
        assert!(off <= 1.01 / 32_768.0, "watch {watch}: {off}");
        let snapshot = one.listening.snapshot();
        assert_eq!(snapshot.lost_frames, 0, "watch {watch}");
        assert!(snapshot.heard.is_some_and(|heard| heard.reading.duration_s > 0.0));
    }
    if let (Some(before_s), Some(after_s)) = (before_s, processor_s()) {
        let cores = (after_s - before_s) / SECONDS;
        println!("{cores:.2} s of the processor a second of sound, all four");
        assert!(cores < CORES, "{cores} s of the processor a second of sound");
    }
}
