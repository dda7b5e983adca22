//! Several channels: a pickup at each balance, and one watch in all of them.

mod simulated;

use beats::{Listener, RelationState, Settings};
use quantities::{LiftAngle, SampleRate};
use simulated::{listen, rate_error, sound};
use truth::scenarios::{clear_single, two_pickups};

/// Beats 1 to 4 ms apart all through the recording, the other balance 8 to 14 dB fainter in each
/// channel. Limits as for one balance: five deviations for the rate; 0.1 ms and 5 degrees are what
/// matters at the bench (common practice, no published source).
#[test]
fn a_pickup_at_each_of_two_balances() {
    for seed in [2, 14, 25, 39] {
        let scenario = two_pickups(seed);
        let reading = listen(&scenario);
        assert_eq!(reading.balances.len(), 2, "{seed}");
        // All balances are read with the lift angle that the listener was told.
        let told_deg = scenario.balances[0].lift_deg;
        for (laid, t) in scenario.balances.iter().zip(&scenario.truth().expect("sound").balances) {
            let (b, (error, sd)) = reading
                .balances
                .iter()
                .map(|b| (b, rate_error(b, t.rate_by_slope_s_per_d)))
                .min_by(|a, b| a.1.0.abs().total_cmp(&b.1.0.abs()))
                .expect("two balances");
            assert!(error.abs() < 5.0 * sd && sd < 0.03, "{seed}: {error} ± {sd}");
            let beat_error = b.beat_error_ms.expect("a beat error");
            assert!((beat_error.value - t.beat_error_ms).abs() < 0.1, "{seed}: {beat_error:?}");
            let amplitude = b.amplitude_deg.expect("an amplitude").value * laid.lift_deg / told_deg;
            assert!((amplitude - t.amplitude_deg).abs() < 5.0, "{seed}: {amplitude}");
            assert!(b.beats_used as f64 > 0.9 * t.beats as f64, "{seed}");
        }
        assert_eq!(reading.relation.map(|r| r.state), Some(RelationState::Independent), "{seed}");
    }
}

/// One watch through two microphones: what the one hears explains the other, and still there is
/// one balance, read as well as from one channel. A channel of silence beside it changes nothing.
#[test]
fn one_watch_in_two_channels_is_one() {
    for seed in [1, 5] {
        let scenario = clear_single(seed);
        let truth = scenario.truth().expect("sound").balances[0].clone();
        let one = sound(&scenario);
        let later = |by: usize| one.iter().skip(by).chain(std::iter::repeat_n(&0.0, by));
        let fainter: Vec<f32> =
            one.iter().zip(later(9)).flat_map(|(near, far)| [*near, 0.6 * far]).collect();
        let silent: Vec<f32> = one.iter().flat_map(|x| [*x, 0.0]).collect();
        for sound in [&fainter, &silent] {
            let lift = LiftAngle::from_deg(scenario.balances[0].lift_deg).expect("a lift angle");
            let settings = Settings { lift_angles: vec![lift], ..Settings::default() };
            let rate = SampleRate::from_hz(48_000.0).expect("a usual rate");
            let mut listener = Listener::new(rate, 2, settings);
            listener.push(sound);
            let reading = listener.reading();
            assert_eq!(reading.balances.len(), 1, "{seed}");
            let (error, sd) = rate_error(&reading.balances[0], truth.rate_by_slope_s_per_d);
            assert!(error.abs() < 5.0 * sd && sd < 0.2, "{seed}: {error} ± {sd}");
            let amplitude = reading.balances[0].amplitude_deg.expect("an amplitude");
            assert!((amplitude.value - truth.amplitude_deg).abs() < 5.0, "{seed}: {amplitude:?}");
        }
    }
}
