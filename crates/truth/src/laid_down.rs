use crate::reference::Steps;
use crate::scenario::Scenario;
use crate::swing::{LaidBeats, Swing};
use quantities::SECONDS_PER_DAY;

/// What a recording holds, as far as there is something to be found in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Truth {
    /// The balances, in the order of the scenario.
    pub balances: Vec<BalanceTruth>,
    /// The once-a-second references, in the order of the scenario.
    pub references: Vec<ReferenceTruth>,
    /// Length in true seconds.
    pub true_duration_s: f64,
    /// Error of the recorder's clock, ppm.
    pub clock_error_ppm: f64,
}

/// What one balance laid down.
#[derive(Debug, Clone, PartialEq)]
pub struct BalanceTruth {
    /// Nominal beats per hour.
    pub beats_per_hour: f64,
    /// Beats whose (jitter-free) time lies in the recording.
    pub beats: u64,
    /// Mean rate from the first beat to the last, s/d: what it gained over the time it took;
    /// ripple included, jitter not. With fewer than two beats, the rate as set.
    pub rate_s_per_d: f64,
    /// Slope of the least-squares line through the jitter-free times, as a rate, s/d. It is
    /// what a measurement by such a line aims at; it differs from the mean rate where ripple or
    /// a changing rate bends the course.
    pub rate_by_slope_s_per_d: f64,
    /// Mean amplitude of the beats laid down, degrees.
    pub amplitude_deg: f64,
    /// Standard deviation of their amplitudes, the slow course included, degrees.
    pub amplitude_sd_deg: f64,
    /// Mean beat error of the beats laid down, ms, half the difference of the intervals, never
    /// negative.
    pub beat_error_ms: f64,
    /// Whether the interval from tick (beats numbered evenly) to tock is the longer one.
    pub tick_to_tock_is_longer: bool,
    /// Standard deviation of the jitter as it fell, µs.
    pub jitter_us: f64,
    /// Lift angle, degrees.
    pub lift_deg: f64,
    /// Peak of its loudest burst, 1.0 being full scale.
    pub loudness: f64,
    /// True time of the first beat, seconds.
    pub first_beat_s: Option<f64>,
    /// True time of the last beat, seconds.
    pub last_beat_s: Option<f64>,
}

/// What one once-a-second reference laid down.
#[derive(Debug, Clone, PartialEq)]
pub struct ReferenceTruth {
    /// True seconds from step to step, its own error included.
    pub period_s: f64,
    /// Steps whose (jitter-free) time lies in the recording.
    pub steps: u64,
    /// True time at which the first of them sets in, jitter included, seconds.
    pub first_step_s: Option<f64>,
}

impl Truth {
    /// Works out a scenario that has been checked.
    pub(crate) fn of(scenario: &Scenario) -> Self {
        let true_duration_s = scenario.true_duration_s();
        let balances = scenario
            .balances
            .iter()
            .enumerate()
            .map(|(place, balance)| {
                let swing = Swing::new(balance, scenario.seed, place);
                let mut sums = Sums::new(3_600.0 / balance.beats_per_hour);
                LaidBeats::new(swing, balance, true_duration_s).for_each(|beat| sums.add(&beat));
                sums.truth(balance)
            })
            .collect();
        let references = scenario
            .references
            .iter()
            .enumerate()
            .map(|(place, reference)| {
                let steps = Steps::new(reference, scenario.seed, place);
                let first = steps.first_index_from(0.0);
                let count = (steps.first_index_from(true_duration_s) - first).max(0) as u64;
                ReferenceTruth {
                    period_s: reference.period_s / (1.0 + reference.error_ppm / 1e6),
                    steps: count,
                    first_step_s: (count > 0).then(|| steps.step(first).0),
                }
            })
            .collect();
        Self { balances, references, true_duration_s, clock_error_ppm: scenario.clock_error_ppm }
    }
}

/// Sums over the beats of one balance. The times are summed as departures from a perfect watch
/// that shares the first beat, so that a day of beats costs no digits.
struct Sums {
    beat_s: f64,
    first: Option<crate::swing::LaidBeat>,
    last: Option<crate::swing::LaidBeat>,
    n: f64,
    k: f64,
    kk: f64,
    d: f64,
    kd: f64,
    amplitude: f64,
    amplitude_squared: f64,
    beat_error: f64,
    jitter_squared: f64,
}

impl Sums {
    fn new(beat_s: f64) -> Self {
        Self {
            beat_s,
            first: None,
            last: None,
            n: 0.0,
            k: 0.0,
            kk: 0.0,
            d: 0.0,
            kd: 0.0,
            amplitude: 0.0,
            amplitude_squared: 0.0,
            beat_error: 0.0,
            jitter_squared: 0.0,
        }
    }

    fn add(&mut self, beat: &crate::swing::LaidBeat) {
        let first = *self.first.get_or_insert(*beat);
        let k = (beat.index - first.index) as f64;
        let departure = beat.even_time_s - first.even_time_s - k * self.beat_s;
        let amplitude = beat.amplitude_deg - first.amplitude_deg;
        let jitter = beat.time_s - beat.steady_time_s;
        self.n += 1.0;
        self.k += k;
        self.kk += k * k;
        self.d += departure;
        self.kd += k * departure;
        self.amplitude += amplitude;
        self.amplitude_squared += amplitude * amplitude;
        self.beat_error += beat.beat_error_ms;
        self.jitter_squared += jitter * jitter;
        self.last = Some(*beat);
    }

    fn truth(&self, balance: &crate::balance::Balance) -> BalanceTruth {
        let (mut rate, mut slope) = (balance.rate_s_per_d, balance.rate_s_per_d);
        let (mut amplitude, mut amplitude_sd) = (balance.amplitude_deg, 0.0);
        let (mut beat_error, mut jitter_us) = (balance.beat_error_ms, 0.0);
        if let (Some(first), Some(last)) = (self.first, self.last) {
            let mean = self.amplitude / self.n;
            amplitude = first.amplitude_deg + mean;
            amplitude_sd = (self.amplitude_squared / self.n - mean * mean).max(0.0).sqrt();
            beat_error = self.beat_error / self.n;
            jitter_us = (self.jitter_squared / self.n).sqrt() * 1e6;
            let beats = (last.index - first.index) as f64;
            if beats > 0.0 {
                let took = last.even_time_s - first.even_time_s;
                rate = (beats * self.beat_s - took) / took * SECONDS_PER_DAY;
                let extra_per_beat =
                    (self.n * self.kd - self.k * self.d) / (self.n * self.kk - self.k * self.k);
                slope = -extra_per_beat / (self.beat_s + extra_per_beat) * SECONDS_PER_DAY;
            }
        }
        BalanceTruth {
            beats_per_hour: balance.beats_per_hour,
            beats: self.n as u64,
            rate_s_per_d: rate,
            rate_by_slope_s_per_d: slope,
            amplitude_deg: amplitude,
            amplitude_sd_deg: amplitude_sd,
            beat_error_ms: beat_error.abs(),
            tick_to_tock_is_longer: beat_error > 0.0,
            jitter_us,
            lift_deg: balance.lift_deg,
            loudness: balance.loudness,
            first_beat_s: self.first.map(|b| b.time_s),
            last_beat_s: self.last.map(|b| b.time_s),
        }
    }
}
