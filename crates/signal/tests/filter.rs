//! Filters against scipy.signal (`reference/filters.txt`: butter, sosfilt, firwin, kaiserord) and
//! against the laws that any linear filter keeps.
#![allow(clippy::unwrap_used, reason = "a test says what went wrong by failing")]

mod table;

use proptest::prelude::*;
use signal::filter::{Bank, Cascade, FilterError, Fir, Pass, butterworth, fir, kaiser_design};
use table::{Table, assert_close};

fn pass_of(kind: f64, first_hz: f64, second_hz: f64) -> Pass {
    match kind as u8 {
        0 => Pass::Low { cutoff_hz: first_hz },
        1 => Pass::High { cutoff_hz: first_hz },
        _ => Pass::Band { low_hz: first_hz, high_hz: second_hz },
    }
}

fn single(stream: &[f64]) -> Vec<f32> {
    stream.iter().map(|&x| x as f32).collect()
}

/// Response within 1e-9 of scipy's where the response itself is of order one. scipy's own
/// polynomials cancel at low edges (1e-16 over the squared edge as a fraction of the sample rate),
/// so its values are no better than that. Impulse and stream likewise; the stream through the
/// single-precision door within 1e-7 (half a unit in the last place of a `f32` below 2).
#[test]
fn butterworth_agrees_with_scipy() {
    let table = Table::read("filters");
    let stream = table.row("stream");
    for i in 0..table.number("butterworth.count") as usize {
        let &[order, kind, first_hz, second_hz, rate_hz] =
            table.row(&format!("butterworth.{i}.design"))
        else {
            panic!()
        };
        let design =
            butterworth(order as usize, pass_of(kind, first_hz, second_hz), rate_hz).unwrap();
        assert!(design.as_slice().iter().all(|section| section.is_stable()));
        let re = table.row(&format!("butterworth.{i}.re"));
        let im = table.row(&format!("butterworth.{i}.im"));
        for ((&fraction, &re), &im) in table.row("fractions").iter().zip(re).zip(im) {
            let response = design.response(fraction * rate_hz / 2.0);
            assert_close(&format!("{i} re at {fraction}"), response.re, re, 0.0, 1e-9);
            assert_close(&format!("{i} im at {fraction}"), response.im, im, 0.0, 1e-9);
        }
        let impulse = table.row(&format!("butterworth.{i}.impulse"));
        for (got, &expected) in design.impulse_response(impulse.len()).iter().zip(impulse) {
            assert_close(&format!("{i} impulse"), *got, expected, 0.0, 1e-10);
        }
        let expected = table.row(&format!("butterworth.{i}.stream"));
        let mut cascade = Cascade::new(design);
        let mut exact = stream.to_vec();
        cascade.process_in_place(&mut exact);
        let mut rounded = vec![0.0f32; stream.len()];
        cascade.reset();
        cascade.process(&single(stream), &mut rounded);
        for ((&got, &rounded), &expected) in exact.iter().zip(&rounded).zip(expected) {
            assert_close(&format!("{i} stream"), got, expected, 0.0, 1e-10);
            assert_close(&format!("{i} stream f32"), f64::from(rounded), expected, 0.0, 1.2e-7);
        }
    }
}

/// scipy.signal.group_delay of butter(3, 0.2): 1e-9 samples, both are closed forms.
#[test]
fn group_delay_agrees_with_scipy() {
    let table = Table::read("filters");
    let design = butterworth(3, Pass::Low { cutoff_hz: 4800.0 }, 48_000.0).unwrap();
    for (&fraction, &expected) in
        table.row("fractions").iter().zip(table.row("group_delay.samples"))
    {
        assert_close(
            "group delay",
            design.group_delay_samples(fraction * 24_000.0),
            expected,
            1e-9,
            1e-9,
        );
    }
}

/// Half power at the edges: the definition of the Butterworth edge. 1e-12: closed form.
#[test]
fn edges_are_at_half_power() {
    for order in 1..=8 {
        for (pass, edges) in [
            (Pass::Low { cutoff_hz: 3000.0 }, vec![3000.0]),
            (Pass::High { cutoff_hz: 300.0 }, vec![300.0]),
            (Pass::Band { low_hz: 1500.0, high_hz: 7000.0 }, vec![1500.0, 7000.0]),
        ] {
            let design = butterworth(order, pass, 48_000.0).unwrap();
            for edge in edges {
                assert_close("power", design.response(edge).norm_sqr(), 0.5, 1e-9, 0.0);
            }
        }
    }
}

