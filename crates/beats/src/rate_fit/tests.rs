use super::*;
use crate::pretend::{Chances, Pretend, listen, read};
use crate::settings::Settings;
use quantities::SECONDS_PER_DAY;

/// Shares of errors within one and two deviations, in percent.
fn coverage(z: &[f64]) -> (f64, f64) {
    let within = |m: f64| 100.0 * z.iter().filter(|z| z.abs() < m).count() as f64 / z.len() as f64;
    (within(1.0), within(2.0))
}

/// Errors of the period over their deviations, for many recordings of one kind.
fn errors(kind: impl Fn(&mut Chances) -> (Pretend, f64, f64), count: u64) -> Vec<f64> {
    (0..count)
        .map(|seed| {
            let mut chances = Chances(seed + 1);
            let (one, duration_s, missed) = kind(&mut chances);
            let tracks = listen(&[one], duration_s, missed, seed + 7);
            let all = tracks.believed();
            let fit = fit_track(all[0]).expect("enough beats");
            (fit.period_s / one.period_s - 1.0) / fit.period_sd_relative
        })
        .collect()
}

/// White jitter: the deviation covers as that of a normal does, 68.3 % and 95.4 %; 400 recordings
/// tell that to 2.3 and 1.0 points, and the aim is five.
#[test]
fn white_jitter_is_covered() {
    let z = errors(
        |c| {
            let offset_s = c.even();
            (
                Pretend { offset_s, jitter_s: 40e-6, ..Pretend::default() },
                5.0 + 50.0 * c.even(),
                0.1,
            )
        },
        400,
    );
    let (one, two) = coverage(&z);
    assert!((one - 68.3).abs() < 7.0 && (two - 95.4).abs() < 5.0, "{one} {two}");
}

/// A few beats: Student's t and a scale that counts degrees of freedom. 300 recordings tell the
/// coverage to 2.7 and 1.2 points; two deviations of a widened one of five degrees of freedom hold
/// 93 %. That the beats may remember is thought possible, which widens by a tenth where they are too
/// few to say; so one deviation may hold more than 68 %, not less.
#[test]
fn few_beats_are_covered() {
    for duration_s in [1.1, 1.6, 3.0, 5.0] {
        let z = errors(
            |c| {
                (
                    Pretend { offset_s: c.even(), jitter_s: 40e-6, ..Pretend::default() },
                    duration_s,
                    0.0,
                )
            },
            300,
        );
        let (one, two) = coverage(&z);
        let fair = (61.0..81.0).contains(&one) && (90.5..99.5).contains(&two);
        assert!(fair, "{duration_s} s: {one} {two}");
    }
}

/// A wave of 0.3 ms once a minute, three to five times: it pulls the slope by far more than the
/// jitter does. Its pull at a random phase is an arcsine, not a normal: 50 % and 100 %.
#[test]
fn a_slow_ripple_is_covered() {
    let z = errors(
        |c| {
            let offset_s = 60.0 * c.even();
            let one = Pretend { offset_s, ripple_s: (0.3e-3, 60.0), ..Pretend::default() };
            (one, 180.0 + 120.0 * c.even(), 0.0)
        },
        120,
    );
    let (one, two) = coverage(&z);
    assert!(one > 45.0 && two > 93.0, "{one} {two}");
    // Taken for white, the deviation would be several times too small.
    let rms = (z.iter().map(|z| z * z).sum::<f64>() / z.len() as f64).sqrt();
    assert!(rms < 1.3, "{rms}");
}

/// Never surer than white jitter allows (bib:kay1993): the sd of a slope through N times.
#[test]
fn never_below_the_bound() {
    for seed in 0..50 {
        let one = Pretend { offset_s: 0.01 * f64::from(seed), ..Pretend::default() };
        let tracks = listen(&[one], 30.0, 0.0, 3);
        let all = tracks.believed();
        let fit = fit_track(all[0]).expect("enough beats");
        let n = all[0].used as f64;
        let bound = one.jitter_s / 0.125 * (12.0 / (n * (n * n - 1.0))).sqrt();
        // The scatter of 240 beats is known to 4.6 %; three times that below at most.
        assert!(fit.period_sd_relative > 0.86 * bound, "{seed}");
    }
}

/// Two runs of one watch, each with a phase of its own, give one rate: as sure as both together.
#[test]
fn two_runs_give_one_rate() {
    let before = Pretend { to_s: 50.0, ..Pretend::default() };
    let after = Pretend { from_s: 53.0, offset_s: 0.05 + 0.0713, to_s: 120.0, ..before };
    let tracks = listen(&[before, after], 120.0, 0.0, 8);
    let all = tracks.believed();
    assert_eq!((all.len(), all[0].runs.len()), (1, 2));
    let fit = fit_track(all[0]).expect("enough beats");
    assert!((fit.period_s / 0.25 - 1.0).abs() < 4.0 * fit.period_sd_relative);
    assert!(fit.period_sd_relative * SECONDS_PER_DAY < 0.05);
    let late: Vec<f64> = fit.residuals().iter().map(|r| r.late_s.abs()).collect();
    assert!(late.iter().all(|l| *l < 0.2e-3), "each run lies on its own line");
    // Runs at different rates are not surer together than their difference.
    let other = Pretend { period_s: 0.25 * (1.0 + 1e-4), ..after };
    let tracks = listen(&[before, other], 120.0, 0.0, 8);
    let fit_of_both = fit_track(tracks.believed()[0]).map(|f| f.period_sd_relative);
    assert!(fit_of_both.is_some_and(|sd| sd > 2e-5), "{fit_of_both:?}");
}

