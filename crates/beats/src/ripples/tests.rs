use crate::pretend::{Pretend, read};
use crate::settings::Settings;

/// A wave of known size and period comes back, in short recordings and where beats are averaged.
#[test]
fn a_wave_comes_back() {
    for (semi_ms, period_s, duration_s) in
        [(0.3, 60.0, 240.0), (0.15, 6.0, 60.0), (0.5, 8.0, 60.0), (0.05, 7.5, 600.0)]
    {
        let one = Pretend { ripple_s: (1e-3 * semi_ms, period_s), ..Pretend::default() };
        let reading = read(&[one], duration_s, 0.05, 3, &Settings::default());
        let found = reading.balances[0].timing_periodogram.as_ref().expect("a periodogram");
        let peak = found.peaks.first().expect("a peak");
        // An eighth of a width of the peak; a line takes a few percent off a wave of four turns.
        let width = period_s * period_s / duration_s;
        assert!((peak.period_s - period_s).abs() < width / 8.0, "{period_s}: {peak:?}");
        // 1 in 16,000 normal errors lies beyond four deviations.
        assert!((peak.period_s - period_s).abs() < 4.0 * peak.period_sd_s, "{period_s}: {peak:?}");
        assert!((peak.semi_amplitude / semi_ms - 1.0).abs() < 0.1, "{semi_ms}: {peak:?}");
        assert!(peak.false_alarm_probability < 1e-4);
        assert_eq!(found.peaks.len(), 1, "{:?}", found.peaks);
        assert!(found.power.iter().all(|p| (0.0..=1.0).contains(p)));
        assert!(found.power.len() == found.frequency_hz.len());
        assert!(found.frequency_hz.windows(2).all(|w| w[0] < w[1]));
        let highest = found.frequency_hz.last().expect("frequencies");
        assert!(*highest < 4.0 && found.frequency_hz[0] * duration_s < 1.01);
    }
}

/// White jitter alone names nothing in 99 of 100: of 300 recordings 3 are expected, and more than
/// 9 would be a chance of 1 in 1,000 (Poisson).
#[test]
fn jitter_alone_names_nothing() {
    let named = (0..300u64)
        .filter(|seed| {
            let one = Pretend { offset_s: 0.3 * *seed as f64, ..Pretend::default() };
            let reading = read(&[one], 30.0, 0.0, seed + 1, &Settings::default());
            let found = reading.balances[0].timing_periodogram.as_ref().expect("a periodogram");
            !found.peaks.is_empty()
        })
        .count();
    assert!(named <= 9, "{named} of 300");
}

/// A rate that changes bends the course; that is no wave.
#[test]
fn a_bent_course_is_no_wave() {
    let one = Pretend { slowing_per_s: 2e-9, ..Pretend::default() };
    let reading = read(&[one], 900.0, 0.0, 5, &Settings::default());
    let found = reading.balances[0].timing_periodogram.as_ref().expect("a periodogram");
    assert!(found.peaks.is_empty(), "{:?}", found.peaks);
}

/// A day of beats has a bounded periodogram that still shows the turn of the fourth wheel.
#[test]
fn a_day_shows_a_minute() {
    let one = Pretend { ripple_s: (0.3e-3, 60.0), to_s: 90_000.0, ..Pretend::default() };
    let reading = read(&[one], 86_400.0, 0.0, 6, &Settings::default());
    let found = reading.balances[0].timing_periodogram.as_ref().expect("a periodogram");
    assert!(found.power.len() <= 32_769);
    let peak = found.peaks.first().expect("a peak");
    assert!((peak.period_s - 60.0).abs() < 0.01, "{peak:?}");
    assert!((peak.semi_amplitude - 0.3).abs() < 0.01, "{peak:?}");
}

/// Nothing to look at gives nothing.
#[test]
fn few_beats_have_no_periodogram() {
    let reading = read(&[Pretend::default()], 1.4, 0.0, 6, &Settings::default());
    assert!(reading.balances.iter().all(|b| b.timing_periodogram.is_none()));
}