#[test]
fn windowed_sinc_agrees_with_scipy() {
    let table = Table::read("filters");
    let stream = table.row("stream");
    for i in 0..table.number("fir.count") as usize {
        let &[taps, kind, first_hz, second_hz, beta, rate_hz] =
            table.row(&format!("fir.{i}.design"))
        else {
            panic!()
        };
        let pass = pass_of(kind, first_hz, second_hz);
        let designed = fir(taps as usize, pass, beta, rate_hz).unwrap();
        let expected = table.row(&format!("fir.{i}.taps"));
        assert_eq!(designed.len(), expected.len());
        for (&got, &expected) in designed.iter().zip(expected) {
            assert_close(&format!("{i} tap"), got, expected, 1e-12, 1e-14);
        }
        // Half a unit in the last place of the `f32` that comes out.
        let mut filtered = vec![0.0; stream.len()];
        Fir::new(&designed).process(&single(stream), &mut filtered);
        for (&got, &expected) in filtered.iter().zip(table.row(&format!("fir.{i}.stream"))) {
            assert_close(&format!("{i} stream"), f64::from(got), expected, 6e-8, 1e-9);
        }
    }
}

/// scipy.signal.kaiserord; ours is rounded up to an odd number.
#[test]
fn kaiser_lengths_agree_with_scipy() {
    let table = Table::read("filters");
    for i in 0..table.number("kaiser.count") as usize {
        let &[attenuation_db, width_hz, rate_hz, taps, beta] = table.row(&format!("kaiser.{i}"))
        else {
            panic!()
        };
        let design = kaiser_design(attenuation_db, width_hz, rate_hz).unwrap();
        assert_eq!(design.taps, taps as usize | 1);
        assert_close("beta", design.beta, beta, 1e-12, 0.0);
    }
}

/// The design does what it was asked for: 60 dB down outside the transition, within 0.1 % inside
/// (60 dB is 0.001). Kaiser's formula is good to about half a decibel.
#[test]
fn kaiser_design_keeps_its_promise() {
    let (rate_hz, width_hz) = (44_100.0, 800.0);
    let design = kaiser_design(60.0, width_hz, rate_hz).unwrap();
    let taps = fir(design.taps, Pass::Low { cutoff_hz: 5000.0 }, design.beta, rate_hz).unwrap();
    let filter = Fir::new(&taps);
    for step in 0..1000 {
        let frequency_hz = f64::from(step) * 22.05;
        let gain = filter.response(frequency_hz, rate_hz).norm();
        if frequency_hz < 5000.0 - width_hz / 2.0 {
            assert_close("pass band", gain, 1.0, 0.0, 1.06e-3);
        } else if frequency_hz > 5000.0 + width_hz / 2.0 {
            assert_close("stop band", gain, 0.0, 0.0, 1.06e-3);
        }
    }
}

/// The bank is the fast form of cascades: equal to rounding of the `f32` (outputs below 2).
#[test]
fn bank_equals_cascades() {
    let stream = single(&noise(5000));
    for order in 1..=4 {
        let bands: Vec<(f64, f64)> =
            (0..11).map(|k| (120.0 * 1.5f64.powi(k), 200.0 * 1.5f64.powi(k))).collect();
        let mut bank = Bank::new(order, &bands, 48_000.0).unwrap();
        let mut planes = vec![0.0f32; bands.len() * stream.len()];
        bank.process(&stream, &mut planes);
        bank.reset();
        let mut squares = vec![0.0; bands.len()];
        for block in stream.chunks(777) {
            bank.add_squares(block, &mut squares);
        }
        for ((plane, &(low_hz, high_hz)), &square) in
            planes.chunks(stream.len()).zip(&bands).zip(&squares)
        {
            let design = butterworth(order, Pass::Band { low_hz, high_hz }, 48_000.0).unwrap();
            let mut plain = vec![0.0; stream.len()];
            Cascade::new(design).process(&stream, &mut plain);
            let mut sum = 0.0;
            for (&fast, &plain) in plane.iter().zip(&plain) {
                assert_close("sample", f64::from(fast), f64::from(plain), 1.2e-7, 1e-9);
                sum += f64::from(plain) * f64::from(plain);
            }
            assert_close("power", square, sum, 1e-6, 0.0);
        }
    }
}

