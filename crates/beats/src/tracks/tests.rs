use super::*;
use crate::pretend::{Chances, Pretend, STEP_S, STRETCH_S, listen};
use proptest::prelude::*;

/// Difference between the track's count of beats and the true one, run by run; fails where it is
/// not the same for every beat of a run.
fn count_offsets(track: &Track, truth: &[Pretend]) -> Vec<i64> {
    track
        .runs
        .iter()
        .enumerate()
        .map(|(run, _)| {
            let mut offset = None;
            for (side, g) in track.groups.iter().filter(|(_, g)| g.run == run as u32) {
                assert_eq!(g.beats, 1, "few enough to be kept one by one");
                assert_eq!(g.beat.rem_euclid(2.0), side as f64);
                let time_s = track.even_s(g.beat) + g.late_s;
                let (true_beat, off_s) = truth
                    .iter()
                    .flat_map(|one| {
                        one.beats_within(time_s - 0.02, time_s + 0.02)
                            .map(|n| (n, (one.time_s(n) - time_s).abs()))
                    })
                    .min_by(|a, b| a.1.total_cmp(&b.1))
                    .expect("a true beat near every beat of the track");
                assert!(off_s < 2e-3, "{time_s}: {off_s}");
                let this = g.beat as i64 - true_beat;
                assert_eq!(*offset.get_or_insert(this), this, "count lost at {time_s} s");
            }
            offset.expect("no run without beats")
        })
        .collect()
}

fn beats_in(one: &Pretend, duration_s: f64) -> u64 {
    let all = one.beats_within(0.03, duration_s - 0.03);
    (all.end - all.start) as u64
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    /// Whatever a stretch calls tick and wherever it counts from, the count goes on across
    /// borders: no beat too many or too few, at any beat, beat error, ripple, drift and number of
    /// beats missed.
    #[test]
    fn the_count_goes_on_across_borders(
        per_hour in prop::sample::select(vec![12_000.0, 18_000.0, 21_600.0, 28_800.0, 36_000.0]),
        offset in 0.0..1.0f64,
        tock_late_ms in -4.0..4.0f64,
        jitter_us in 0.0..150.0f64,
        ripple_ms in 0.0..0.8f64,
        slowing in -2e-9..2e-9f64,
        missed in 0.0..0.3f64,
        duration_s in 20.0..700.0f64,
        seed in 1u64..1_000_000,
    ) {
        let period_s = 7_200.0 / per_hour;
        let one = Pretend {
            period_s,
            offset_s: offset * period_s,
            tock_late_s: 1e-3 * tock_late_ms,
            jitter_s: 1e-6 * jitter_us,
            ripple_s: (1e-3 * ripple_ms, 60.0),
            slowing_per_s: slowing,
            ..Pretend::default()
        };
        let tracks = listen(&[one], duration_s, missed, seed);
        let believed = tracks.believed();
        prop_assert_eq!(believed.len(), 1);
        prop_assert_eq!(believed[0].runs.len(), 1);
        count_offsets(believed[0], &[one]);
        if missed == 0.0 {
            prop_assert_eq!(believed[0].expected(), beats_in(&one, duration_s));
            prop_assert_eq!(believed[0].used, believed[0].expected());
        } else {
            prop_assert!(believed[0].expected() <= beats_in(&one, duration_s));
            prop_assert!(believed[0].expected() + 25 >= beats_in(&one, duration_s));
        }
    }

    /// A watch that is not heard for a while but ran on keeps its count, if the while is short
    /// enough to be sure of it.
    #[test]
    fn a_short_silence_does_not_stop_the_count(
        gap_s in 3.0..80.0f64,
        begins_s in 100.0..200.0f64,
        tock_late_ms in -3.0..3.0f64,
        ripple_ms in 0.0..0.15f64,
        seed in 1u64..1_000_000,
    ) {
        let whole = Pretend {
            tock_late_s: 1e-3 * tock_late_ms,
            ripple_s: (1e-3 * ripple_ms, 60.0),
            ..Pretend::default()
        };
        let before = Pretend { to_s: begins_s, ..whole };
        let after = Pretend { from_s: begins_s + gap_s, ..whole };
        let tracks = listen(&[before, after], 400.0, 0.05, seed);
        let believed = tracks.believed();
        prop_assert_eq!(believed.len(), 1);
        prop_assert_eq!(believed[0].runs.len(), 1, "{:?}", believed[0].runs);
        count_offsets(believed[0], &[whole]);
    }

    /// A watch that stopped and was set going again, at whatever phase, is one watch with two
    /// runs; ticks stay ticks as far as the beat error tells.
    #[test]
    fn a_stop_and_a_start_make_two_runs_of_one_watch(
        gap_s in 1.0..200.0f64,
        stops_s in 20.0..200.0f64,
        // Of an oscillation; nearly in step with what was before is too good a chance.
        phase in prop::sample::select(vec![0.1, 0.2, 0.3, 0.4, 0.6, 0.7, 0.8, 0.9]),
        tock_late_ms in prop::sample::select(vec![-2.0, -0.7, 0.7, 2.0]),
        seed in 1u64..1_000_000,
    ) {
        let before = Pretend { tock_late_s: 1e-3 * tock_late_ms, to_s: stops_s, ..Pretend::default() };
        let after = Pretend {
            from_s: stops_s + gap_s,
            offset_s: before.offset_s + phase * before.period_s,
            to_s: 3_600.0,
            ..before
        };
        let tracks = listen(&[before, after], 500.0, 0.0, seed);
        let believed = tracks.believed();
        prop_assert_eq!(believed.len(), 1);
        let track = believed[0];
        prop_assert_eq!(track.runs.len(), 2, "{:?}", track.runs);
        // Each run is held against its own watch: the beats lie at the same places otherwise.
        let of_run = |run: u32, one: &Pretend| {
            let mut only = track.clone();
            only.runs.truncate(1);
            only.groups = crate::groups::Groups::default();
            for (side, g) in track.groups.iter().filter(|(_, g)| g.run == run) {
                only.groups.push(side, crate::groups::Group { run: 0, ..*g });
            }
            count_offsets(&only, &[*one])[0]
        };
        let offsets = [of_run(0, &before), of_run(1, &after)];
        prop_assert_eq!((offsets[0] - offsets[1]).rem_euclid(2), 0, "tick for tick");
        let made = before.beats_within(0.03, 600.0).count() + after.beats_within(0.0, 499.97).count();
        // Beats nearer to a border of stretches than 30 ms are heard in the other stretch.
        prop_assert!((track.expected() as i64 - made as i64).abs() <= 2, "{} {made}", track.expected());
        prop_assert!((track.runs[0].last.time_s - stops_s).abs() < 0.2);
        prop_assert!((track.runs[1].first.time_s - stops_s - gap_s).abs() < 0.2);
    }

    /// Two balances keep their names while their beats run through each other's.
    #[test]
    fn two_balances_are_not_mixed_up(
        lag_ms in -20.0..20.0f64,
        apart_s_per_d in prop::sample::select(vec![-60.0, -20.0, -8.0, 8.0, 20.0, 60.0]),
        missed in 0.0..0.2f64,
        seed in 1u64..1_000_000,
    ) {
        two_are_not_mixed_up(lag_ms, apart_s_per_d, missed, seed)?;
    }
}

