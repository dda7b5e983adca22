//! Marks: found in sound, and the clock from them.

#![allow(clippy::unwrap_used, reason = "a test says what went wrong by failing")]

use audio::clock::{MarkListener, MarkNotFound, MarkPlace, error_from_marks};
use quantities::SampleRate;
use truth::{Noise, Scenario, Sound, SteppingReference};

/// Steps half a minute apart stand for claps: what sets in at known true times.
fn claps(seed: u64, clock_error_ppm: f64) -> (Scenario, Vec<f64>) {
    let scenario = Scenario::new(seed)
        .with_duration_s(130.0)
        .with_clock_error_ppm(clock_error_ppm)
        .with_reference(SteppingReference {
            period_s: 30.0,
            offset_s: 7.0 + seed as f64 * 0.131,
            jitter_us: 0.0,
            voice_seed: seed,
            ..SteppingReference::default()
        })
        .with_noise(Noise::Pink { rms_db: -50.0 });
    let times = scenario.step_times_s(0).unwrap().unwrap().collect();
    (scenario, times)
}

fn listen(
    scenario: &Scenario,
    places: &[MarkPlace],
) -> Vec<Result<audio::clock::FoundMark, MarkNotFound>> {
    let rate = SampleRate::from_hz(f64::from(scenario.sample_rate_hz)).unwrap();
    let mut listener = MarkListener::new(rate, scenario.channels, places);
    let mut sound = Sound::new(scenario).unwrap();
    let mut block = vec![0.0; 9_999];
    loop {
        let filled = sound.fill(&mut block);
        if filled == 0 {
            return listener.finish();
        }
        listener.push(&block[..filled]);
    }
}

/// Marks are found to within three of their own deviations and the 0.1 ms that a burst takes to be
/// heard, whatever the sound.
#[test]
fn claps_are_found_where_they_set_in() {
    for seed in 1..8 {
        for rate_hz in [44_100, 192_000] {
            let (scenario, times) = claps(seed, 0.0);
            let scenario = scenario.with_sample_rate_hz(rate_hz);
            let places: Vec<MarkPlace> = times
                .iter()
                .map(|t| MarkPlace { near_s: t.round() + 0.7, within_s: 2.0 })
                .collect();
            for (found, t) in listen(&scenario, &places).into_iter().zip(&times) {
                let found = found.unwrap();
                let error = found.recorder_s - t;
                assert!(
                    error.abs() < 3.0 * found.sd_s + 1e-4,
                    "{seed} {rate_hz}: {error} {found:?}"
                );
                assert!(found.sd_s < 1e-3);
            }
        }
    }
}

/// The whole way from sound to clock: a hundred seconds and a fraction of a millisecond are a few
/// ppm.
#[test]
fn the_clock_from_claps() {
    let (scenario, times) = claps(3, 250.0);
    let places: Vec<MarkPlace> =
        times.iter().map(|t| MarkPlace { near_s: *t, within_s: 1.0 }).collect();
    let marks: Vec<_> = listen(&scenario, &places)
        .into_iter()
        .zip(&times)
        .map(|(found, t)| found.unwrap().at_true(*t, 0.0))
        .collect();
    let reading = error_from_marks(&marks).unwrap();
    let error = reading.error_ppm.value - 250.0;
    assert!(error.abs() < 3.0 * reading.error_ppm.sd && reading.error_ppm.sd < 5.0, "{reading:?}");
}

#[test]
fn what_is_not_there_is_not_found() {
    let (scenario, times) = claps(1, 0.0);
    let place = |near_s: f64, within_s: f64| MarkPlace { near_s, within_s };
    let got = listen(
        &scenario,
        &[
            place(times[0] + 10.0, 3.0),
            place(500.0, 1.0),
            place(f64::NAN, 1.0),
            place(5.0, 31.0),
            place(times[1], 0.5),
        ],
    );
    assert!(matches!(got[0], Err(MarkNotFound::Nothing { .. })), "{got:?}");
    assert_eq!(got[1], Err(MarkNotFound::BeyondEnd { near_s: 500.0 }));
    assert!(matches!(got[2], Err(MarkNotFound::BadPlace { .. })));
    assert!(matches!(got[3], Err(MarkNotFound::BadPlace { .. })));
    assert!(got[4].is_ok());
}

/// Nonsense for samples: an answer comes, whatever it is.
#[test]
fn any_samples_get_an_answer() {
    let rate = SampleRate::from_hz(8_000.0).unwrap();
    for samples in [vec![], vec![f32::NAN; 9_000], vec![f32::MAX, f32::MIN, 0.0], vec![1.0; 20_000]]
    {
        let mut listener = MarkListener::new(rate, 3, &[MarkPlace { near_s: 0.5, within_s: 1.0 }]);
        listener.push(&samples);
        assert_eq!(listener.finish().len(), 1);
    }
}
