//! Power against time at a lower rate.

/// Mean power in boxes of `2 step` samples centred on every `step`-th sample.
///
/// Value `k` belongs to sample `k × step` (between samples `k step - 1` and `k step`); the box
/// has its first null at half the new rate, so little folds back. O(n).
pub fn power_envelope(samples: &[f32], step: usize, into: &mut Vec<f32>) {
    into.clear();
    let step = step.max(1);
    let count = samples.len() / step;
    into.reserve(count + 1);
    let scale = 1.0 / (2 * step) as f32;
    let mut previous = 0.0f32;
    for chunk in samples.chunks_exact(step) {
        let mut sum = 0.0f32;
        for x in chunk {
            sum += x * x;
        }
        into.push((previous + sum) * scale);
        previous = sum;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_steady_tone_has_half_its_squared_amplitude() {
        // Mean of sin² over whole periods is one half (any calculus text).
        let x: Vec<f32> =
            (0..4800).map(|n| (n as f32 * std::f32::consts::TAU / 8.0).sin()).collect();
        let mut p = Vec::new();
        power_envelope(&x, 4, &mut p);
        assert!(p[2..1190].iter().all(|v| (v - 0.5).abs() < 1e-4));
    }
}
