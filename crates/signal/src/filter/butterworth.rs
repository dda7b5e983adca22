use num_complex::Complex64;
use std::f64::consts::PI;

use super::{FilterError, Pass, Section, Sections, check_pass};

/// Highest order of the low-pass prototype.
pub const MAX_ORDER: usize = 8;

/// A Butterworth design (flattest pass band) by the bilinear transform with both edges warped, so
/// that they are met exactly.
///
/// `order`, 1 to [`MAX_ORDER`], is that of the low-pass prototype: a low- or high-pass falls off by
/// 6 dB an octave for each order, a band-pass by as much on either side (its polynomial has twice
/// the order). The pass band has unit gain.
///
/// Source: Oppenheim and Schafer, *Discrete-Time Signal Processing*, section 7.2 and appendix B.1;
/// the band-pass transform is that of Constantinides (1970).
///
/// # Errors
///
/// A sample rate that is not positive, an edge outside zero to half the sample rate, edges in the
/// wrong order, or an order out of range.
pub fn butterworth(order: usize, pass: Pass, sample_rate_hz: f64) -> Result<Sections, FilterError> {
    if !(1..=MAX_ORDER).contains(&order) {
        return Err(FilterError::Order { given: order, least: 1, most: MAX_ORDER });
    }
    check_pass(pass, sample_rate_hz)?;
    let warp = |edge_hz: f64| (PI * edge_hz / sample_rate_hz).tan();
    let sections = match pass {
        Pass::Low { cutoff_hz } => {
            let edge = warp(cutoff_hz);
            one_edge(order, |pole| pole * edge, Edge::Low)
        }
        Pass::High { cutoff_hz } => {
            let edge = warp(cutoff_hz);
            one_edge(order, |pole| pole.inv() * edge, Edge::High)
        }
        Pass::Band { low_hz, high_hz } => band(order, warp(low_hz), warp(high_hz)),
    };
    Ok(Sections::new(sections, sample_rate_hz))
}

/// Poles of the analogue prototype in the upper half plane, the real one (odd orders) last.
fn prototype_poles(order: usize) -> impl Iterator<Item = Complex64> {
    (0..order.div_ceil(2)).map(move |k| {
        if 2 * k + 1 == order {
            Complex64::new(-1.0, 0.0)
        } else {
            Complex64::cis(PI * (0.5 + (2 * k + 1) as f64 / (2 * order) as f64))
        }
    })
}

/// Bilinear transform with unit step.
fn bilinear(s: Complex64) -> Complex64 {
    (s + 1.0) / (-s + 1.0)
}

fn conjugate_pair(z: Complex64) -> [f64; 2] {
    [-2.0 * z.re, z.norm_sqr()]
}

#[derive(Clone, Copy, PartialEq)]
enum Edge {
    Low,
    High,
}

fn one_edge(order: usize, transform: impl Fn(Complex64) -> Complex64, edge: Edge) -> Vec<Section> {
    let middle = if edge == Edge::Low { 1.0 } else { -1.0 };
    prototype_poles(order)
        .map(|pole| {
            let s = transform(pole);
            // Gain from the analogue pole: 1 + a1 + a2 would cancel when the edge is low.
            let reach = (-s + 1.0).norm();
            let gain = if edge == Edge::Low { s.norm() / reach } else { reach.recip() };
            if pole.im == 0.0 {
                let z = bilinear(s).re;
                Section { b: [gain, middle * gain, 0.0], a: [-z, 0.0] }
            } else {
                let gain = gain * gain;
                Section { b: [gain, 2.0 * middle * gain, gain], a: conjugate_pair(bilinear(s)) }
            }
        })
        .collect()
}

fn band(order: usize, low: f64, high: f64) -> Vec<Section> {
    let centre_squared = low * high;
    let half_width = (high - low) / 2.0;
    let centre_rad = 2.0 * centre_squared.sqrt().atan();
    let section = |a: [f64; 2]| {
        let unscaled = Section { b: [1.0, 0.0, -1.0], a };
        let gain = unscaled.response(centre_rad).norm().recip();
        Section { b: [gain, 0.0, -gain], a }
    };
    let mut sections = Vec::with_capacity(order);
    for pole in prototype_poles(order) {
        let shift = pole * half_width;
        let root = (shift * shift - centre_squared).sqrt();
        let (first, second) = (shift + root, shift - root);
        if pole.im != 0.0 {
            sections.push(section(conjugate_pair(bilinear(first))));
            sections.push(section(conjugate_pair(bilinear(second))));
        } else {
            // A real pole gives either two real ones or a conjugate pair: one section each way.
            let (p, q) = (bilinear(first), bilinear(second));
            sections.push(section([-(p + q).re, (p * q).re]));
        }
    }
    // A common gain in front of each section, so that none of them runs far above the others.
    let total = Sections::new(sections, 1.0);
    let at_centre = total.response(centre_rad / std::f64::consts::TAU).norm();
    let share = at_centre.powf(-1.0 / order as f64);
    let mut sections = total.as_slice().to_vec();
    for section in &mut sections {
        section.b = section.b.map(|b| b * share);
    }
    sections
}
