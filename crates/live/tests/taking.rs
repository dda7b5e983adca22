//! Readings that are taken: their sound, their length, what is lost, what ends them.
#![allow(clippy::unwrap_used)]

mod watch;

use live::{
    Arrived, Ended, FileSource, Gap, Listening, NotTaken, Options, Pace, Source, SourceFacts,
    State, Wish, pushed,
};
use std::time::Duration;
use watch::{RATE_HZ, clean, facts, flac, read, settings, sound, until};

const LONG: Duration = Duration::from_secs(120);

fn options() -> Options {
    Options { settings: settings(), ..Options::default() }
}

/// The sound that was kept is that which came, sample for sample; the reading is that of the file.
#[test]
fn what_is_kept_is_what_was_heard() {
    let folder = tempfile::tempdir().unwrap();
    let played = folder.path().join("played.flac");
    let scenario = clean(1, 25.0, 5.0);
    let samples = sound(&scenario);
    flac(&played, &samples);
    let kept = folder.path().join("kept.flac");
    let source = FileSource::open(&played, Pace::AsFast).unwrap();
    let listening = Listening::start(source, options()).unwrap();
    let wish = Wish { seconds: Some(20.0), sound: Some(kept.clone()), ..Wish::default() };
    let taking = listening.take(wish).unwrap();
    let taken = taking.wait(LONG).unwrap().unwrap();
    assert_eq!(taken.ended, Ended::TimeOver);
    assert_eq!((taken.frames, taken.lost_frames), (960_000, 0));
    assert_eq!(taken.duration_s, 20.0);
    assert_eq!(taken.sound.as_deref(), Some(&*kept));
    assert_eq!((taken.sound_failed.as_deref(), taken.sound_clipped), (None, 0));
    // A file source may have given its first blocks before the order came.
    let (whole, part) = (read(&played), read(&kept));
    assert_eq!(part.len(), 960_000);
    let begin = whole.windows(4_800).position(|w| w == &part[..4_800]).unwrap();
    assert_eq!(&whole[begin..begin + 960_000], part);
    // The same engine as for files, told the same, says the same.
    let mut listener =
        beats::Listener::new(taken.sample_rate, taken.channels, taken.settings.clone());
    listener.push(&part);
    assert_eq!(listener.reading(), taken.reading);
    let truth = scenario.truth().unwrap().balances[0].clone();
    let rate = taken.reading.balances[0].rate_s_per_d.unwrap();
    // Five deviations.
    let error = rate.value - truth.rate_by_slope_s_per_d;
    assert!(error.abs() < 5.0 * rate.sd && rate.sd < 0.3, "{error} ± {}", rate.sd);
    until(&mut listening.watch(), 20.0, "the end", |s| s.state == State::Ended(None));
}

/// Lost frames become silence of the same length: time goes on, and the rate stays right.
#[test]
fn gaps_become_silence_and_are_counted() {
    let folder = tempfile::tempdir().unwrap();
    let kept = folder.path().join("kept.flac");
    let scenario = clean(2, 20.0, -3.0);
    let samples = sound(&scenario);
    let (pusher, source) = pushed(facts(1));
    let listening = Listening::start(source, options()).unwrap();
    let wish = Wish { sound: Some(kept.clone()), ..Wish::default() };
    let taking = listening.take(wish).unwrap();
    // Counting need not begin at nought. A block is lost, one comes twice, one is cut.
    let count = 1_000_000;
    for (k, block) in samples.chunks(4_800).enumerate() {
        let at = (k * 4_800) as u64;
        match k {
            70 => {}
            100 => {
                pusher.push(count + at, block).unwrap();
                pusher.push(count + at, block).unwrap();
            }
            130 => pusher.push(count + at, &block[..4_000]).unwrap(),
            _ => pusher.push(count + at, block).unwrap(),
        }
    }
    pusher.end();
    let taken = taking.wait(LONG).unwrap().unwrap();
    assert_eq!(taken.ended, Ended::SourceGone);
    assert_eq!((taken.frames, taken.lost_frames), (960_000, 5_600));
    let gap = |at_frame, frames| Gap { at_frame, frames };
    assert_eq!(taken.gaps, [gap(70 * 4_800, 4_800), gap(130 * 4_800 + 4_000, 800)]);
    let part = read(&kept);
    assert!(part[70 * 4_800..71 * 4_800].iter().all(|x| *x == 0.0));
    // 16 bits: half a step.
    assert!((part[80 * 4_800 + 77] - samples[80 * 4_800 + 77]).abs() <= 0.5 / 32_768.0);
    let truth = scenario.truth().unwrap().balances[0].clone();
    let rate = taken.reading.balances[0].rate_s_per_d.unwrap();
    let error = rate.value - truth.rate_by_slope_s_per_d;
    assert!(error.abs() < 5.0 * rate.sd && rate.sd < 0.3, "{error} ± {}", rate.sd);
    assert_eq!(listening.snapshot().lost_frames, 5_600);
}

