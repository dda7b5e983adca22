//! A balance with a heavy spot, upright: its equation of motion, integrated step by step.
//!
//! ```text
//! I th'' + k th + m g r sin(th + phi) = 0
//! ```
//!
//! `th` is how far the balance is turned from where its spring would hold it, `phi` the angle of
//! the heavy spot from straight down when `th` is nought, both counted the same way round. No
//! friction, no impulse: only what gravity does. Nothing is averaged and no angle is taken for
//! small, so that formulas which do either can be held against it.

use crate::draws::{Draws, Purpose};
use std::f64::consts::PI;

/// Standard gravity, m/s² (SI Brochure, 9th edition; 3rd CGPM 1901).
const GRAVITY_M_PER_S2: f64 = 9.806_65;

/// Steps in an oscillation. The method's error goes as the fourth power of the step: with this
/// many the period is good to some 1e-11, a millionth of a second a day.
const STEPS: f64 = 2_000.0;

/// Oscillations after which a balance that has not come back is given up.
const MOST_OSCILLATIONS: f64 = 3.0;

/// A balance out of poise, upright.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unpoised {
    /// Moment of inertia, kg m².
    pub inertia_kg_m2: f64,
    /// Stiffness of the hairspring, N m/rad.
    pub stiffness_n_m_per_rad: f64,
    /// Mass of the heavy spot times its distance from the axis, kg m.
    pub moment_kg_m: f64,
    /// Angle of the heavy spot from straight down with the spring at rest, degrees.
    pub heavy_from_down_deg: f64,
}

/// How it swings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UnpoisedSwing {
    /// Time of a whole oscillation, s.
    pub oscillation_s: f64,
    /// Half of the way from one turning point to the other, degrees.
    pub amplitude_deg: f64,
    /// After the turning point at which it was let go, when it passes the spring's rest, s.
    pub passes_down_s: f64,
    /// And when it passes on the way back, s.
    pub passes_up_s: f64,
}

impl Unpoised {
    /// Its swing when it is let go at an angle, degrees, from the spring's rest.
    ///
    /// `None` where a number is not finite or not positive, or the heavy spot is so strong that
    /// the balance does not swing about the spring's rest.
    #[must_use]
    pub fn swing(&self, let_go_deg: f64) -> Option<UnpoisedSwing> {
        let numbers = [self.inertia_kg_m2, self.stiffness_n_m_per_rad, let_go_deg];
        let sound = numbers.iter().all(|n| *n > 0.0 && n.is_finite())
            && self.moment_kg_m.is_finite()
            && self.heavy_from_down_deg.is_finite();
        if !sound {
            return None;
        }
        let free_s = 2.0 * PI * (self.inertia_kg_m2 / self.stiffness_n_m_per_rad).sqrt();
        let step_s = free_s / STEPS;
        let start = State { angle: let_go_deg * PI / 180.0, speed: 0.0 };
        let (mut state, mut time_s) = (start, 0.0);
        let (mut down, mut turn, mut up) = (None, None, None);
        while time_s < MOST_OSCILLATIONS * free_s {
            let next = self.stepped(state, step_s);
            if state.angle > 0.0 && next.angle <= 0.0 && down.is_none() {
                down = Some(time_s + self.within(state, step_s, |s| s.angle).0);
            }
            if state.speed < 0.0 && next.speed >= 0.0 && turn.is_none() {
                turn = Some(self.within(state, step_s, |s| s.speed).1.angle);
            }
            if state.angle < 0.0 && next.angle >= 0.0 && up.is_none() {
                up = Some(time_s + self.within(state, step_s, |s| s.angle).0);
            }
            if state.speed > 0.0 && next.speed <= 0.0 {
                let half = 0.5 * (start.angle - turn?);
                return Some(UnpoisedSwing {
                    oscillation_s: time_s + self.within(state, step_s, |s| s.speed).0,
                    amplitude_deg: half * 180.0 / PI,
                    passes_down_s: down?,
                    passes_up_s: up?,
                });
            }
            state = next;
            time_s += step_s;
        }
        None
    }

    /// Instants, s, at which it passes the spring's rest, each moved by jitter of its own: white,
    /// normal, with this standard deviation in µs. The same seed gives the same instants.
    ///
    /// `None` as for [`Self::swing`].
    #[must_use]
    pub fn passes_s(
        &self,
        let_go_deg: f64,
        passes: usize,
        jitter_us: f64,
        seed: u64,
    ) -> Option<Vec<f64>> {
        let swing = self.swing(let_go_deg)?;
        let mut draws = Draws::keyed(seed, Purpose::Unpoised, 0, 0);
        let pass = |n: usize| {
            let side = if n.is_multiple_of(2) { swing.passes_down_s } else { swing.passes_up_s };
            side + (n / 2) as f64 * swing.oscillation_s + 1e-6 * jitter_us * draws.normal()
        };
        Some((0..passes).map(pass).collect())
    }

