use super::*;
use crate::pretend::{Pretend, read};
use crate::settings::Settings;
use quantities::{ClockError, LiftAngle, RecorderClock};

/// Loudest first; of two as loud (0.97 of it: 0.3 dB) the faster first, whatever order they came in.
#[test]
fn letters_follow_loudness_then_rate() {
    let at = |rate: f64, strength: f64, offset_s: f64| Pretend {
        period_s: 0.25 / (1.0 + rate / SECONDS_PER_DAY),
        strength,
        offset_s,
        ..Pretend::default()
    };
    let all = [at(-9.0, 1.0, 0.02), at(14.0, 0.97, 0.06), at(3.0, 1.5, 0.1)];
    for order in [[0, 1, 2], [2, 1, 0], [1, 2, 0]] {
        let reading = read(&order.map(|i| all[i]), 30.0, 0.0, 3, &Settings::default());
        let rates: Vec<f64> = reading
            .balances
            .iter()
            .filter_map(|b| b.rate_s_per_d)
            .map(|r| r.value.round())
            .collect();
        assert_eq!(rates, [3.0, 14.0, -9.0]);
    }
}

/// bib:jcgm100 5.1.2 and the definition of the clock's error: 35 ppm fast is 3.024 s/d.
#[test]
fn the_recorders_clock_is_taken_out() {
    let clock = RecorderClock::calibrated(ClockError::from_ppm(35.0).expect("in range"), 0.5);
    let one = Pretend { period_s: 0.25 * 1.000_035, ..Pretend::default() };
    let reading = read(&[one], 60.0, 0.0, 3, &Settings { clock, ..Settings::default() });
    let b = &reading.balances[0];
    let rate = b.rate_s_per_d.expect("a rate");
    assert!(rate.value.abs() < 5.0 * rate.sd, "{rate:?}");
    let with_clock = b.rate_sd_with_clock_s_per_d.expect("a deviation");
    assert!((with_clock - rate.sd.hypot(0.5 * 0.0864)).abs() < 1e-9);
    // The same without knowing of it.
    let reading = read(&[one], 60.0, 0.0, 3, &Settings::default());
    let blind = reading.balances[0].rate_s_per_d.expect("a rate");
    assert!((blind.value + 3.024).abs() < 5.0 * blind.sd && blind.sd < 0.02, "{blind:?}");
}

/// The time from unlocking to drop of 7.675 ms is 270 degrees at 52 degrees of lift and 28,800
/// beats per hour (horology's own worked example); each balance has its own lift angle.
#[test]
fn lift_angles_go_by_letter() {
    let lift = |deg| LiftAngle::from_deg(deg).expect("in range");
    let a = Pretend { span_s: 7.675e-3, strength: 2.0, ..Pretend::default() };
    let b = Pretend { offset_s: 0.1, strength: 1.0, period_s: 0.25001, ..a };
    let settings = Settings { lift_angles: vec![lift(52.0), lift(40.0)], ..Settings::default() };
    let reading = read(&[a, b], 30.0, 0.0, 3, &settings);
    let deg: Vec<f64> =
        reading.balances.iter().filter_map(|b| b.amplitude_deg).map(|a| a.value).collect();
    assert!((deg[0] - 270.0).abs() < 0.1, "{deg:?}");
    assert!((deg[1] - 270.0 * 40.0 / 52.0).abs() < 0.2, "{deg:?}");
}

/// A live reading says the same in its numbers as a whole one, without what takes time.
#[test]
fn a_live_reading_says_the_same() {
    let tracks = crate::pretend::listen(&[Pretend::default()], 120.0, 0.0, 3);
    let heard = Listened {
        tracks: tracks.believed(),
        duration_s: 120.0,
        by_pickups: false,
        clipped: 0,
        quiet: &Quiet::default(),
        breaks: &[],
    };
    let whole = account_for(&heard, &Settings::default(), Detail::Whole);
    let live = account_for(&heard, &Settings::default(), Detail::Numbers);
    assert_eq!(whole.balances[0].rate_s_per_d, live.balances[0].rate_s_per_d);
    assert_eq!(whole.balances[0].drift, live.balances[0].drift);
    assert!(
        live.balances[0].timing_periodogram.is_none() && live.balances[0].rate_course.is_empty()
    );
    assert!(whole.balances[0].timing_periodogram.is_some());
    assert!(whole.balances[0].rate_course.len() > 3);
}

/// Of two stretches only the averaged beats show the unlocking: 7.6 ms in 0.25 s with the usual lift
/// angle of 52 degrees are 26 / sin(pi 7.6 / 250) = 272.65 degrees, in beat; and a span off by 1 %
/// makes an amplitude off by 1 % (0.997 of it: the angle over its tangent). Two stretches that are
/// wrong alike are no surer than one.
#[test]
fn an_amplitude_of_averaged_beats_is_a_mean_without_a_course() {
    let faint = Pretend { faint_sd_s: Some(0.076e-3), tock_late_s: 0.0, ..Pretend::default() };
    let reading = read(&[faint], 90.0, 0.0, 1, &Settings::default());
    let amplitude = reading.balances[0].amplitude_deg.unwrap();
    assert!((amplitude.value - 272.65).abs() < 0.1, "{amplitude:?}");
    assert!((amplitude.sd - 2.72).abs() < 0.01, "{amplitude:?}");
    assert!(reading.balances[0].amplitude_course.is_empty());
    assert!(reading.balances[0].amplitude_periodogram.is_none());
}
