//! Speed of periodograms and line fits.
#![allow(missing_docs, reason = "criterion's macros make undocumented items")]

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use signal::line_fit::{fit_line, slope_noise};
use signal::periodogram::{FrequencyGrid, Periodogram, Series};
use signal::robust::{RobustOptions, robust_line};

/// Knuth's linear congruential generator, -0.5 to 0.5.
fn noise(count: usize) -> Vec<f64> {
    let mut state = 3u64;
    (0..count)
        .map(|_| {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (state >> 11) as f64 / (1u64 << 53) as f64 - 0.5
        })
        .collect()
}

fn fits(c: &mut Criterion) {
    for points in [240, 10_000, 100_000] {
        let values = noise(points);
        let times: Vec<f64> = values.iter().enumerate().map(|(i, v)| i as f64 + 0.3 * v).collect();
        c.bench_function(&format!("fit_line_{points}"), |b| {
            b.iter(|| fit_line(black_box(&times), black_box(&values), None, &[]));
        });
        c.bench_function(&format!("robust_line_{points}"), |b| {
            let options = RobustOptions::default();
            b.iter(|| robust_line(black_box(&times), black_box(&values), None, &[], &options));
        });
        c.bench_function(&format!("slope_noise_{points}"), |b| {
            b.iter(|| slope_noise(black_box(&times), black_box(&values), None, 2));
        });
        let Ok(series) = Series::new(&times, &values, None) else { return };
        let Ok(grid) = FrequencyGrid::for_series(&series, 5.0, None) else { return };
        c.bench_function(&format!("periodogram_{points}_of_{}", grid.count()), |b| {
            b.iter(|| Periodogram::new(black_box(&series), grid));
        });
    }
}

criterion_group!(benches, fits);
criterion_main!(benches);
