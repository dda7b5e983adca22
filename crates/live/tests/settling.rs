//! What is seen while it settles.
#![allow(clippy::unwrap_used)]

mod watch;

use live::{FileSource, Listening, Options, Pace, Settings, State, Wish, pushed};
use quantities::LiftAngle;
use std::time::{Duration, Instant};
use watch::{clean, facts, flac, settings, sound, until};

/// First numbers within three seconds of sound; then the uncertainty shrinks.
#[test]
fn first_numbers_come_soon_and_settle() {
    let folder = tempfile::tempdir().unwrap();
    let played = folder.path().join("played.flac");
    let scenario = clean(7, 20.0, 4.0);
    let truth = scenario.truth().unwrap().balances[0].clone();
    flac(&played, &sound(&scenario));
    let source = FileSource::open(&played, Pace::RealTime).unwrap();
    let options = Options { settings: settings(), ..Options::default() };
    let listening = Listening::start(source, options).unwrap();
    let mut watcher = listening.watch();
    let first = until(&mut watcher, 10.0, "numbers", |s| {
        s.heard.as_ref().is_some_and(|h| !h.reading.balances.is_empty())
    });
    let heard = first.heard.unwrap();
    assert!(heard.reading.duration_s <= 3.0, "{}", heard.reading.duration_s);
    let b = &heard.reading.balances[0];
    assert_eq!(b.nominal.map(|n| n.per_hour()), Some(28_800.0));
    let last = until(&mut watcher, 30.0, "the end", |s| s.state == State::Ended(None));
    let heard = last.heard.unwrap();
    assert!(!heard.of_reading && heard.from_s == 0.0);
    let rate = heard.reading.balances[0].rate_s_per_d.unwrap();
    // Five deviations; by then some 15 s at least have been heard.
    let error = rate.value - truth.rate_by_slope_s_per_d;
    assert!(error.abs() < 5.0 * rate.sd && rate.sd < 0.6, "{error} ± {}", rate.sd);
    assert!(last.level.channels[0].held_peak_dbfs > -40.0);
}

/// The recent sound is heard again, and nothing of it is lost.
#[test]
fn settings_change_while_it_runs() {
    let samples = sound(&clean(8, 12.0, 0.0));
    let (pusher, source) = pushed(facts(1));
    let listening = Listening::start(source, Options::default()).unwrap();
    let mut watcher = listening.watch();
    let taking = listening.take(Wish::default()).unwrap();
    pusher.push(0, &samples[..480_000]).unwrap();
    let lift = |deg| Settings {
        lift_angles: vec![LiftAngle::from_deg(deg).unwrap()],
        ..Settings::default()
    };
    let amplitude = |s: &live::Snapshot| {
        s.heard.as_ref().and_then(|h| {
            let b = h.reading.balances.first().filter(|_| h.reading.duration_s > 9.9)?;
            Some((b.lift_angle.deg(), b.amplitude_deg?.value))
        })
    };
    let before = until(&mut watcher, 30.0, "an amplitude", |s| amplitude(s).is_some());
    let before = amplitude(&before).unwrap();
    assert_eq!(before.0, LiftAngle::USUAL.deg());
    listening.set_settings(lift(40.0));
    let after = until(&mut watcher, 30.0, "another", |s| {
        amplitude(s).is_some_and(|(lift, _)| lift == 40.0)
    });
    // It is proportional to the lift angle.
    let ratio = amplitude(&after).unwrap().1 / before.1;
    assert!((ratio - 40.0 / before.0).abs() < 1e-9, "{ratio}");
    pusher.push(480_000, &samples[480_000..]).unwrap();
    pusher.end();
    let taken = taking.wait(Duration::from_secs(60)).unwrap().unwrap();
    assert_eq!((taken.frames, taken.lost_frames), (576_000, 0));
    assert_eq!(taken.settings, lift(40.0));
    assert_eq!(taken.settings_changed_s, Some(10.0));
    assert_eq!(taken.reading.balances[0].lift_angle.deg(), 40.0);
}

/// Who looks seldom sees the latest, once; the others are not held up.
#[test]
fn slow_watchers_see_the_latest() {
    let (pusher, source) = pushed(facts(2));
    let listening = Listening::start(source, Options::default()).unwrap();
    let (mut slow, mut quick) = (listening.watch(), listening.watch());
    let woken = std::sync::Arc::new(std::sync::atomic::AtomicU32::new(0));
    let count = woken.clone();
    listening.on_change(move || {
        count.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
    });
    assert_eq!(slow.now().unwrap().state, State::Waiting);
    for k in 0..40 {
        pusher.push(k * 4_800, &[0.25; 9_600]).unwrap();
    }
    pusher.end();
    until(&mut quick, 10.0, "the end", |s| s.state == State::Ended(None));
    let latest = slow.now().unwrap();
    assert_eq!((latest.state, latest.elapsed_s), (State::Ended(None), 4.0));
    assert!(latest.number >= 20, "{}", latest.number);
    assert!(slow.now().is_none(), "what was seen is not shown again");
    let begin = Instant::now();
    assert!(slow.next(Duration::from_millis(30)).is_none());
    assert!(begin.elapsed() >= Duration::from_millis(30));
    assert!(woken.load(std::sync::atomic::Ordering::Relaxed) > 0);
    // 20 log10(0.25), by definition.
    assert!((latest.level.channels[1].peak_dbfs + 12.0412).abs() < 1e-3);
}

#[test]
fn a_break_is_heard_as_one() {
    let (pusher, source) = pushed(facts(1));
    let listening = Listening::start(source, Options::default()).unwrap();
    let mut watcher = listening.watch();
    let taking = listening.take(Wish::default()).unwrap();
    pusher.push(0, &[0.1; 9_600]).unwrap();
    until(&mut watcher, 10.0, "all of it", |s| s.elapsed_s == 0.2);
    listening.pause();
    until(&mut watcher, 10.0, "a break", |s| s.state == State::Paused);
    let taken = taking.wait(Duration::from_secs(20)).unwrap().unwrap();
    assert_eq!((taken.ended, taken.frames), (live::Ended::ListeningEnded, 9_600));
    pusher.push(9_600, &[0.1; 48_000]).unwrap();
    until(&mut watcher, 10.0, "the level goes on", |s| s.elapsed_s > 1.0);
    assert_eq!(listening.snapshot().state, State::Paused);
    listening.resume();
    let taking = listening.take(Wish { seconds: Some(0.5), ..Wish::default() }).unwrap();
    pusher.push(57_600, &[0.1; 48_000]).unwrap();
    let taken = taking.wait(Duration::from_secs(20)).unwrap().unwrap();
    assert_eq!((taken.frames, taken.lost_frames), (24_000, 0));
}