/// After more than a minute without sound another watch may lie there.
#[test]
fn a_long_gap_ends_a_reading() {
    let (pusher, source) = pushed(facts(1));
    let listening = Listening::start(source, options()).unwrap();
    let taking = listening.take(Wish::default()).unwrap();
    pusher.push(0, &[0.0; 4_800]).unwrap();
    pusher.push(4_800 + 61 * 48_000, &[0.0; 4_800]).unwrap();
    let taken = taking.wait(LONG).unwrap().unwrap();
    assert_eq!((taken.ended, taken.frames, taken.lost_frames), (Ended::SourceGone, 4_800, 0));
    let second = listening.take(Wish { seconds: Some(0.1), ..Wish::default() }).unwrap();
    pusher.push(4_800 + 61 * 48_000 + 4_800, &[0.0; 4_800]).unwrap();
    assert_eq!(second.wait(LONG).unwrap().unwrap().ended, Ended::TimeOver);
    // A count that jumps to the end of all numbers does no harm.
    pusher.push(u64::MAX - 10, &[0.0; 4_800]).unwrap();
    until(&mut listening.watch(), 10.0, "the jump", |s| s.lost_frames > 1 << 60);
}

/// A page that is loaded again counts from nought again: it is heard all the same.
#[test]
fn a_sender_that_counts_anew_is_heard() {
    let (pusher, source) = pushed(facts(1));
    let listening = Listening::start(source, options()).unwrap();
    let before = listening.take(Wish::default()).unwrap();
    for k in 0..20 {
        pusher.push(k * 4_800, &[0.1; 4_800]).unwrap();
    }
    // Late by less than a second: it has been there before.
    pusher.push(60_000, &[0.1; 4_800]).unwrap();
    pusher.push(0, &[0.1; 4_800]).unwrap();
    let taken = before.wait(LONG).unwrap().unwrap();
    assert_eq!((taken.ended, taken.frames), (Ended::SourceGone, 96_000));
    let after = listening.take(Wish { seconds: Some(0.1), ..Wish::default() }).unwrap();
    pusher.push(4_800, &[0.1; 4_800]).unwrap();
    let taken = after.wait(LONG).unwrap().unwrap();
    assert_eq!((taken.ended, taken.frames, taken.lost_frames), (Ended::TimeOver, 4_800, 0));
    // The reading may be told of before the level is.
    until(&mut listening.watch(), 10.0, "the last block", |s| s.elapsed_s == 2.2);
    assert_eq!(listening.snapshot().lost_frames, 0);
}

#[test]
fn as_well_as_was_wished() {
    let folder = tempfile::tempdir().unwrap();
    let played = folder.path().join("played.flac");
    flac(&played, &sound(&clean(3, 60.0, 0.0)));
    let source = FileSource::open(&played, Pace::RealTime).unwrap();
    let listening = Listening::start(source, options()).unwrap();
    let wish = Wish { until_sd_s_per_d: Some(0.5), ..Wish::default() };
    let taken = listening.take(wish).unwrap().wait(LONG).unwrap().unwrap();
    assert_eq!(taken.ended, Ended::KnownAsWished);
    assert!(taken.duration_s >= Wish::LEAST_UNTIL_SD_S, "{}", taken.duration_s);
    assert!(taken.duration_s < 40.0, "{}", taken.duration_s);
    assert!(taken.reading.balances[0].rate_s_per_d.unwrap().sd <= 0.55);
}

