//! The whole engine against recordings of known truth: what a bench would see.

mod simulated;

use beats::{RelationState, WarningCode};
use simulated::{count, listen, listener, rate_error, sound};
use truth::scenarios::{
    NoWatch, TwoBalances, clear_single, clipped, locked, mixed_beats, no_watch, rippled, starts,
    stops, together, two,
};

/// Limits for a clear recording: five deviations for the rate; 0.1 ms and 5 degrees are what
/// matters at the bench (common practice, no published source).
#[test]
fn one_balance_in_clear_sound() {
    for seed in [1, 2, 3, 5, 8, 13] {
        let scenario = clear_single(seed);
        let truth = scenario.truth().expect("sound").balances[0].clone();
        let reading = listen(&scenario);
        assert_eq!(reading.balances.len(), 1, "{seed}");
        let b = &reading.balances[0];
        assert_eq!(b.nominal.map(|n| n.per_hour()), Some(truth.beats_per_hour));
        let (error, sd) = rate_error(b, truth.rate_by_slope_s_per_d);
        assert!(error.abs() < 5.0 * sd && sd < 0.2, "{seed}: {error} ± {sd}");
        let beat_error = b.beat_error_ms.expect("a beat error");
        assert!((beat_error.value - truth.beat_error_ms).abs() < 0.1, "{seed}: {beat_error:?}");
        let amplitude = b.amplitude_deg.expect("an amplitude");
        assert!((amplitude.value - truth.amplitude_deg).abs() < 5.0, "{seed}: {amplitude:?}");
        // A beat nearer to either end than its own length is not heard whole.
        assert!(b.beats_expected + 2 >= truth.beats && b.beats_expected <= truth.beats, "{seed}");
        assert!(
            b.beats_used as f64 > 0.9 * truth.beats as f64,
            "{seed} {} {}",
            b.beats_used,
            truth.beats
        );
        assert_eq!(reading.relation, None);
        let said: Vec<_> = reading.warnings.iter().map(|w| w.code).collect();
        assert_eq!(said, [WarningCode::ClockUncalibrated], "{seed}");
        assert!((b.running_s.0 - truth.first_beat_s.expect("beats")).abs() < 0.3);
        assert!((b.running_s.1 - truth.last_beat_s.expect("beats")).abs() < 0.3);
        assert_eq!(b.averaged_beats.len(), 2);
        assert!(!b.amplitude_course.is_empty());
        let named = b.timing_periodogram.as_ref().map(|p| p.peaks.len());
        assert_eq!(named, Some(0), "{seed}: nothing repeats in white jitter");
    }
}

/// Eleven seconds a day apart, the two end, or begin, on top of each other: neither stopped, and what is heard
/// of both together is no reading of the one.
#[test]
fn beats_that_run_together_at_an_end() {
    for (seed, sign) in [(1, 1.0), (2, 1.0), (3, 1.0), (1, -1.0), (2, -1.0), (3, -1.0)] {
        let choice = TwoBalances {
            lag_ms: 15.5,
            rate_difference_s_per_d: sign * 11.0,
            duration_s: 240.0,
            ..TwoBalances::default()
        };
        let mut scenario = two(&choice, seed);
        scenario.balances[1].lift_deg = scenario.balances[0].lift_deg;
        let truth = scenario.truth().expect("sound");
        let reading = listen(&scenario);
        assert_eq!(reading.balances.len(), 2, "{seed}");
        let said: Vec<_> = reading.warnings.iter().map(|w| w.code).collect();
        let moved = [WarningCode::Started, WarningCode::Stopped];
        assert!(!moved.iter().any(|m| said.contains(m)), "{seed}: {:?}", reading.warnings);
        for b in &reading.balances {
            let near = |t: &&truth::BalanceTruth| rate_error(b, t.rate_by_slope_s_per_d).0.abs();
            let t = truth.balances.iter().min_by(|a, b| near(a).total_cmp(&near(b))).expect("two");
            let (error, sd) = rate_error(b, t.rate_by_slope_s_per_d);
            assert!(error.abs() < 5.0 * sd && sd < 0.1, "{seed}: {error} ± {sd}");
            let Some(amplitude) = b.amplitude_deg else { continue };
            // 5 degrees matter at the bench (common practice, no published source).
            let off = amplitude.value - t.amplitude_deg;
            assert!(off.abs() < 5.0f64.max(3.0 * amplitude.sd), "{seed}: {amplitude:?} {off}");
            for point in &b.amplitude_course {
                let off = point.value.value - t.amplitude_deg;
                assert!(off.abs() < 20.0, "{seed}: {point:?} {off}");
            }
        }
    }
}