fn two_are_not_mixed_up(
    lag_ms: f64,
    apart_s_per_d: f64,
    missed: f64,
    seed: u64,
) -> Result<(), TestCaseError> {
    let a = Pretend { offset_s: 0.04, strength: 2.0, ..Pretend::default() };
    let period_s = a.period_s * (1.0 - apart_s_per_d / 86_400.0);
    // The lag is that after five minutes.
    let turns = (300.0 / a.period_s).round();
    let offset_s = a.offset_s + turns * (a.period_s - period_s) + 1e-3 * lag_ms;
    let b = Pretend { offset_s, period_s, tock_late_s: -0.9e-3, strength: 1.0, ..a };
    let tracks = listen(&[a, b], 600.0, missed, seed);
    let believed = tracks.believed();
    prop_assert_eq!(believed.len(), 2);
    for track in believed {
        prop_assert_eq!(track.runs.len(), 1);
        let own = if track.mean_note(|n| n.strength) > 1.5 { a } else { b };
        count_offsets(track, &[own]);
    }
    Ok(())
}

/// Where a fifth of the beats is missed and the balances beat within 2 ms of each other, it may be the
/// other's beats that are shared where stretches overlap.
#[test]
fn beats_shared_with_the_other_balance_do_not_mix_them_up() {
    two_are_not_mixed_up(0.0, 60.0, 0.178_875_058_359_410_2, 612_099).unwrap();
}