#[test]
fn stopped_cancelled_busy_and_over() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name);
    let wish = |name: &str| Wish { sound: Some(path(name)), ..Wish::default() };
    let (pusher, source) = pushed(facts(1));
    let listening = Listening::start(source, options()).unwrap();
    let mut watcher = listening.watch();
    let cancelled = listening.take(wish("a.flac")).unwrap();
    pusher.push(0, &[0.1; 9_600]).unwrap();
    until(&mut watcher, 10.0, "it runs", |s| s.in_hand.as_ref().is_some_and(|i| i.seconds > 0.1));
    assert_eq!(listening.take(wish("b.flac")).unwrap_err(), NotTaken::Busy);
    assert!(!path("b.flac").exists(), "one that is refused leaves no file");
    cancelled.cancel();
    assert_eq!(cancelled.wait(LONG).unwrap().unwrap_err(), NotTaken::Cancelled);
    assert!(!path("a.flac").exists());
    std::fs::write(path("c.flac"), "the user's own").unwrap();
    let refused = listening.take(wish("c.flac")).unwrap_err();
    assert!(refused.to_string().contains("there already"), "{refused}");
    assert_eq!(std::fs::read(path("c.flac")).unwrap(), b"the user's own");
    let stopped = listening.take(wish("d.flac")).unwrap();
    pusher.push(9_600, &[0.1; 9_600]).unwrap();
    until(&mut watcher, 10.0, "it runs", |s| s.in_hand.as_ref().is_some_and(|i| i.seconds > 0.1));
    stopped.stop();
    let taken = stopped.wait(LONG).unwrap().unwrap();
    assert_eq!((taken.ended, taken.frames), (Ended::Stopped, 9_600));
    assert_eq!(read(&path("d.flac")).len(), 9_600);
    let last = listening.take(wish("e.flac")).unwrap();
    pusher.push(19_200, &[0.1; 9_600]).unwrap();
    until(&mut watcher, 10.0, "it runs", |s| s.in_hand.as_ref().is_some_and(|i| i.seconds > 0.1));
    listening.stop();
    let taken = last.wait(Duration::ZERO).unwrap().unwrap();
    assert_eq!((taken.ended, taken.frames), (Ended::ListeningEnded, 9_600));
    assert_eq!(read(&path("e.flac")).len(), 9_600);
    assert!(pusher.push(28_800, &[0.1; 9_600]).is_err());
}

/// As a program that was killed leaves it: without its end, and without its length.
#[test]
fn the_sound_can_be_read_while_it_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let kept = folder.path().join("kept.flac");
    let samples = sound(&clean(4, 3.0, 0.0));
    let (pusher, source) = pushed(facts(1));
    let listening = Listening::start(source, options()).unwrap();
    let _taking = listening.take(Wish { sound: Some(kept.clone()), ..Wish::default() }).unwrap();
    pusher.push(0, &samples).unwrap();
    until(&mut listening.watch(), 20.0, "it is in", |s| {
        s.in_hand.as_ref().is_some_and(|i| i.seconds >= 2.9)
    });
    let copy = folder.path().join("copy.flac");
    std::fs::copy(&kept, &copy).unwrap();
    let mut file = audio::AudioFile::open(&copy).unwrap();
    let mut there = Vec::new();
    while file.next_block(&mut there).unwrap() {}
    // All but what does not fill a frame of 4,096, and the last tenth of a second that was waited for.
    assert!(there.len() as f64 > 2.8 * RATE_HZ - 4_096.0, "{}", there.len());
    let near = |(a, b): (&f32, &f32)| (a - b).abs() <= 0.5 / 32_768.0;
    assert!(there.iter().zip(&samples).all(near));
}

/// Gives a second of sound, and then fails as only a fault of the program can.
struct Faulty(SourceFacts, u64);

impl Source for Faulty {
    fn facts(&self) -> &SourceFacts {
        &self.0
    }

    fn next(&mut self, into: &mut Vec<f32>, _wait: Duration) -> Arrived {
        assert!(self.1 < 10, "on purpose");
        std::thread::sleep(Duration::from_millis(20));
        into.resize(4_800, 0.1);
        self.1 += 1;
        Arrived::Sound { first_frame: (self.1 - 1) * 4_800 }
    }
}

/// A fault of our own is said, and what was kept of the sound is there.
#[test]
fn a_fault_is_said_and_leaves_the_sound() {
    let folder = tempfile::tempdir().unwrap();
    let kept = folder.path().join("kept.flac");
    let source: Box<dyn Source> = Box::new(Faulty(facts(1), 0));
    let listening = Listening::start(source, options()).unwrap();
    let taking = listening.take(Wish { sound: Some(kept.clone()), ..Wish::default() }).unwrap();
    assert_eq!(taking.wait(LONG).unwrap().unwrap_err(), NotTaken::Failed);
    until(&mut listening.watch(), 10.0, "the fault", |s| s.state == State::Failed);
    assert_eq!(listening.take(Wish::default()).unwrap_err(), NotTaken::Over);
    let mut file = audio::AudioFile::open(&kept).unwrap();
    let mut there = Vec::new();
    while file.next_block(&mut there).unwrap() {}
    // All whole frames of 4,096 of what came after the order.
    assert!(there.len() >= 4_096 && there.len().is_multiple_of(4_096), "{}", there.len());
}