#[test]
fn two_balances_apart() {
    let choice =
        TwoBalances { lag_ms: 45.0, rate_difference_s_per_d: 7.0, ..TwoBalances::default() };
    let scenario = two(&choice, 4);
    let truth = scenario.truth().expect("sound");
    let reading = listen(&scenario);
    assert_eq!(reading.balances.len(), 2);
    for t in &truth.balances {
        let (error, sd) = reading
            .balances
            .iter()
            .map(|b| rate_error(b, t.rate_by_slope_s_per_d))
            .min_by(|a, b| a.0.abs().total_cmp(&b.0.abs()))
            .expect("two balances");
        assert!(error.abs() < 5.0 * sd && sd < 0.3, "{error} ± {sd}");
    }
    let relation = reading.relation.expect("two are heard");
    assert_eq!(relation.state, RelationState::Independent);
    let difference = relation.rate_difference_s_per_d.expect("both rates are known");
    assert!((difference.value.abs() - 7.0).abs() < 5.0 * difference.sd, "{difference:?}");
    // From a lag of 45 ms at half time: the coincidence lies within one time round, 125 ms at
    // 7 s/d, and the lag at the end is 45 ms and 15 s of drift.
    let drift_s = 15.0 * 7.0 / 86_400.0;
    let lag_s = 45e-3 + drift_s * -choice.rate_difference_s_per_d.signum();
    let closes = [lag_s, 0.125 - lag_s].map(|way| way / (7.0 / 86_400.0));
    let next_s = relation.next_coincidence_s.expect("independent balances meet");
    let unsure_s = 0.02 * next_s;
    assert!(closes.iter().any(|c| (c - next_s).abs() < unsure_s), "{next_s} {closes:?}");
}

#[test]
fn locked_balances_are_locked() {
    for seed in [0, 1, 2] {
        let reading = listen(&locked(seed));
        assert_eq!(reading.relation.map(|r| r.state), Some(RelationState::Locked), "{seed}");
    }
}

/// Different beats never lock.
#[test]
fn different_beats_are_independent() {
    let reading = listen(&mixed_beats(2));
    assert_eq!(reading.relation.map(|r| r.state), Some(RelationState::Independent));
}

/// Nobody can hear that there are two. Told so, the reading admits it and covers both rates.
#[test]
fn two_that_beat_together_cannot_be_told_apart() {
    for seed in 0..4 {
        let scenario = together(seed);
        let settings = beats::Settings { balances: Some(2), ..beats::Settings::default() };
        let rate = quantities::SampleRate::from_hz(48_000.0).expect("a usual rate");
        let mut listener = beats::Listener::new(rate, 1, settings);
        listener.push(&sound(&scenario));
        let reading = listener.reading();
        assert_eq!(reading.relation.map(|r| r.state), Some(RelationState::Unresolved), "{seed}");
        assert!(count(&reading, WarningCode::Unresolved) > 0);
        for t in &scenario.truth().expect("sound").balances {
            let covered = reading.balances.iter().any(|b| {
                let (error, sd) = rate_error(b, t.rate_by_slope_s_per_d);
                error.abs() < 2.0 * sd
            });
            assert!(covered, "{seed}");
        }
    }
}

#[test]
fn a_stop_is_said_and_when() {
    for seed in [1, 2, 3, 4] {
        let scenario = stops(seed);
        let truth = scenario.truth().expect("sound").balances[0].clone();
        let reading = listen(&scenario);
        assert_eq!(reading.balances.len(), 1, "{seed}");
        assert_eq!(count(&reading, WarningCode::Stopped), 1, "{seed}");
        assert_eq!(count(&reading, WarningCode::Started), 0, "{seed}");
        let last_s = truth.last_beat_s.expect("beats");
        // To a beat and a half of the slowest balance.
        assert!((reading.balances[0].running_s.1 - last_s).abs() < 0.3, "{seed}");
        assert!(reading.balances[0].beats_expected <= truth.beats);
    }
}

