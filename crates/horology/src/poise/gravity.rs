use crate::stance::{Upright, radians};
use quantities::SECONDS_PER_DAY;

/// Amplitude, degrees, at which a want of poise changes nothing: the first zero of the Bessel
/// function J1, 3.8317 rad (scipy 1.17.1, `jn_zeros`). The trade has 220 (Jendritzki, as
/// bib:adjusting-vintage reports) or 225, one and a quarter turns (bib:kleinlein1920, No. 28).
pub const NEUTRAL_AMPLITUDE_DEG: f64 = 219.540_580_43;

/// Amplitude, degrees, above the neutral one at which a want of poise does most: the first zero of
/// J2, 5.1356 rad (scipy 1.17.1, `jn_zeros`).
pub const LARGEST_LOSS_AMPLITUDE_DEG: f64 = 294.249_483_07;

/// Standard gravity, m/s² (bib:si-brochure). Local gravity differs by up to 0.3 per cent.
pub const STANDARD_GRAVITY_M_PER_S2: f64 = 9.806_65;

/// Rate, s/d, of a balance whose heavy spot is straight down at rest, for `m g r / k` of one:
/// `86400 J1(A)/A` with the amplitude `A` in radians.
///
/// A torque `m g r sin(theta + phi)` on a balance that swings as `A sin(w t)` changes its frequency
/// by `1/(2 pi k A)` times the integral of torque times `sin` over an oscillation, to first order
/// (the averaging of bib:airy1830), and that integral is a Bessel function. Held against the
/// integrated equation of motion: within 0.01 s/d for an effect of 25 s/d.
#[must_use]
pub fn gravity_factor_s_per_d(amplitude_deg: f64) -> f64 {
    let a = radians(amplitude_deg);
    // The limit of J1(a)/a is one half.
    let ratio = if a.abs() < 1e-6 { 0.5 } else { libm::j1(a) / a };
    SECONDS_PER_DAY * ratio
}

/// Change of [`gravity_factor_s_per_d`] per degree of amplitude: `-86400 J2(A)/A` per radian.
pub(super) fn gravity_factor_slope_per_deg(amplitude_deg: f64) -> f64 {
    let a = radians(amplitude_deg);
    let ratio = if a.abs() < 1e-6 { 0.0 } else { libm::jn(2, a) / a };
    -SECONDS_PER_DAY * radians(ratio)
}

/// What a heavy spot adds to the rate in an upright position, s/d:
/// `86400 (m g r/k) cos(phi) J1(A)/A`, `phi` being the angle of the heavy spot from straight down
/// when the balance is at rest.
///
/// `strength` is `m g r/k`, without unit: how far, in radians, the heavy spot held level would turn
/// the balance. `direction_deg` is counted as the head of [`crate::poise`] says. In flat positions
/// a heavy spot does nothing.
#[must_use]
pub fn rate_from_heavy_spot_s_per_d(
    strength: f64,
    direction_deg: f64,
    position: Upright,
    amplitude_deg: f64,
) -> f64 {
    strength * below(direction_deg, position) * gravity_factor_s_per_d(amplitude_deg)
}

