//! What the truth says, against plain arithmetic.

use truth::{Balance, Ripple, Scenario, ScenarioError, SteppingReference};

fn scenario(duration_s: f64, balance: Balance) -> Scenario {
    Scenario::new(11).with_duration_s(duration_s).with_balance(balance)
}

/// 30 s at 28,800 beats per hour: 240 beats, and one more where the first falls early enough for
/// the last to be in at +100 s/d.
#[test]
fn beats_are_counted() {
    let count = |rate_s_per_d, offset_s| {
        let balance = Balance { rate_s_per_d, offset_s, ..Balance::default() };
        scenario(30.0, balance).truth().unwrap().balances[0].beats
    };
    assert_eq!(count(0.0, 0.06), 240);
    assert_eq!(count(100.0, 0.001), 241);
    // The offset picks the phase; beats reach back from it to the start.
    assert_eq!(count(0.0, 0.06 + 0.125 * 80.0), 240);
}

/// A steady change of 12 s/d per hour from +2 s/d: after two hours +26, mean +14 (by hand). The
/// beats begin and end within a beat of the ends: 12 s/d/h × 0.125 s is 4e-4 s/d.
#[test]
fn mean_of_a_drifting_rate() {
    let balance =
        Balance { rate_s_per_d: 2.0, rate_change_s_per_d_per_h: 12.0, ..Balance::default() };
    let truth = &scenario(7_200.0, balance).truth().unwrap().balances[0];
    assert!((truth.rate_s_per_d - 14.0).abs() < 1e-3, "{}", truth.rate_s_per_d);
    // A parabola's least-squares slope is that of its chord.
    assert!((truth.rate_by_slope_s_per_d - 14.0).abs() < 1e-3);
}

/// Half a turn of a ripple of 0.5 ms over 30 s, from trough to crest, adds 1 ms in 30 s to the
/// mean rate: 86400 × 1e-3/30 = 2.88 s/d. The line through the beats is steeper: for
/// -cos(πx) over x in 0..1 the least-squares slope is 24/π² = 2.4317 against 2 for the chord
/// (∫ -cos(πx)(x-1/2) dx = 2/π², divided by the variance 1/12): 3.5016 s/d.
#[test]
fn ripple_bends_the_mean_and_the_line() {
    let ripple = Ripple { semi_amplitude: 0.5, period_s: 60.0, phase_turns: -0.25 };
    let balance = Balance { timing_ripple_ms: vec![ripple], ..Balance::default() };
    let truth = &scenario(30.0, balance).truth().unwrap().balances[0];
    // The first and last beats lie within 0.1 s of the ends, where the ripple is flat:
    // 0.5 ms × (π × 0.1/30)²/2 is 3e-5 ms; the span is 0.4 % shorter.
    assert!((truth.rate_s_per_d - 2.88).abs() < 0.015, "{}", truth.rate_s_per_d);
    assert!((truth.rate_by_slope_s_per_d - 3.5016).abs() < 0.02, "{truth:?}");
}

/// Over ten full minutes a once-a-minute ripple moves the mean by no more than its ends.
#[test]
fn whole_turns_of_a_ripple_leave_the_rate() {
    let ripple = Ripple { semi_amplitude: 0.8, period_s: 60.0, phase_turns: 0.25 };
    let balance =
        Balance { rate_s_per_d: -3.1, timing_ripple_ms: vec![ripple], ..Balance::default() };
    let truth = &scenario(600.0, balance).truth().unwrap().balances[0];
    // Near the crest the ripple is flat: 0.8 ms × (2π × 0.1/60)²/2 = 4e-5 ms.
    assert!((truth.rate_s_per_d + 3.1).abs() < 1e-4);
}

