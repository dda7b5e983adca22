use super::blows::Blows;
use super::likely::{Likely, Tried};
use super::picture::Picture;
use crate::pretend::Chances;
use signal::Symmetric;

const SAMPLE_RATE_HZ: f64 = 48_000.0;
const STEP: usize = 4;
const LIFT_DEG: f64 = 52.0;
/// Two beats of 21,600 an hour, seconds.
const PERIOD_S: f64 = 1.0 / 3.0;
const BEATS: usize = 120;

/// What precedes the drop of loudness 1, seconds before it and loudness.
type Before = [(f64, f64)];

/// One side's beats in white noise of standard deviation `noise`, every blow a burst of noise that
/// dies away: as unlike from beat to beat as can be.
fn picture(before: &Before, noise: f64, tried: &Tried, filter: &Symmetric, seed: u64) -> Picture {
    let mut chances = Chances(seed);
    let every = (0.12 * SAMPLE_RATE_HZ) as usize;
    let mut sound: Vec<f32> =
        (0..every * (BEATS + 1)).map(|_| (noise * chances.normal()) as f32).collect();
    let mut places = Vec::new();
    for beat in 0..BEATS {
        // At any fraction of a step.
        let drop = every * (beat + 1) - 1_000 + beat % 7;
        places.push(drop as f64 / STEP as f64);
        for (before_s, loud) in before.iter().copied().chain([(0.0, 1.0)]) {
            let from = drop - (before_s * SAMPLE_RATE_HZ).round() as usize;
            for k in 0..200 {
                let dies = (-(k as f64) / (0.7e-3 * SAMPLE_RATE_HZ)).exp();
                sound[from + k] += (loud * dies * chances.normal()) as f32;
            }
        }
    }
    let mut power = Vec::new();
    filter.power_envelope(&sound, STEP, &mut power);
    Picture::of(&power, &places, tried.frame(), tried.quiet).expect("enough beats")
}

fn weigh(before: &Before, noise: f64, seed: u64) -> Likely {
    let rate_hz = SAMPLE_RATE_HZ / STEP as f64;
    let tried = Tried::of(PERIOD_S * rate_hz, LIFT_DEG, rate_hz);
    let filter = Symmetric::with_magnitude(&[0.0, 0.3, 1.0, 1.0, 1.0, 0.5, 0.2, 0.0, 0.0], 31);
    let pictures = [0, 1].map(|side| picture(before, noise, &tried, &filter, 2 * seed + side));
    tried.weigh(&pictures, &Blows::through(&filter, STEP, SAMPLE_RATE_HZ))
}

/// Degrees for a span in steps, by the formula of the trade.
fn deg(span: f64) -> f64 {
    let span_s = span * STEP as f64 / SAMPLE_RATE_HZ;
    0.5 * LIFT_DEG / (std::f64::consts::PI * span_s / PERIOD_S).sin()
}

/// Time from unlocking to drop at an amplitude, by the same.
fn span_s(amplitude_deg: f64) -> f64 {
    (0.5 * LIFT_DEG / amplitude_deg).asin() / std::f64::consts::PI * PERIOD_S
}

/// At its beginning the unlocking lies 2.5 dB under the noise, in sound that is noise itself.
#[test]
fn an_unlocking_that_no_beat_shows_is_found() {
    for (seed, amplitude_deg) in [190.0, 230.0, 270.0, 305.0].into_iter().enumerate() {
        let span_s = span_s(amplitude_deg);
        let before = [(span_s, 0.3), (0.75 * span_s, 0.5)];
        let span = weigh(&before, 0.4, seed as u64).span();
        let error = deg(span.length) - amplitude_deg;
        let sd = deg(span.length - 0.5 * span.sd) - deg(span.length + 0.5 * span.sd);
        // Four deviations, or what a step of the envelope is worth.
        assert!(error.abs() < (4.0 * sd).max(3.0) && sd < 8.0, "{amplitude_deg} {error} {sd}");
    }
}

/// Noise before the drop makes an amplitude in none of so many recordings.
#[test]
fn noise_is_no_unlocking() {
    let sure = (0..20).filter(|seed| {
        let span = weigh(&[], 0.5, 100 + seed).span();
        super::relative(span, PERIOD_S * SAMPLE_RATE_HZ / STEP as f64) < super::LEAST_SURE
    });
    assert_eq!(sure.count(), 0);
}

/// An impulse that stands clear while its unlocking is lost says no amplitude, least of all that at
/// which it would be the unlocking.
#[test]
fn an_impulse_without_its_unlocking_is_no_unlocking() {
    for seed in 0..8 {
        let span_s = span_s(200.0 + 10.0 * seed as f64);
        let likely = weigh(&[(span_s, 0.08), (0.75 * span_s, 0.45)], 0.6, 200 + seed);
        let wrong = 0.75 * span_s * SAMPLE_RATE_HZ / STEP as f64;
        let near = likely.near(wrong, 5.0);
        assert!(near < super::STANDS, "{seed} {near}");
    }
}

/// With a lift angle of 90 degrees told, the blows of a watch with 52 and 270 lie nearer to the drop
/// than those of any amplitude that is tried, in clear sound: as those of 430 degrees do here.
#[test]
fn blows_of_another_lift_angle_are_no_unlocking() {
    for seed in 0..4 {
        let span_s = span_s(430.0);
        let span = weigh(&[(span_s, 0.35), (0.75 * span_s, 0.6)], 0.02, 300 + seed).span();
        let relative = super::relative(span, PERIOD_S * SAMPLE_RATE_HZ / STEP as f64);
        assert!(relative > super::LEAST_SURE, "{seed} {relative}");
    }
}

/// By the trade's formula the amplitude goes as one over the sine of the angle that the span turns
/// through; where that angle is small, as one over the span: a tenth of it is a tenth (to the
/// second order of 0.01).
#[test]
fn a_short_span_is_off_by_its_own_share() {
    let relative = super::relative(super::Span { length: 1.0, sd: 0.1 }, 314.16);
    assert!((relative - 0.1).abs() < 1e-4, "{relative}");
}