#[test]
fn a_start_is_said_and_when() {
    for seed in [1, 2, 3, 4] {
        let scenario = starts(seed);
        let truth = scenario.truth().expect("sound").balances[0].clone();
        let reading = listen(&scenario);
        assert_eq!(reading.balances.len(), 1, "{seed}");
        assert_eq!(count(&reading, WarningCode::Started), 1, "{seed}");
        assert_eq!(count(&reading, WarningCode::Stopped), 0, "{seed}");
        let first_s = truth.first_beat_s.expect("beats");
        assert!((reading.balances[0].running_s.0 - first_s).abs() < 0.3, "{seed}");
    }
}

/// The wave that was laid down comes back, in timing and in amplitude.
#[test]
fn a_ripple_is_found() {
    let mut slow = 0;
    for seed in [1, 6, 9, 12, 14, 16] {
        let scenario = rippled(seed);
        let timing = scenario.balances[0].timing_ripple_ms[0];
        let amplitude = scenario.balances[0].amplitude_ripple_deg[0];
        slow += usize::from(timing.period_s > 50.0);
        let reading = listen(&scenario);
        let b = &reading.balances[0];
        // A fifth of a width of the peak; a line takes up to a tenth off a wave of three turns,
        // and the deviation of a semi-amplitude is the scatter times sqrt(2/N).
        let width_s = timing.period_s * timing.period_s / scenario.duration_s;
        for (found, laid) in
            [(&b.timing_periodogram, timing), (&b.amplitude_periodogram, amplitude)]
        {
            let found = found.as_ref().expect("a periodogram");
            let peak = found.peaks.first().expect("a peak");
            assert!((peak.period_s - laid.period_s).abs() < 0.2 * width_s, "{seed}: {peak:?}");
            let share = peak.semi_amplitude / laid.semi_amplitude;
            assert!((0.85..1.15).contains(&share), "{seed}: {peak:?} {laid:?}");
        }
    }
    assert!(slow > 0, "a turn of the fourth wheel is among them");
}

#[test]
fn no_watch_gives_none() {
    for kind in NoWatch::ALL {
        for seed in 0..2 {
            let reading = listen(&no_watch(kind, seed));
            assert!(reading.balances.is_empty(), "{kind:?} {seed}: {:?}", reading.balances.len());
            assert_eq!(reading.relation, None);
        }
    }
}

#[test]
fn clipping_is_said() {
    let reading = listen(&clipped(3));
    assert_eq!(count(&reading, WarningCode::Clipped), 1);
    assert_eq!(reading.balances.len(), 1);
    assert_eq!(count(&listen(&clear_single(3)), WarningCode::Clipped), 0);
}

/// While sound comes in, numbers come early and get surer.
#[test]
fn a_live_reading_gets_surer() {
    for seed in [1, 5, 8] {
        let scenario = clear_single(seed);
        let truth = scenario.truth().expect("sound").balances[0].clone();
        let all = sound(&scenario);
        let mut listener = listener(&scenario);
        let mut sds = Vec::new();
        let mut heard_s = 0;
        for until_s in [3, 5, 10, 20, 30] {
            listener.push(&all[heard_s * 48_000..until_s * 48_000]);
            heard_s = until_s;
            let reading = listener.reading_with(beats::Detail::Numbers);
            assert_eq!(reading.balances.len(), 1, "{seed}: {until_s} s");
            assert_eq!(reading.duration_s, until_s as f64);
            let (error, sd) = rate_error(&reading.balances[0], truth.rate_by_slope_s_per_d);
            assert!(error.abs() < 5.0 * sd, "{seed}: {until_s} s: {error} ± {sd}");
            assert_eq!(count(&reading, WarningCode::Stopped), 0, "{seed}: {until_s} s");
            assert_eq!(count(&reading, WarningCode::Started), 0, "{seed}: {until_s} s");
            sds.push(sd);
        }
        // The deviation falls with the length to the power 3/2 (bib:kay1993): thirtyfold.
        assert!(sds[0] > 8.0 * sds[4], "{sds:?}");
        assert!(sds.windows(2).all(|w| w[1] < 1.1 * w[0]), "{sds:?}");
    }
}
