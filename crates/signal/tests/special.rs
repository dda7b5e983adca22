//! Special functions against the values of scipy in `reference/special.txt`.
//!
//! 1e-9 for Student's t, as documented.
//! Tolerance 1e-12 relative unless said: both sides are good to some ten units in the last place
//! and the incomplete beta function adds a hundred more; nothing in this crate needs ten digits.
#![allow(clippy::unwrap_used, reason = "a test says what went wrong by failing")]

mod table;

use signal::special::{
    bessel_i0, bessel_j, ln_gamma, normal_cdf, normal_quantile, student_t_cdf, student_t_quantile,
};
use table::{Table, assert_close};

#[test]
fn functions_of_one_number_agree_with_scipy() {
    let table = Table::read("special");
    type Case = (&'static str, &'static str, fn(f64) -> f64);
    let cases: [Case; 4] = [
        ("ln_gamma", "x", ln_gamma),
        ("normal_cdf", "x", normal_cdf),
        ("normal_quantile", "p", normal_quantile),
        ("bessel_i0", "x", bessel_i0),
    ];
    for (name, argument, function) in cases {
        let xs = table.row(&format!("{name}.{argument}"));
        for (&x, &y) in xs.iter().zip(table.row(&format!("{name}.y"))) {
            assert_close(&format!("{name}({x})"), function(x), y, 1e-12, 1e-15);
        }
    }
}

#[test]
fn student_t_agrees_with_scipy() {
    let table = Table::read("special");
    let dofs = table.row("student_t_cdf.dof").iter().zip(table.row("student_t_cdf.t"));
    for ((&dof, &t), &y) in dofs.zip(table.row("student_t_cdf.y")) {
        assert_close(&format!("cdf({t}; {dof})"), student_t_cdf(t, dof), y, 1e-9, 1e-15);
    }
    let dofs = table.row("student_t_quantile.dof").iter().zip(table.row("student_t_quantile.p"));
    for ((&dof, &p), &y) in dofs.zip(table.row("student_t_quantile.y")) {
        assert_close(&format!("quantile({p}; {dof})"), student_t_quantile(p, dof), y, 1e-9, 1e-12);
    }
}

/// Absolute tolerance 1e-15: the functions pass through zero.
#[test]
fn bessel_j_agrees_with_scipy() {
    let table = Table::read("special");
    let orders = table.row("bessel_j.n").iter().zip(table.row("bessel_j.x"));
    for ((&n, &x), &y) in orders.zip(table.row("bessel_j.y")) {
        assert_close(&format!("J{n}({x})"), bessel_j(n as u16, x), y, 1e-12, 1e-15);
    }
}

#[test]
fn outside_the_domain_is_not_a_number_and_the_ends_are_infinite() {
    for p in [-0.1, 1.1, f64::NAN] {
        assert!(normal_quantile(p).is_nan());
        assert!(student_t_quantile(p, 3.0).is_nan());
    }
    for dof in [0.0, -1.0, f64::NAN] {
        assert!(student_t_cdf(1.0, dof).is_nan());
        assert!(student_t_quantile(0.9, dof).is_nan());
    }
    assert!(student_t_cdf(f64::NAN, 3.0).is_nan());
    assert_eq!(student_t_cdf(f64::INFINITY, 3.0), 1.0);
    assert_eq!(student_t_cdf(f64::NEG_INFINITY, 3.0), 0.0);
    assert_eq!(normal_quantile(0.0), f64::NEG_INFINITY);
    assert_eq!(student_t_quantile(1.0, 3.0), f64::INFINITY);
}

/// A wide t is a normal: the limit. They differ by `t^3 / 4 dof`, 2e-9 here.
#[test]
fn student_t_of_many_degrees_is_normal() {
    for dof in [1e9, 1e13, f64::INFINITY] {
        assert_close("quantile", student_t_quantile(0.975, dof), normal_quantile(0.975), 1e-8, 0.0);
        assert_close("cdf", student_t_cdf(1.3, dof), normal_cdf(1.3), 1e-8, 0.0);
    }
}