/// Amplitude from 300, falling 24 degrees an hour over two hours: mean 276, deviation
/// 48/√12 = 13.856 (even distribution), with 1.5 of its own: √(13.856² + 1.5²) = 13.937.
/// Tolerance: five standard errors of 57,600 beats.
#[test]
fn course_of_the_amplitude() {
    let balance = Balance {
        amplitude_deg: 300.0,
        amplitude_change_deg_per_h: -24.0,
        amplitude_sd_deg: 1.5,
        beat_error_ms: 0.5,
        ..Balance::default()
    };
    let truth = &scenario(7_200.0, balance).truth().unwrap().balances[0];
    assert!((truth.amplitude_deg - 276.0).abs() < 5.0 * 1.5 / 57_600.0_f64.sqrt() + 1e-3);
    assert!((truth.amplitude_sd_deg - 13.937).abs() < 0.03, "{}", truth.amplitude_sd_deg);
    // The rest position stays, so the beat error grows as 300/A: mean of 300/A over 252..300 is
    // 300/48 × ln(300/252) = 1.0897.
    assert!((truth.beat_error_ms - 0.5 * 1.0897).abs() < 1e-3, "{}", truth.beat_error_ms);
}

#[test]
fn runs_only_while_it_runs() {
    let balance = Balance { starts_at_s: Some(5.0), stops_at_s: Some(17.6), ..Balance::default() };
    let truth = &scenario(30.0, balance).truth().unwrap().balances[0];
    let (first, last) = (truth.first_beat_s.unwrap(), truth.last_beat_s.unwrap());
    assert!((4.99..5.13).contains(&first) && (17.47..17.61).contains(&last));
    assert_eq!(truth.beats, 101);
    let never = Balance { starts_at_s: Some(40.0), ..Balance::default() };
    let truth = &scenario(30.0, never).truth().unwrap().balances[0];
    assert_eq!((truth.beats, truth.first_beat_s), (0, None));
}

/// A reference that is 20 ppm fast steps every 1/(1 + 20e-6) s; on a recorder 22 ppm slow, 120 s
/// of its nominal clock are 120/(1 - 22e-6) true seconds.
#[test]
fn steps_of_a_reference() {
    let reference = SteppingReference { error_ppm: 20.0, jitter_us: 0.0, ..Default::default() };
    let scenario = Scenario::new(1)
        .with_duration_s(120.0)
        .with_clock_error_ppm(-22.0)
        .with_reference(reference);
    let truth = scenario.truth().unwrap();
    assert!((truth.true_duration_s - 120.0 / (1.0 - 22e-6)).abs() < 1e-9);
    assert_eq!(truth.references[0].steps, 120);
    let times: Vec<f64> = scenario.step_times_s(0).unwrap().unwrap().collect();
    assert_eq!(times.len(), 120);
    assert!((times[0] - 0.3).abs() < 1e-12);
    assert!((times[119] - times[0] - 119.0 / (1.0 + 20e-6)).abs() < 1e-10);
    assert!(scenario.step_times_s(1).unwrap().is_none());
    assert!(scenario.beats(0).unwrap().is_none());
}

/// Each thing that cannot be laid down is refused by name and place.
#[test]
fn nonsense_is_refused_with_a_sentence() {
    let say = |balance| scenario(10.0, balance).check().unwrap_err().to_string();
    let d = Balance::default;
    assert_eq!(
        say(Balance { beats_per_hour: 0.0, ..d() }),
        "balance 1: beats per hour must lie between 3600 and 360000 beats per hour, not 0"
    );
    assert!(say(Balance { rate_s_per_d: f64::NAN, ..d() }).starts_with("balance 1: rate must"));
    assert!(say(Balance { amplitude_deg: 25.0, ..d() }).contains("too low for a lift angle of 52"));
    assert!(say(Balance { amplitude_change_deg_per_h: -9e4, ..d() }).contains("too low"));
    let ripple = Ripple { semi_amplitude: 100.0, period_s: 1.0, phase_turns: 0.0 };
    assert!(say(Balance { timing_ripple_ms: vec![ripple], ..d() }).contains("stand still"));
    let stops = Balance { starts_at_s: Some(5.0), stops_at_s: Some(5.0), ..d() };
    assert!(say(stops).contains("not after it starts"));
    let paths = Balance { paths: vec![truth::Path::DIRECT; 2], ..d() };
    assert!(matches!(
        scenario(10.0, paths).check(),
        Err(ScenarioError::PathPerChannel { given: 2, channels: 1, .. })
    ));
    assert!(Scenario::new(1).with_duration_s(f64::INFINITY).check().is_err());
    assert!(Scenario::new(1).with_channels(0).check().is_err());
    assert!(Scenario::new(1).with_sample_rate_hz(1).check().is_err());
}
