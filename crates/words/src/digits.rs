//! Measured values as people read them.

use quantities::Measured;
use quantities::digits::decimals_for;
use quantities::digits::{plain, signed, with_plus};

const MOST_DECIMALS: usize = 6;

/// With so many figures, for a number whose uncertainty nobody knows.
#[must_use]
pub fn figures(number: f64, figures: usize) -> String {
    // "4.29e0": the power of ten after rounding, without a logarithm.
    let written = format!("{:.*e}", figures.saturating_sub(1), number);
    let exponent = written.split_once('e').and_then(|(_, e)| e.parse::<i32>().ok()).unwrap_or(0);
    let decimals = i32::try_from(figures).unwrap_or(i32::MAX).saturating_sub(1 + exponent);
    plain(number, usize::try_from(decimals).unwrap_or(0).min(MOST_DECIMALS))
}

/// A number that counts as exact: with four figures.
#[must_use]
pub fn exact(number: f64, with_sign: bool) -> String {
    let written = figures(number, 4);
    if with_sign { with_plus(number, written) } else { written }
}

/// A number and its uncertainty, rounded alike.
#[must_use]
pub fn rounded(value: Measured, with_sign: bool) -> (String, String) {
    let decimals = decimals_for(value.sd, MOST_DECIMALS);
    let number =
        if with_sign { signed(value.value, decimals) } else { plain(value.value, decimals) };
    (number, uncertainty(value.sd))
}

/// An uncertainty by itself.
#[must_use]
pub fn uncertainty(sd: f64) -> String {
    plain(sd, decimals_for(sd, MOST_DECIMALS))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One of the examples of the Particle Data Group's rule, and that of JCGM 100:2008, 7.2.6.
    #[test]
    fn both_are_rounded_alike() {
        let line = |value, sd| rounded(Measured::new(value, sd), true);
        assert_eq!(line(0.827, 0.367), ("+0.8".into(), "0.4".into()));
        assert_eq!(line(10.05762, 0.027), ("+10.058".into(), "0.027".into()));
    }

    #[test]
    fn so_many_figures() {
        for (number, written) in [
            (60.0, "60.0"),
            (4.2857, "4.29"),
            (0.06666, "0.0667"),
            (9.996, "10.0"),
            (7_261.0, "7261"),
        ] {
            assert_eq!(figures(number, 3), written);
        }
        assert_eq!(figures(0.0, 2), "0.0");
        assert_eq!((exact(2.74, true), exact(-2.1, true)), ("+2.740".into(), "−2.100".into()));
        assert_eq!(figures(f64::NAN, 2), "–");
    }
}