    fn acceleration(&self, angle: f64) -> f64 {
        let gravity = self.moment_kg_m * GRAVITY_M_PER_S2;
        let heavy = self.heavy_from_down_deg * PI / 180.0;
        let torque = self.stiffness_n_m_per_rad * angle + gravity * libm::sin(angle + heavy);
        -torque / self.inertia_kg_m2
    }

    /// One step of the classical fourth-order method of Runge and Kutta (any text on numerical
    /// analysis).
    fn stepped(&self, from: State, step_s: f64) -> State {
        let slope = |s: State| State { angle: s.speed, speed: self.acceleration(s.angle) };
        let one = slope(from);
        let two = slope(from.plus(one, 0.5 * step_s));
        let three = slope(from.plus(two, 0.5 * step_s));
        let four = slope(from.plus(three, step_s));
        let sixth = step_s / 6.0;
        from.plus(one, sixth).plus(two, 2.0 * sixth).plus(three, 2.0 * sixth).plus(four, sixth)
    }

    /// Where within a step something passes nought, and the state there, by halving.
    fn within(&self, from: State, step_s: f64, of: impl Fn(State) -> f64) -> (f64, State) {
        let (mut before_s, mut after_s) = (0.0, step_s);
        // The side that we come from: at the very start the speed is nought, and so is its sign.
        let sign = of(self.stepped(from, step_s));
        for _ in 0..60 {
            let middle_s = 0.5 * (before_s + after_s);
            if of(self.stepped(from, middle_s)) * sign > 0.0 {
                after_s = middle_s;
            } else {
                before_s = middle_s;
            }
        }
        (after_s, self.stepped(from, after_s))
    }
}

#[derive(Debug, Clone, Copy)]
struct State {
    angle: f64,
    speed: f64,
}

impl State {
    fn plus(self, slope: Self, by_s: f64) -> Self {
        Self { angle: self.angle + by_s * slope.angle, speed: self.speed + by_s * slope.speed }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn balance(moment_kg_m: f64, heavy_from_down_deg: f64) -> Unpoised {
        Unpoised {
            inertia_kg_m2: 1e-9,
            stiffness_n_m_per_rad: 1e-9 * (5.0 * PI) * (5.0 * PI),
            moment_kg_m,
            heavy_from_down_deg,
        }
    }

    /// In poise it is a harmonic oscillator: 2.5 Hz whatever the amplitude, passing rest a quarter
    /// and three quarters through. 1e-10 is ten times the method's own error.
    #[test]
    fn in_poise_it_is_harmonic() {
        for deg in [10.0, 150.0, 320.0] {
            let swing = balance(0.0, 0.0).swing(deg).unwrap();
            assert!((swing.oscillation_s / 0.4 - 1.0).abs() < 1e-10, "{swing:?}");
            assert!((swing.amplitude_deg - deg).abs() < 1e-7);
            assert!((swing.passes_down_s - 0.1).abs() < 1e-10);
            assert!((swing.passes_up_s - 0.3).abs() < 1e-10);
        }
    }

    /// Values of an independent integration (scipy 1.17.1, solve_ivp, DOP853 to 1e-13) of this very
    /// balance: 10 micrograms at 4 mm, heavy spot down, 2.5 Hz, rates in s/d. Printed to 0.01 s/d.
    #[test]
    fn agrees_with_another_integration() {
        for (deg, s_per_d) in
            [(150.0, 24.43), (180.0, 12.44), (220.0, -0.12), (270.0, -8.21), (300.0, -9.04)]
        {
            let rate = |from_down| {
                let swing = balance(10e-9 * 4e-3, from_down).swing(deg).unwrap();
                86_400.0 * (0.4 / swing.oscillation_s - 1.0)
            };
            assert!((rate(0.0) - s_per_d).abs() <= 0.011, "{deg}: {}", rate(0.0));
            // Above the staff the signs turn round; the square of the effect, 86400 x 2e-4^2 at
            // most, does not.
            assert!((rate(180.0) + s_per_d).abs() <= 0.03, "{deg}: {}", rate(180.0));
            assert!(rate(90.0).abs() < 0.03, "{deg}: {}", rate(90.0));
        }
    }

    #[test]
    fn the_same_seed_gives_the_same_instants() {
        let of = |seed| balance(4e-11, 30.0).passes_s(250.0, 20, 20.0, seed).unwrap();
        assert_eq!(of(3), of(3));
        assert_ne!(of(3), of(4));
        let steady = balance(4e-11, 30.0).passes_s(250.0, 20, 0.0, 3).unwrap();
        for (jittered, steady) in of(3).iter().zip(&steady) {
            // Six standard deviations of 20 µs.
            assert!((jittered - steady).abs() < 120e-6);
        }
    }

    #[test]
    fn nonsense_does_not_swing() {
        assert_eq!(balance(4e-11, 0.0).swing(f64::NAN), None);
        assert_eq!(balance(4e-11, 0.0).swing(-270.0), None);
        assert_eq!(Unpoised { inertia_kg_m2: 0.0, ..balance(0.0, 0.0) }.swing(270.0), None);
    }
}
