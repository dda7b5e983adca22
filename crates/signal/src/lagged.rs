//! Sums of products against lag, many lags side by side.

use pulp::{Arch, Simd, WithSimd};

/// Lags whose sums are kept in registers.
const ABREAST: usize = 16;

/// For every lag `s` the sum over `i` of `data[s + i] × weighted[i]` goes to `cross[s]`, and that
/// of `data[s + i]² × weights[i]` to `own[s]`.
///
/// There are as many lags as `cross` and `own` have room for, as far as `data` reaches beyond
/// `weights`; what is left over stays as it was. Every sum is added up in order of `i`, in vector
/// instructions chosen when the program runs; no product is fused with a sum, so the numbers do
/// not depend on that choice. O(lags × weights).
pub fn lagged_sums(
    data: &[f32],
    weighted: &[f32],
    weights: &[f32],
    cross: &mut [f32],
    own: &mut [f32],
) {
    let length = weights.len().min(weighted.len());
    if length == 0 || data.len() < length {
        return;
    }
    let lags = cross.len().min(own.len()).min(data.len() - length + 1);
    let (weighted, weights) = (&weighted[..length], &weights[..length]);
    let (cross, own) = (&mut cross[..lags], &mut own[..lags]);
    Arch::new().dispatch(Lagged { data, weighted, weights, cross, own });
}

struct Lagged<'a> {
    data: &'a [f32],
    weighted: &'a [f32],
    weights: &'a [f32],
    cross: &'a mut [f32],
    own: &'a mut [f32],
}

impl WithSimd for Lagged<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, _: S) {
        let Self { data, weighted, weights, cross, own } = self;
        let lags = cross.len();
        if lags < ABREAST {
            for lag in 0..lags {
                let (c, o) = block::<1>(&data[lag..], weighted, weights);
                (cross[lag], own[lag]) = (c[0], o[0]);
            }
            return;
        }
        for from in (0..lags).step_by(ABREAST) {
            // The last block takes some lags once more.
            let start = from.min(lags - ABREAST);
            let (c, o) = block::<ABREAST>(&data[start..], weighted, weights);
            cross[start..start + ABREAST].copy_from_slice(&c);
            own[start..start + ABREAST].copy_from_slice(&o);
        }
    }
}

#[inline(always)]
fn block<const N: usize>(data: &[f32], weighted: &[f32], weights: &[f32]) -> ([f32; N], [f32; N]) {
    let (mut cross, mut own) = ([0.0f32; N], [0.0f32; N]);
    for ((part, ws), w) in data.windows(N).zip(weighted).zip(weights) {
        for i in 0..N {
            cross[i] += part[i] * ws;
            own[i] += part[i] * part[i] * w;
        }
    }
    (cross, own)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against the definition, for few and for many lags; what there is no data for is untouched.
    #[test]
    fn every_lag_is_its_plain_sum() {
        let data: Vec<f32> = (0..90).map(|k| ((k * k * 7) % 23) as f32 - 9.0).collect();
        let weights: Vec<f32> = (0..40).map(|k| 1.0 + (k % 3) as f32).collect();
        let weighted: Vec<f32> = (0..40).map(|k| (k % 5) as f32 - 2.0).collect();
        for room in [1, 5, 15, 16, 17, 32, 39, 51, 60] {
            let (mut cross, mut own) = (vec![-1.0f32; room], vec![-1.0f32; room]);
            lagged_sums(&data, &weighted, &weights, &mut cross, &mut own);
            for s in 0..room {
                if s > 50 {
                    assert_eq!((cross[s], own[s]), (-1.0, -1.0));
                    continue;
                }
                let sum = |f: &dyn Fn(usize) -> f32| (0..40).map(f).sum::<f32>();
                // Whole numbers below 2^24 are exact.
                assert_eq!(cross[s], sum(&|i| data[s + i] * weighted[i]), "{room} {s}");
                assert_eq!(own[s], sum(&|i| data[s + i] * data[s + i] * weights[i]), "{room} {s}");
            }
        }
        lagged_sums(&data[..39], &weighted, &weights, &mut [0.0; 3], &mut [0.0; 3]);
    }
}
