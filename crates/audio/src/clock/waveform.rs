//! Products, places of peaks and shifts by parts of a sample.

/// Samples to either side that an interpolated value is made of.
const SINC_REACH: isize = 8;

/// Scalar product of the common length, in partial sums that fit vector registers.
pub(super) fn dot(a: &[f32], b: &[f32]) -> f32 {
    const LANES: usize = 16;
    let length = a.len().min(b.len());
    let (a, b) = (&a[..length], &b[..length]);
    let mut sums = [0.0f32; LANES];
    let (a_parts, b_parts) = (a.chunks_exact(LANES), b.chunks_exact(LANES));
    let rest: f32 = a_parts.remainder().iter().zip(b_parts.remainder()).map(|(x, y)| x * y).sum();
    for (x, y) in a_parts.zip(b_parts) {
        for ((s, x), y) in sums.iter_mut().zip(x).zip(y) {
            *s += x * y;
        }
    }
    sums.iter().sum::<f32>() + rest
}

/// Value between samples, by a sinc under a raised cosine (Oppenheim and Schafer, Discrete-Time
/// Signal Processing, section 4.2: band-limited interpolation); zero beyond the ends.
pub(super) fn value_at(samples: &[f32], at: f64) -> f64 {
    let whole = at.floor();
    let part = at - whole;
    let whole = whole as isize;
    let get = |i: isize| -> f64 {
        usize::try_from(i).ok().and_then(|i| samples.get(i)).map_or(0.0, |&x| f64::from(x))
    };
    if part < 1e-9 {
        return get(whole);
    }
    // sin(pi (part - k)) is sin(pi part) with the sign of k.
    let wave = (std::f64::consts::PI * part).sin() / std::f64::consts::PI;
    (1 - SINC_REACH..=SINC_REACH)
        .map(|k| {
            let away = part - k as f64;
            let sign = if k % 2 == 0 { 1.0 } else { -1.0 };
            let window =
                0.5 + 0.5 * (std::f64::consts::PI * away / (SINC_REACH as f64 + 0.5)).cos();
            get(whole + k) * sign * wave / away * window
        })
        .sum()
}

/// A top between samples: where it is and how high.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Top {
    pub(super) at: f64,
    pub(super) height: f64,
}

/// The top of a curve next to `near`, by band-limited interpolation at eighths and a parabola
/// through the highest three.
pub(super) fn top_near(curve: &[f32], near: usize) -> Top {
    const PARTS: i32 = 8;
    let value = |eighths: i32| value_at(curve, near as f64 + f64::from(eighths) / f64::from(PARTS));
    let values: Vec<f64> = (-PARTS..=PARTS).map(value).collect();
    let best = (0..values.len()).max_by(|&a, &b| values[a].total_cmp(&values[b])).unwrap_or(0);
    let inner = best.clamp(1, values.len() - 2);
    let (before, here, after) = (values[inner - 1], values[inner], values[inner + 1]);
    let bend = before - 2.0 * here + after;
    let offset = if bend < 0.0 { (0.5 * (before - after) / bend).clamp(-1.0, 1.0) } else { 0.0 };
    let eighths = inner as f64 - f64::from(PARTS) + offset;
    Top {
        at: near as f64 + eighths / f64::from(PARTS),
        height: here - 0.25 * (before - after) * offset,
    }
}

/// Index of the largest value; zero for an empty slice.
pub(super) fn largest(values: &[f32]) -> usize {
    let mut best = 0;
    for (i, v) in values.iter().enumerate() {
        if *v > values[best] {
            best = i;
        }
    }
    best
}

/// Offset of the top of a parabola through three neighbours of `at`, in samples.
pub(super) fn parabola_at(values: &[f32], at: usize) -> f64 {
    if at == 0 || at + 1 >= values.len() {
        return at as f64;
    }
    let [before, here, after] = [values[at - 1], values[at], values[at + 1]].map(f64::from);
    let bend = before - 2.0 * here + after;
    let offset = if bend < 0.0 { (0.5 * (before - after) / bend).clamp(-0.5, 0.5) } else { 0.0 };
    at as f64 + offset
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dot_is_the_plain_sum() {
        let a: Vec<f32> = (0..37).map(|n| n as f32).collect();
        // Sum of squares 0..36 is 36·37·73/6.
        assert_eq!(dot(&a, &a), 16_206.0);
        assert_eq!(dot(&a[..3], &a), 5.0);
    }

    #[test]
    fn a_tone_is_met_between_its_samples() {
        let tone = |t: f64| (0.8 * t).cos();
        let x: Vec<f32> = (0..64).map(|n| tone(f64::from(n)) as f32).collect();
        for at in [20.1, 30.5, 41.93] {
            // The window costs about a thousandth at a quarter of the sample rate.
            assert!((value_at(&x, at) - tone(at)).abs() < 2e-3, "{at}");
        }
        assert_eq!(value_at(&x, 1e6), 0.0);
    }

    /// A band-limited bump's top is found to a hundredth of a sample wherever it lies.
    #[test]
    fn tops_are_found_between_samples() {
        for part in 0..10 {
            let true_at = 30.0 + f64::from(part) / 10.0;
            let x: Vec<f32> = (0..64)
                .map(|n| {
                    let t = f64::from(n) - true_at;
                    ((1.6 * t).cos() * (-t * t / 18.0).exp()) as f32
                })
                .collect();
            let top = top_near(&x, largest(&x));
            assert!((top.at - true_at).abs() < 0.01, "{top:?} {true_at}");
            assert!((top.height - 1.0).abs() < 0.01, "{top:?}");
        }
    }
}