/// How far below the staff a direction points in a position: 1 straight down, -1 straight up.
pub(super) fn below(direction_deg: f64, position: Upright) -> f64 {
    -radians(direction_deg - position.uppermost_deg()).cos()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// J1(A)/A and its derivative -J2(A)/A per radian, amplitude in degrees: scipy 1.17.1
    /// (`scipy.special.j1`, `jn`), outside this project.
    const BESSEL: [(f64, f64, f64); 23] = [
        (20.0, 0.492423129747, -0.043191866802),
        (40.0, 0.470150626619, -0.083775625741),
        (60.0, 0.434522226444, -0.119339929693),
        (80.0, 0.387658455245, -0.147850331956),
        (100.0, 0.332302045244, -0.167797687900),
        (120.0, 0.271614922740, -0.178302567281),
        (140.0, 0.208947698579, -0.179167381869),
        (160.0, 0.147600686656, -0.170872606106),
        (180.0, 0.090595877494, -0.154518419846),
        (200.0, 0.040477985950, -0.131717869990),
        (220.0, -0.000840183483, -0.104451792161),
        (240.0, -0.032176967731, -0.074898878377),
        (260.0, -0.053119625291, -0.045256145728),
        (280.0, -0.064000062843, -0.017565502903),
        (300.0, -0.065813251378, 0.006438887160),
        (320.0, -0.060087836885, 0.025450065285),
        (340.0, -0.048722208919, 0.038665556297),
        (360.0, -0.033801729488, 0.045817583509),
        (380.0, -0.017413760704, 0.047155760331),
        (400.0, -0.001476525191, 0.043386126487),
        (150.0, 0.177911253985, -0.176109669568),
        (270.0, -0.059769664585, -0.031049627142),
        (330.0, -0.054981899132, 0.032811563928),
    ];

    #[test]
    fn bessel_functions_are_those_of_scipy() {
        for (deg, ratio, slope) in BESSEL {
            // Printed to 5e-13; times 86,400 that is 4.3e-8.
            assert!((gravity_factor_s_per_d(deg) / 86_400.0 - ratio).abs() < 1e-12, "{deg}");
            let per_rad = gravity_factor_slope_per_deg(deg) * 180.0 / std::f64::consts::PI;
            assert!((per_rad / 86_400.0 - slope).abs() < 1e-12, "{deg}");
        }
        assert_eq!(gravity_factor_s_per_d(0.0), 43_200.0);
        assert!(gravity_factor_s_per_d(NEUTRAL_AMPLITUDE_DEG).abs() < 1e-6);
        assert!(gravity_factor_slope_per_deg(LARGEST_LOSS_AMPLITUDE_DEG).abs() < 1e-8);
    }

    fn upright(deg: u16) -> Upright {
        Upright::from_uppermost_deg(deg)
    }

    /// 10 micrograms at 4 mm on 1e-9 kg m² and 2.5 Hz: the equation of motion integrated by scipy
    /// 1.17.1 (solve_ivp, DOP853, 1e-13), heavy spot below and above the staff. The formula is of
    /// first order; what it leaves out is 0.005 s/d of 24 at most here.
    #[test]
    fn agrees_with_the_equation_of_motion() {
        let strength = 4e-11 * STANDARD_GRAVITY_M_PER_S2 / 2.467_401_100e-7;
        for (deg, down, up) in [
            (150.0, 24.432_84, -24.442_31),
            (180.0, 12.441_51, -12.446_67),
            (220.0, -0.117_11, 0.113_70),
            (270.0, -8.211_23, 8.208_48),
            (300.0, -9.040_97, 9.039_01),
        ] {
            // Towards 6, that is down while 12 is uppermost.
            let of = |direction| rate_from_heavy_spot_s_per_d(strength, direction, upright(0), deg);
            assert!((of(180.0) - down).abs() < 0.006, "{deg}: {}", of(180.0));
            assert!((of(0.0) - up).abs() < 0.006, "{deg}: {}", of(0.0));
            assert!(of(90.0).abs() < 1e-9);
        }
    }

    /// bib:kleinlein1920, example 2: motion of one and an eighth turns, 202 degrees,
    /// pendant up 35 s fast against the flat positions; the heavy screw was found at the bottom.
    /// Example 5: in good motion a vertical position that is fast points to the upper side. No.
    /// 28: below the staff it loses above one and a quarter turns, gains at one turn; above, the
    /// reverse.
    #[test]
    fn signs_as_found_at_the_bench() {
        let (bottom, top) = (180.0, 0.0);
        let of = |direction, amplitude| {
            rate_from_heavy_spot_s_per_d(1e-3, direction, upright(0), amplitude)
        };
        assert!(of(bottom, 202.5) > 0.0);
        assert!(of(top, 270.0) > 0.0);
        assert!(of(bottom, 270.0) < 0.0 && of(bottom, 180.0) > 0.0);
        assert!(of(top, 180.0) < 0.0);
        // At his neutral arc, 225 degrees, it does less than a tenth of what it does at 180.
        assert!((of(bottom, 225.0) / of(bottom, 180.0)).abs() < 0.11);
    }
}
