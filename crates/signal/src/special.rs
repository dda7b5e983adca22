//! The special functions that the other modules need, over `libm` and `puruspe`, with their
//! domains guarded: outside its domain a function gives NaN, never a panic.

use std::f64::consts::SQRT_2;

/// Natural logarithm of the absolute value of the gamma function.
#[must_use]
pub fn ln_gamma(x: f64) -> f64 {
    libm::lgamma(x)
}

/// Probability that a standard normal deviate is below `x`.
#[must_use]
pub fn normal_cdf(x: f64) -> f64 {
    0.5 * libm::erfc(-x / SQRT_2)
}

/// The `x` below which a standard normal deviate lies with probability `p`, 0 to 1.
#[must_use]
pub fn normal_quantile(p: f64) -> f64 {
    if !(0.0..=1.0).contains(&p) {
        return f64::NAN;
    }
    if p == 0.0 || p == 1.0 {
        return if p == 0.0 { f64::NEG_INFINITY } else { f64::INFINITY };
    }
    // The smaller tail keeps its digits.
    if p < 0.5 {
        -SQRT_2 * puruspe::inverfc(2.0 * p)
    } else {
        SQRT_2 * puruspe::inverfc(2.0 * (1.0 - p))
    }
}

/// Probability that Student's t with `dof` degrees of freedom (positive, not necessarily whole)
/// is below `t`; good to nine digits of the smaller tail.
///
/// Source: Abramowitz and Stegun, *Handbook of Mathematical Functions*, 26.7.1.
#[must_use]
pub fn student_t_cdf(t: f64, dof: f64) -> f64 {
    if dof.is_nan() || dof <= 0.0 || t.is_nan() {
        return f64::NAN;
    }
    if t.is_infinite() {
        return if t > 0.0 { 1.0 } else { 0.0 };
    }
    if dof > CDF_EXPANDS_FROM_DOF {
        return normal_cdf(student_t_as_normal(t, dof));
    }
    let tail = 0.5 * puruspe::betai(dof / 2.0, 0.5, dof / (dof + t * t));
    if t < 0.0 { tail } else { 1.0 - tail }
}

/// The `t` below which Student's t with `dof` degrees of freedom lies with probability `p`.
#[must_use]
pub fn student_t_quantile(p: f64, dof: f64) -> f64 {
    if dof.is_nan() || dof <= 0.0 || !(0.0..=1.0).contains(&p) {
        return f64::NAN;
    }
    if p == 0.5 {
        return 0.0;
    }
    if p == 0.0 || p == 1.0 {
        return if p == 0.0 { f64::NEG_INFINITY } else { f64::INFINITY };
    }
    if dof > QUANTILE_EXPANDS_FROM_DOF {
        return student_t_expanded(normal_quantile(p), dof);
    }
    let tail = p.min(1.0 - p);
    // t^2 / dof = (1 - x) / x with x the inverse of the incomplete beta function of the tail.
    // Near the middle 1 - x would cancel, so it is found from the mirrored function there.
    let squared = if tail < 0.25 {
        let x = puruspe::invbetai(2.0 * tail, dof / 2.0, 0.5);
        dof * (1.0 - x) / x
    } else {
        let x = puruspe::invbetai(1.0 - 2.0 * tail, 0.5, dof / 2.0);
        dof * x / (1.0 - x)
    };
    squared.sqrt().copysign(p - 0.5)
}

/// Above this the incomplete beta function loses digits to cancelling logarithms, and the next
/// term of Hill's expansion is below 1e-11.
const CDF_EXPANDS_FROM_DOF: f64 = 100.0;

/// The normal deviate with the same probability as a Student's t.
///
/// Source: Hill (1970), Algorithm 395, *Communications of the ACM* 13, 617.
fn student_t_as_normal(t: f64, dof: f64) -> f64 {
    if dof.is_infinite() {
        return t;
    }
    let a = dof - 0.5;
    let b = 48.0 * a * a;
    let y = a * (t * t / dof).ln_1p();
    let tail = (((-0.4 * y - 3.3) * y - 24.0) * y - 85.5) / (0.8 * y * y + 100.0 + b);
    ((tail + y + 3.0) / b + 1.0) * y.sqrt().copysign(t)
}

/// Above this the next term of the expansion is below 1e-10 within six deviations.
const QUANTILE_EXPANDS_FROM_DOF: f64 = 1e3;

/// Quantile of Student's t from that of the normal, for many degrees of freedom.
///
/// Source: Abramowitz and Stegun, *Handbook of Mathematical Functions*, 26.7.5.
fn student_t_expanded(x: f64, dof: f64) -> f64 {
    let s = x * x;
    let g1 = x * (s + 1.0) / 4.0;
    let g2 = x * ((5.0 * s + 16.0) * s + 3.0) / 96.0;
    let g3 = x * (((3.0 * s + 19.0) * s + 17.0) * s - 15.0) / 384.0;
    let g4 = x * ((((79.0 * s + 776.0) * s + 1482.0) * s - 1920.0) * s - 945.0) / 92160.0;
    x + (g1 + (g2 + (g3 + g4 / dof) / dof) / dof) / dof
}

/// Modified Bessel function of the first kind and order zero.
#[must_use]
pub fn bessel_i0(x: f64) -> f64 {
    puruspe::In(0, x)
}

/// Bessel function of the first kind and whole order.
#[must_use]
pub fn bessel_j(order: u16, x: f64) -> f64 {
    libm::jn(i32::from(order), x)
}
