//! Long recordings: memory that does not grow, a count of beats that holds, courses that follow.
#![allow(clippy::expect_used, reason = "a test says what went wrong by failing")]

use super::{listener, most_memory_mib, rate_error};
use beats::Reading;
use truth::{Scenario, Sound};

/// Listens to all of it and says how much memory the process had at most, MiB; the simulator's
/// share included.
fn stream(scenario: &Scenario) -> (Reading, Option<f64>) {
    let mut listener = listener(scenario);
    let mut sound = Sound::new(scenario).expect("a sound scenario");
    let mut block = vec![0.0f32; 16_384];
    loop {
        let filled = sound.fill(&mut block);
        if filled == 0 {
            return (listener.reading(), most_memory_mib());
        }
        listener.push(&block[..filled]);
    }
}

/// Judges the reading of one of `truth::scenarios::day`, whatever its length, of whose beats this
/// share at least must have entered the fit. The memory is that of the whole process: one such test
/// a file, so that no other counts.
pub(crate) fn judge(scenario: &Scenario, least_used: f64) -> Reading {
    let truth = scenario.truth().expect("sound").balances[0].clone();
    let (reading, memory_mib) = stream(scenario);
    assert_eq!(reading.balances.len(), 1);
    let b = &reading.balances[0];
    let (error, sd) = rate_error(b, truth.rate_by_slope_s_per_d);
    let limit = 5.0 * sd;
    assert!(error.abs() < limit, "rate {error} ± {sd}");
    // One beat too many or too few would be a tenth of a second; those at the very ends are not heard whole.
    assert!(b.beats_expected <= truth.beats && b.beats_expected + 2 >= truth.beats);
    assert!(b.beats_used as f64 > least_used * truth.beats as f64, "{}", b.beats_used);
    assert!(b.rate_course.len() >= 20, "{}", b.rate_course.len());
    let amplitude = b.amplitude_deg.expect("an amplitude");
    assert!((amplitude.value - truth.amplitude_deg).abs() < 5.0, "{amplitude:?}");
    let course = &b.amplitude_course;
    let (first, last) = (course[0].value.value, course[course.len() - 1].value.value);
    let fallen = scenario.balances[0].amplitude_change_deg_per_h * scenario.duration_s / 3_600.0;
    // Each point is good to a degree or two; what is common to both falls out.
    assert!((last - first - fallen).abs() < 4.0, "{first} {last} {fallen}");
    if let Some(mib) = memory_mib {
        assert!(mib < 100.0, "{mib} MiB");
        println!("{} s: {mib:.1} MiB at most, rate {error:+.5} ± {sd:.5} s/d", scenario.duration_s);
    }
    reading
}
