use crate::least_squares::{Row, fit, widening};
use crate::rate_sheet::mean;
use quantities::Measured;

/// One moment of a long reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moment {
    /// Hours since it began.
    pub hours: f64,
    /// Rate about then, s/d.
    pub rate_s_per_d: Measured,
    /// Amplitude about then, degrees.
    pub amplitude_deg: Measured,
}

/// What one long reading shows of a balance as the mainspring runs down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OverWind {
    /// From the first moment to the last, h.
    pub hours: f64,
    /// Mean amplitude of the first and of the last tenth, degrees.
    pub amplitude_deg: [Measured; 2],
    /// Mean rate of the first and of the last tenth, s/d.
    pub rate_s_per_d: [Measured; 2],
    /// Change of the rate per degree of amplitude, s/d per degree; positive: loses in short arcs.
    /// Nothing where the amplitude changed by less than [`LEAST_FALL_DEG`].
    pub s_per_d_per_deg: Option<Measured>,
}

/// Change of the amplitude below which no slope is given, degrees: a few degrees come and go with
/// the coils of the mainspring (common practice, no published source).
pub const LEAST_FALL_DEG: f64 = 10.0;

/// Fewest moments: below ten a tenth is none.
const LEAST_MOMENTS: usize = 10;

/// How often scatter beyond what is claimed may be taken for chance where it is not.
const BY_CHANCE: f64 = 0.05;

/// Far below any reading: a moment without uncertainty still needs a weight, s/d.
const LEAST_SD_S_PER_D: f64 = 1e-4;

/// Reads the course of rate and amplitude off one long reading, by weighted least squares of the rate
/// on the amplitude; scatter beyond the moments' own widens the slope. The position, and so the share
/// of poise, is one; warmth that changed meanwhile is taken for the wind's doing.
///
/// Nothing for fewer than ten moments.
#[must_use]
pub fn over_wind(moments: &[Moment]) -> Option<OverWind> {
    if moments.len() < LEAST_MOMENTS {
        return None;
    }
    let tenth = moments.len() / LEAST_MOMENTS;
    let ends = [&moments[..tenth], &moments[moments.len() - tenth..]];
    let of = |get: fn(&Moment) -> Measured| {
        let [first, last] = ends.map(|end| mean(end.iter().map(get)));
        Some([first?, last?])
    };
    let amplitude_deg = of(|moment| moment.amplitude_deg)?;
    let fell = (amplitude_deg[1].value - amplitude_deg[0].value).abs() >= LEAST_FALL_DEG;
    Some(OverWind {
        hours: moments[moments.len() - 1].hours - moments[0].hours,
        amplitude_deg,
        rate_s_per_d: of(|moment| moment.rate_s_per_d)?,
        s_per_d_per_deg: if fell { slope(moments) } else { None },
    })
}

fn slope(moments: &[Moment]) -> Option<Measured> {
    let middle = moments.iter().map(|m| m.amplitude_deg.value).sum::<f64>() / moments.len() as f64;
    let row = |moment: &Moment| Row {
        factors: vec![1.0, moment.amplitude_deg.value - middle],
        seen: moment.rate_s_per_d.value,
        sd: moment.rate_s_per_d.sd.max(LEAST_SD_S_PER_D),
    };
    let fit = fit(&moments.iter().map(row).collect::<Vec<Row>>())?;
    let widening = widening(fit.chi_squared, moments.len() - 2, BY_CHANCE);
    Some(Measured::new(fit.unknowns[1], (widening * fit.covariance[1][1]).sqrt()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn moments(amplitude: impl Fn(f64) -> f64, rate: impl Fn(f64) -> f64) -> Vec<Moment> {
        let at = |n: i32| {
            let hours = f64::from(n) * 0.5;
            Moment {
                hours,
                rate_s_per_d: Measured::new(rate(hours), 0.2),
                amplitude_deg: Measured::new(amplitude(hours), 1.0),
            }
        };
        (0..=60).map(at).collect()
    }

    /// By hand: two degrees an hour from 290, and a fifth of a second a day for each: 0.2 s/d per
    /// degree. The sd of a slope is 0.2 over the root of the sum of squares of 61 amplitudes a degree
    /// apart about their mean, 61 (61² - 1) / 12 = 18,910 (sum of squares of whole numbers): 0.001454.
    #[test]
    fn a_straight_course() {
        let found = over_wind(&moments(|h| 290.0 - 2.0 * h, |h| 4.0 - 0.4 * h)).unwrap();
        let slope = found.s_per_d_per_deg.unwrap();
        assert!((slope.value - 0.2).abs() < 1e-9, "{slope:?}");
        assert!((slope.sd - 0.001_454).abs() < 1e-6, "{slope:?}");
        assert!((found.hours - 30.0).abs() < 1e-12);
        // The first six moments are from 0 to 2.5 h.
        assert!((found.amplitude_deg[0].value - 287.5).abs() < 1e-9);
        assert!((found.amplitude_deg[1].value - 232.5).abs() < 1e-9);
        assert!((found.rate_s_per_d[1].value - (4.0 - 0.4 * 28.75)).abs() < 1e-9);
    }

    #[test]
    fn little_says_nothing() {
        let steady = moments(|_| 280.0, |h| h);
        assert_eq!(over_wind(&steady).unwrap().s_per_d_per_deg, None);
        assert_eq!(over_wind(&steady[..9]), None);
        assert_eq!(over_wind(&[]), None);
    }
}