/// A stream of noise that needs no dependency; Knuth's linear congruential generator.
fn noise(length: usize) -> Vec<f64> {
    let mut state = 7u64;
    (0..length)
        .map(|_| {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (state >> 11) as f64 / (1u64 << 53) as f64 - 0.5
        })
        .collect()
}

/// After a loud start and a long digital silence the states are exactly zero: no denormals linger.
#[test]
fn silence_comes_to_rest() {
    let mut bank = Bank::new(2, &[(2000.0, 4000.0)], 48_000.0).unwrap();
    let mut cascade =
        Cascade::new(butterworth(2, Pass::Low { cutoff_hz: 900.0 }, 48_000.0).unwrap());
    let mut stream = vec![0.0f32; 60_000];
    stream[0] = 1.0;
    let (mut out, mut low) = (vec![0.0f32; 60_000], vec![0.0f64; 60_000]);
    low[0] = 1.0;
    bank.process(&stream, &mut out);
    cascade.process_in_place(&mut low);
    assert!(out[1000].abs() > 0.0 && low[1000].abs() > 0.0);
    assert_eq!(out[59_999], 0.0);
    assert_eq!(low[59_999], 0.0);
}

#[test]
fn broken_samples_count_as_silence() {
    let mut broken = single(&noise(300));
    let mut mended = broken.clone();
    for (index, value) in [(10, f32::NAN), (50, f32::INFINITY), (51, f32::NEG_INFINITY)] {
        broken[index] = value;
        mended[index] = 0.0;
    }
    let run = |stream: &[f32]| {
        let mut out = vec![0.0f32; stream.len() * 3];
        let (a, rest) = out.split_at_mut(stream.len());
        let (b, c) = rest.split_at_mut(stream.len());
        Bank::new(2, &[(2000.0, 4000.0)], 48_000.0).unwrap().process(stream, a);
        let low = butterworth(2, Pass::Low { cutoff_hz: 900.0 }, 48_000.0).unwrap();
        Cascade::new(low).process(stream, b);
        Fir::new(&[0.5, 0.25, 0.25]).process(stream, c);
        out
    };
    assert_eq!(run(&broken), run(&mended));
}

#[test]
fn absurd_designs_are_refused_with_a_reason() {
    let low = |cutoff_hz| Pass::Low { cutoff_hz };
    for (order, pass, rate_hz) in [
        (0, low(100.0), 8000.0),
        (9, low(100.0), 8000.0),
        (2, low(0.0), 8000.0),
        (2, low(4000.0), 8000.0),
        (2, low(-5.0), 8000.0),
        (2, low(f64::NAN), 8000.0),
        (2, low(100.0), 0.0),
        (2, low(100.0), f64::NAN),
        (2, low(100.0), f64::INFINITY),
        (2, Pass::Band { low_hz: 900.0, high_hz: 900.0 }, 8000.0),
        (2, Pass::Band { low_hz: 900.0, high_hz: 800.0 }, 8000.0),
        (2, Pass::Band { low_hz: 900.0, high_hz: 8000.0 }, 8000.0),
    ] {
        let error = butterworth(order, pass, rate_hz).unwrap_err();
        assert!(error.to_string().len() > 20);
    }
    assert!(matches!(fir(10, low(100.0), 5.0, 8000.0), Err(FilterError::Order { .. })));
    assert!(matches!(fir(usize::MAX, low(100.0), 5.0, 8000.0), Err(FilterError::Order { .. })));
    for beta in [-1.0, f64::NAN, 1e6] {
        assert!(fir(11, low(100.0), beta, 8000.0).is_err());
    }
    assert!(kaiser_design(60.0, 1e-9, 8000.0).is_err());
    assert!(kaiser_design(f64::NAN, 10.0, 8000.0).is_err());
    assert!(Bank::new(5, &[(100.0, 200.0)], 8000.0).is_err());
    assert!(Bank::new(2, &[(100.0, 200.0), (3.0, 2.0)], 8000.0).is_err());
}

