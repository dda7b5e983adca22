use num_complex::Complex64;

/// One second-order section, `H(z) = (b0 + b1/z + b2/z^2) / (1 + a1/z + a2/z^2)`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// Numerator `b0, b1, b2`.
    pub b: [f64; 3],
    /// Denominator `a1, a2`; `a0` is one.
    pub a: [f64; 2],
}

impl Section {
    /// Response at `angle_rad` radians per sample.
    #[must_use]
    pub fn response(&self, angle_rad: f64) -> Complex64 {
        let delay = Complex64::cis(-angle_rad);
        let numerator = (delay * self.b[2] + self.b[1]) * delay + self.b[0];
        let denominator = (delay * self.a[1] + self.a[0]) * delay + 1.0;
        numerator / denominator
    }

    /// Whether both poles lie inside the unit circle.
    #[must_use]
    pub fn is_stable(&self) -> bool {
        // The stability triangle of a second-order polynomial (Jury, 1964).
        self.a[1] < 1.0 && self.a[0].abs() < 1.0 + self.a[1]
    }
}

/// A filter as a cascade of second-order sections, for one sample rate.
#[derive(Debug, Clone, PartialEq)]
pub struct Sections {
    sections: Vec<Section>,
    sample_rate_hz: f64,
}

impl Sections {
    pub(super) fn new(sections: Vec<Section>, sample_rate_hz: f64) -> Self {
        Self { sections, sample_rate_hz }
    }

    /// The sections, in the order in which they run.
    #[must_use]
    pub fn as_slice(&self) -> &[Section] {
        &self.sections
    }

    /// Sample rate that the design is for, hertz.
    #[must_use]
    pub fn sample_rate_hz(&self) -> f64 {
        self.sample_rate_hz
    }

    /// Complex response at a frequency in hertz.
    #[must_use]
    pub fn response(&self, frequency_hz: f64) -> Complex64 {
        let angle_rad = std::f64::consts::TAU * frequency_hz / self.sample_rate_hz;
        self.sections.iter().map(|section| section.response(angle_rad)).product()
    }

    /// Delay of a narrow group of waves about a frequency, in samples: minus the slope of the
    /// phase, from the derivative of numerator and denominator (Oppenheim and Schafer,
    /// *Discrete-Time Signal Processing*, section 5.1).
    #[must_use]
    pub fn group_delay_samples(&self, frequency_hz: f64) -> f64 {
        let delay = Complex64::cis(-std::f64::consts::TAU * frequency_hz / self.sample_rate_hz);
        let lag = |c: [f64; 3]| {
            let value = (delay * c[2] + c[1]) * delay + c[0];
            let ramp = (delay * (2.0 * c[2]) + c[1]) * delay;
            (ramp / value).re
        };
        self.sections.iter().map(|s| lag(s.b) - lag([1.0, s.a[0], s.a[1]])).sum()
    }

    /// The first `length` samples that a unit impulse gives.
    #[must_use]
    pub fn impulse_response(&self, length: usize) -> Vec<f64> {
        let mut samples = vec![0.0; length];
        if let Some(first) = samples.first_mut() {
            *first = 1.0;
        }
        for section in &self.sections {
            let mut state = [0.0; 2];
            for sample in &mut samples {
                *sample = section.step(*sample, &mut state);
            }
        }
        samples
    }
}

impl Section {
    /// One sample through the section, direct form II transposed.
    #[inline(always)]
    pub(super) fn step(&self, input: f64, state: &mut [f64; 2]) -> f64 {
        let output = self.b[0] * input + state[0];
        state[0] = self.b[1] * input - self.a[0] * output + state[1];
        state[1] = self.b[2] * input - self.a[1] * output;
        output
    }
}
