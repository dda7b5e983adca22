//! Half an hour at 16 kHz.
#![allow(clippy::expect_used, reason = "a test says what went wrong by failing")]

mod simulated;

#[test]
fn half_an_hour() {
    let scenario = truth::scenarios::day(3).with_duration_s(1_800.0).with_sample_rate_hz(16_000);
    let reading = simulated::long::judge(&scenario, 0.95);
    // The fourth wheel.
    let power = reading.balances[0].timing_periodogram.as_ref().expect("a periodogram");
    let minute = power.peaks.iter().find(|p| (p.period_s - 60.0).abs() < 0.5).expect("60 s");
    assert!((minute.semi_amplitude - 0.3).abs() < 0.05, "{minute:?}");
}