#[test]
fn empty_things_do_nothing() {
    let mut none = Bank::new(2, &[], 8000.0).unwrap();
    assert!(none.is_empty());
    none.process(&[1.0; 10], &mut []);
    none.add_squares(&[1.0; 10], &mut []);
    let mut out = [9.0f32; 4];
    Fir::new(&[]).process(&[1.0; 4], &mut out);
    assert_eq!(out, [0.0; 4]);
    let mut bank = Bank::new(2, &[(100.0, 200.0)], 8000.0).unwrap();
    bank.process(&[], &mut out);
    assert_eq!(out, [0.0; 4]);
}

proptest! {
    /// Superposition, to the rounding of the single-precision output.
    #[test]
    fn filters_are_linear(
        a in prop::collection::vec(-1.0f32..1.0, 64), b in prop::collection::vec(-1.0f32..1.0, 64),
        p in -1.0f32..1.0, order in 1usize..=8, low_hz in 50.0..3000.0, octaves in 0.5..2.0,
    ) {
        let high_hz: f64 = low_hz * f64::exp2(octaves);
        let design = butterworth(order, Pass::Band { low_hz, high_hz }, 48_000.0).unwrap();
        let run = |x: Vec<f64>| {
            let mut x = x;
            Cascade::new(design.clone()).process_in_place(&mut x);
            x
        };
        let wide = |x: &[f32]| x.iter().map(|&v| f64::from(v)).collect::<Vec<_>>();
        let p = f64::from(p);
        let sum = wide(&a).iter().zip(wide(&b)).map(|(x, y)| p * x + y).collect();
        let (fa, fb, fs) = (run(wide(&a)), run(wide(&b)), run(sum));
        for i in 0..64 {
            prop_assert!((fs[i] - p * fa[i] - fb[i]).abs() < 1e-9);
        }
    }

    /// Cutting a stream into blocks changes not one bit.
    #[test]
    fn blocks_do_not_matter(cut in 1usize..999, order in 1usize..=4) {
        let stream = single(&noise(1000));
        let bands = [(300.0, 900.0), (2000.0, 4000.0), (3000.0, 9000.0)];
        let mut whole = vec![0.0f32; 3000];
        Bank::new(order, &bands, 44_100.0).unwrap().process(&stream, &mut whole);
        let mut bank = Bank::new(order, &bands, 44_100.0).unwrap();
        let (mut first, mut second) = (vec![0.0; 3 * cut], vec![0.0; 3 * (1000 - cut)]);
        bank.process(&stream[..cut], &mut first);
        bank.process(&stream[cut..], &mut second);
        for band in 0..3 {
            let joined = [&first[band * cut..][..cut], &second[band * (1000 - cut)..][..1000 - cut]].concat();
            prop_assert_eq!(&joined[..], &whole[band * 1000..][..1000]);
        }
        let taps = fir(31, Pass::Low { cutoff_hz: 4000.0 }, 5.0, 44_100.0).unwrap();
        let mut filter = Fir::new(&taps);
        let (mut whole, mut joined) = (vec![0.0; 1000], vec![0.0; 1000]);
        Fir::new(&taps).process(&stream, &mut whole);
        filter.process(&stream[..cut], &mut joined[..cut]);
        filter.process(&stream[cut..], &mut joined[cut..]);
        prop_assert_eq!(whole, joined);
    }

    /// Every design that is accepted is stable and has gains of at most one (to rounding).
    #[test]
    fn accepted_designs_are_stable(
        order in 1usize..=8, low in 1e-4f64..0.98, width in 1e-3f64..0.9,
    ) {
        let half_rate_hz = 24_000.0;
        let high = (low + width).min(0.999);
        for pass in [
            Pass::Low { cutoff_hz: low * half_rate_hz },
            Pass::High { cutoff_hz: low * half_rate_hz },
            Pass::Band { low_hz: low * half_rate_hz, high_hz: high * half_rate_hz },
        ] {
            let design = butterworth(order, pass, 48_000.0).unwrap();
            prop_assert!(design.as_slice().iter().all(|section| section.is_stable()));
            for step in 0..=100 {
                let gain = design.response(f64::from(step) * 240.0).norm();
                prop_assert!(gain < 1.0 + 1e-6, "gain {gain}");
            }
        }
    }
}