/// One stretch that times another shock of the beat must bend neither the course nor the count.
#[test]
fn another_shock_timed_in_one_stretch_is_put_right() {
    let one = Pretend::default();
    let mut chances = Chances(3);
    let mut tracks = Tracks::default();
    for k in 0..8 {
        let start_s = f64::from(k) * STEP_S;
        let later_s = if k == 4 { 4.2e-3 } else { 0.0 };
        let stretch = (start_s, start_s + STRETCH_S);
        tracks.add(
            one.heard(stretch, 7 * i64::from(k), 0.0, later_s, &mut chances).into_iter().collect(),
            start_s,
        );
    }
    let believed = tracks.believed();
    assert_eq!((believed.len(), believed[0].runs.len()), (1, 1));
    for (side, g) in believed[0].groups.iter() {
        let time_s = believed[0].even_s(g.beat) + g.late_s;
        let near = one.beats_within(time_s - 0.05, time_s + 0.05);
        let off = near.map(|n| (one.time_s(n) - time_s).abs()).fold(f64::INFINITY, f64::min);
        // The same beats heard twice put it right to their common scatter.
        assert!(off < 20e-6, "{side} {time_s}: {off}");
    }
}

/// A balance that one stretch of an hour invents is not reported.
#[test]
fn a_slip_of_the_ear_is_not_believed() {
    let one = Pretend::default();
    let slip = Pretend { period_s: 0.2503, from_s: 1_000.0, to_s: 1_030.0, ..one };
    assert_eq!(listen(&[one, slip], 3_600.0, 0.0, 5).believed().len(), 1);
    // What is heard as long as the other, or alone, is.
    let other = Pretend { period_s: 0.2503, ..one };
    assert_eq!(listen(&[one, other], 600.0, 0.0, 5).believed().len(), 2);
    let later = Pretend { from_s: 3_000.0, to_s: 3_030.0, ..one };
    let early = Pretend { to_s: 2_000.0, ..one };
    let both = listen(&[early, later], 3_600.0, 0.0, 5);
    assert_eq!(both.believed().len(), 1);
    assert_eq!(both.believed()[0].runs.len(), 2);
}

/// A day of beats takes a few megabytes: groups and notes are bounded, so is what is remembered.
#[test]
fn a_day_is_kept_in_bounded_room() {
    let one = Pretend { period_s: 0.2, to_s: 90_000.0, ..Pretend::default() };
    let tracks = listen(&[one], 86_400.0, 0.0, 11);
    let believed = tracks.believed();
    assert_eq!((believed.len(), believed[0].runs.len()), (1, 1));
    assert_eq!(believed[0].expected(), beats_in(&one, 86_400.0));
    assert_eq!(believed[0].used, believed[0].expected());
    assert!(believed[0].groups.iter().count() <= 96_000);
    let fit = crate::rate_fit::fit_track(believed[0]).expect("a day of beats");
    // The bound of a slope (bib:kay1993) through 864,000 times with 30 µs is 3.5e-12 of the
    // period; putting 1,464 stretches in place one after the other adds their common scatter.
    assert!((fit.period_s / 0.2 - 1.0).abs() < 1e-9, "{}", fit.period_s);
    assert!((fit.tock_late_s.0.abs() - 0.4e-3).abs() < 2e-6);
}

/// A stretch in which only every second oscillation is heard goes on with the same count; one that
/// is heard beside the whole is no balance of its own.
#[test]
fn every_second_oscillation_is_the_same_balance() {
    for every in [2, 3, 4] {
        let one = Pretend { ripple_s: (0.3e-3, 60.0), ..Pretend::default() };
        let mut chances = Chances(3);
        let mut tracks = Tracks::default();
        for k in 0..9 {
            let start_s = f64::from(k) * STEP_S;
            let whole = one.heard((start_s, start_s + STRETCH_S), 11, 0.0, 0.0, &mut chances);
            let whole = whole.expect("a stretch of beats");
            let mut part = whole.clone();
            part.period_s *= f64::from(every);
            part.beats.retain(|b| b.turn % i64::from(every) == 0);
            for (n, b) in part.beats.iter_mut().enumerate() {
                (b.turn, b.is_tock) = (n as i64 / 2, n % 2 == 1);
            }
            let heard = match k {
                3 | 4 => vec![part],
                6 => vec![part, whole],
                _ => vec![whole],
            };
            tracks.add(heard, start_s);
        }
        let believed = tracks.believed();
        assert_eq!(believed.len(), 1, "every {every}");
        assert_eq!(believed[0].runs.len(), 1, "every {every}");
        count_offsets(believed[0], &[one]);
        assert_eq!(believed[0].expected(), beats_in(&one, 9.0 * STEP_S + 1.0));
    }
}
