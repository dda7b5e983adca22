//! Speed of the filter bank, in samples of the stream a second.
#![allow(missing_docs, reason = "criterion's macros make undocumented items")]

use std::hint::black_box;

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use signal::filter::{Bank, Cascade, Pass, butterworth};

const RATE_HZ: f64 = 48_000.0;
const SAMPLES: usize = 48_000;

fn stream() -> Vec<f32> {
    // A linear congruential generator (Knuth, TAOCP vol. 2, 3.3.4): any noise will do here.
    let mut state = 1u64;
    let mut next = || {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 40) as f32 / (1u32 << 24) as f32 - 0.5
    };
    (0..SAMPLES).map(|_| next()).collect()
}

fn filters(c: &mut Criterion) {
    let input = stream();
    let mut group = c.benchmark_group("one_second_at_48_kHz");
    group.throughput(Throughput::Elements(SAMPLES as u64));
    for order in [1, 2, 4] {
        let bands: Vec<(f64, f64)> =
            (0..8).map(|k| (1000.0 * f64::from(k + 1), 1000.0 * f64::from(k + 3))).collect();
        let Ok(mut bank) = Bank::new(order, &bands, RATE_HZ) else { return };
        let mut output = vec![0.0; SAMPLES * bands.len()];
        group.bench_function(format!("bank_8_bands_order_{order}"), |b| {
            b.iter(|| bank.process(black_box(&input), black_box(&mut output)));
        });
        let mut sums = vec![0.0; bands.len()];
        group.bench_function(format!("bank_8_powers_order_{order}"), |b| {
            b.iter(|| bank.add_squares(black_box(&input), black_box(&mut sums)));
        });
    }
    let pass = Pass::Band { low_hz: 2000.0, high_hz: 6000.0 };
    let Ok(design) = butterworth(2, pass, RATE_HZ) else { return };
    let mut cascade = Cascade::new(design);
    let mut output = vec![0.0; SAMPLES];
    group.bench_function("cascade_order_2", |b| {
        b.iter(|| cascade.process(black_box(&input), black_box(&mut output)));
    });
    group.finish();
}

criterion_group!(benches, filters);
criterion_main!(benches);