/// The drift of a watch at its rate is a straight line with that slope, tick and tock apart by the
/// beat error twice.
#[test]
fn the_drift_has_the_slope_of_the_rate() {
    let rate = 12.0;
    let period_s = 0.25 / (1.0 + rate / SECONDS_PER_DAY);
    let one = Pretend { period_s, jitter_s: 0.0, tock_late_s: 1.4e-3, ..Pretend::default() };
    let reading = read(&[one], 100.0, 0.0, 4, &Settings::default());
    let b = &reading.balances[0];
    let (first, last) = (b.drift.first().expect("beats"), b.drift.last().expect("beats"));
    assert!(first.gain_ms.abs() < 0.71, "zero at the start, but for the beat error");
    let of_side = |side| b.drift.iter().filter(|d| d.side == side).collect::<Vec<_>>();
    let same: Vec<_> = of_side(first.side);
    let (start, end) = (same[0], same[same.len() - 1]);
    let slope = (end.gain_ms - start.gain_ms) * 1e-3 / (end.time_s - start.time_s);
    // Without jitter only rounding is left: 1e-12 s of 100.
    assert!((slope * SECONDS_PER_DAY - rate).abs() < 1e-3, "{}", slope * SECONDS_PER_DAY);
    assert!(b.drift.iter().all(|d| d.residual_ms.abs() < 1e-3));
    assert!((last.time_s - 99.9).abs() < 0.2 && b.drift.len() > 780);
    // Half the difference of the intervals: tocks come 1.4 ms later than the middle between ticks,
    // so one kind of interval is 1.4 ms longer than the mean and the other as much shorter. That is
    // between the middles of unlocking and drop; the middle of the lift is passed earlier by the
    // cosine of half the way between them (to first order in the beat error: (pi f 1.4 ms)² is 3e-4).
    let half_way = std::f64::consts::PI * one.span_s / period_s;
    let expected_ms = 1.4 * half_way.cos();
    assert!((b.beat_error_ms.expect("beat error").value - expected_ms).abs() < 1e-3);
}

/// A watch whose rate changes by 6 s/d in an hour: the course follows.
#[test]
fn the_course_of_the_rate_follows() {
    let change_s_per_d = -6.0;
    let slowing_per_s = -change_s_per_d / SECONDS_PER_DAY / 3_600.0;
    let one = Pretend { slowing_per_s, ..Pretend::default() };
    let reading = read(&[one], 3_600.0, 0.05, 10, &Settings::default());
    let course = &reading.balances[0].rate_course;
    assert!((150..=180).contains(&course.len()), "{}", course.len());
    let z: Vec<f64> = course
        .iter()
        .map(|p| (p.value.value - change_s_per_d * p.time_s / 3_600.0) / p.value.sd)
        .collect();
    let (one_sd, two_sd) = coverage(&z);
    assert!(one_sd > 58.0 && two_sd > 88.0, "{one_sd} {two_sd}");
    assert!(course.iter().all(|p| p.value.sd < 0.5), "20 s of 30 µs: 0.1 s/d (bib:kay1993)");
    // The rate of the whole is that of the line: in the middle of a parabola's course.
    let rate = reading.balances[0].rate_s_per_d.expect("a rate");
    assert!((rate.value - 0.5 * change_s_per_d).abs() < 0.05, "{rate:?}");
}

#[test]
fn since_the_last_beat() {
    let one = Pretend { jitter_s: 0.0, tock_late_s: 0.0, ..Pretend::default() };
    let tracks = listen(&[one], 30.0, 0.0, 1);
    let all = tracks.believed();
    let fit = fit_track(all[0]).expect("enough beats");
    for end_s in [29.9, 30.0, 30.049, 30.051, 31.3] {
        let since = (end_s - one.offset_s).rem_euclid(0.125);
        let got = fit.since_last_beat_s(end_s);
        assert!((got - since).abs() < 1e-7, "{end_s}: {got} {since}");
    }
}

/// The formula against the normal equations, written out.
#[test]
fn a_step_tilts_the_line_as_least_squares_say() {
    let count = 4_000;
    for share in [0.1, 0.5, 0.8] {
        let at = |k: i32| 30.0 * (f64::from(k) + 0.5) / f64::from(count) - 15.0;
        let height = |k: i32| f64::from(u8::from(f64::from(k) >= share * f64::from(count)));
        let (xy, xx) =
            (0..count).fold((0.0, 0.0), |(xy, xx), k| (xy + at(k) * height(k), xx + at(k) * at(k)));
        // The sums stand for integrals: right to one in the number of points.
        assert!((tilt_by_step(share, 30.0) / (xy / xx) - 1.0).abs() < 1e-3, "{share}");
    }
}
