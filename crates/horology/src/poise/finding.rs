use super::error::PoiseError;
use super::gravity::gravity_factor_s_per_d;
use super::heavy_spot::{HeavySpot, from_parts};
use super::model::{Parts, SEEN_BY_CHANCE, factor_significance, fit_parts};
use super::next::{NextMeasurement, next_measurement};
use super::reading::{PoiseSet, PoiseSettings, check};
use crate::least_squares::scatter_is_beyond_chance;
use crate::stance::{degrees, turn_deg};
use quantities::Measured;

/// What upright readings say of the poise.
#[derive(Debug, Clone, PartialEq)]
pub struct PoiseFinding {
    /// The heavy spot, or why it cannot be told.
    pub answer: PoiseAnswer,
    /// What the spring itself does.
    pub spring: SpringShare,
    /// Sum of squared residuals over their variances, and its degrees of freedom; far above them,
    /// something else than poise moves the rates, and the uncertainties have been widened for it.
    pub chi_squared: f64,
    /// Readings less unknowns.
    pub freedoms: usize,
    /// The next measurement that would help most.
    pub next: NextMeasurement,
}

impl PoiseFinding {
    /// Whether the positions disagree with any heavy spot by more than their uncertainties explain:
    /// a fork that rubs in one of them, friction that differs, a reading that slipped. Three
    /// positions in a set never do, and four can hide it; eight, or a position read twice, show it.
    #[must_use]
    pub fn positions_disagree(&self) -> bool {
        scatter_is_beyond_chance(self.chi_squared, self.freedoms)
    }
}

/// Whether the heavy spot can be told.
#[derive(Debug, Clone, PartialEq)]
pub enum PoiseAnswer {
    /// Here it is.
    Told(HeavySpot),
    /// It cannot.
    CannotTell {
        /// Why.
        why: WhyNot,
        /// Strength (`m g r/k`) that it hardly exceeds, where that can be said: 95 in 100.
        most_strength: Option<f64>,
    },
}

/// Why the heavy spot cannot be told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WhyNot {
    /// The amplitudes are so near to 219.54 degrees that their uncertainty leaves the sign open.
    NearNeutral {
        /// Mean amplitude, degrees.
        amplitude_deg: f64,
    },
    /// The amplitudes differ too little to tell the heavy spot from the spring's own share, and
    /// lie on both sides of neutral, so that neither can be left out.
    AmplitudesTooAlike,
    /// What differs between the positions is no more than the uncertainty.
    LostInUncertainty,
}

/// What the hairspring itself adds upright, whatever the amplitude.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SpringShare {
    /// Readings at one amplitude, or on one side of neutral, cannot tell it from a heavy spot. The
    /// answer takes all of the difference for poise. `would_turn_by_deg`: how far the direction
    /// would be off if a share of 7 s/d hid square to it, as fine watches may have.
    NotSeparated {
        /// Degrees; nothing where no heavy spot was told.
        would_turn_by_deg: Option<f64>,
    },
    /// Readings on both sides tell it apart.
    Separated {
        /// Largest gain over the mean, s/d.
        gain_s_per_d: Measured,
        /// The degree of the dial that is uppermost where it gains most, clockwise from 12 seen
        /// from the dial.
        fastest_uppermost_deg: f64,
    },
}

/// Position error that a spiral spring may have by itself, s/d either way of the mean: half of the
/// 12 to 15 s that bib:kleinlein1920 (No. 34) calls natural in fine watches.
pub(super) const SPRING_SHARE_S_PER_D: f64 = 7.0;

/// How many standard deviations gravity's factor must be from nought before its sign is believed.
///
/// At three, one case in 700 would have the wrong sign and put the heavy spot on the opposite side.
const SIGN_SIGNIFICANCE: f64 = 3.0;

/// The heavy spot of one balance from upright readings in one or more states of wind.
///
/// With the rates of a set explained as `mean + 86400 (m g r/k) cos(phi) J1(A)/A`, the strength and
/// the direction are found by weighted least squares; each set has a mean of its own, because the
/// rate may change with the amplitude for other reasons. Where sets lie on both sides of 219.54
/// degrees, a share of the spring that does not change with the amplitude is told apart.
///
/// # Errors
/// [`PoiseError`]: no readings, fewer than three upright positions in every set, numbers that are
/// none, amplitudes outside 60 to 400 degrees.
///
/// # Examples
/// Four positions at 270 degrees, fastest with 6 up and slowest with 12 up: above the neutral
/// amplitude the slow position has its heavy spot below, so it lies towards 6.
/// ```
/// use horology::poise::{PoiseAnswer, PoiseSet, PoiseSettings, UprightReading, find_heavy_spot};
/// use horology::stance::Upright;
/// use quantities::Measured;
///
/// let [twelve, three, six, nine] = Upright::FOUR;
/// let rates = [(twelve, -8.0), (three, 2.0), (six, 12.0), (nine, 2.0)];
/// let readings = rates.map(|(position, s_per_d)| UprightReading {
///     position,
///     rate_s_per_d: Measured::new(s_per_d, 0.2),
///     amplitude_deg: Measured::new(270.0, 2.0),
/// });
/// let set = PoiseSet { readings: readings.to_vec() };
/// let finding = find_heavy_spot(&[set], &PoiseSettings::default())?;
/// let PoiseAnswer::Told(spot) = finding.answer else { panic!() };
/// assert!((spot.direction_deg.value - 180.0).abs() < 1.0);
/// # Ok::<(), horology::poise::PoiseError>(())
/// ```
pub fn find_heavy_spot(
    sets: &[PoiseSet],
    settings: &PoiseSettings,
) -> Result<PoiseFinding, PoiseError> {
    check(sets, settings)?;
    let sets: Vec<PoiseSet> = sets.iter().filter(|set| set.positions() > 0).cloned().collect();
    let with_spring = both_sides(&sets, settings);
    let too_few = || PoiseError::TooFewPositions {
        upright: sets.iter().map(PoiseSet::positions).max().unwrap_or(0),
    };
    let parts = fit_parts(&sets, settings, with_spring)
        .or_else(|| fit_parts(&sets, settings, false))
        .ok_or_else(too_few)?;
    let answer = answer(&sets, settings, &parts);
    Ok(PoiseFinding {
        spring: spring(&sets, &parts, &answer),
        chi_squared: parts.chi_squared,
        freedoms: parts.freedoms,
        next: next_measurement(&sets, settings, &parts),
        answer,
    })
}

/// Whether some sets lie above neutral and some below, beyond doubt.
fn both_sides(sets: &[PoiseSet], settings: &PoiseSettings) -> bool {
    let clear = |set: &&PoiseSet| {
        factor_significance(std::slice::from_ref(*set), settings, false) >= SIGN_SIGNIFICANCE
    };
    let sign = |set: &PoiseSet| set.mean_amplitude_deg().map(gravity_factor_s_per_d);
    let clear: Vec<f64> = sets.iter().filter(clear).filter_map(sign).collect();
    clear.iter().any(|factor| *factor > 0.0) && clear.iter().any(|factor| *factor < 0.0)
}

fn answer(sets: &[PoiseSet], settings: &PoiseSettings, parts: &Parts) -> PoiseAnswer {
    let with_spring = parts.spring.is_some();
    if factor_significance(sets, settings, with_spring) < SIGN_SIGNIFICANCE {
        let why = if with_spring {
            WhyNot::AmplitudesTooAlike
        } else {
            let amplitudes: Vec<f64> =
                sets.iter().filter_map(PoiseSet::mean_amplitude_deg).collect();
            let mean = amplitudes.iter().sum::<f64>() / amplitudes.len() as f64;
            WhyNot::NearNeutral { amplitude_deg: mean }
        };
        return PoiseAnswer::CannotTell { why, most_strength: None };
    }
    let [north, east] = parts.strength;
    let [[nn, ne], [_, ee]] = parts.covariance;
    let determinant = nn * ee - ne * ne;
    let distance = (north * north * ee - 2.0 * north * east * ne + east * east * nn) / determinant;
    // Chi-squared with 2 degrees of freedom, whose distribution function is elementary.
    let by_chance = -2.0 * SEEN_BY_CHANCE.ln();
    if distance.is_nan() || distance < by_chance {
        // 95 in 100 of one direction, in the direction of the larger uncertainty.
        let largest = (0.5 * (nn + ee) + (0.25 * (nn - ee).powi(2) + ne * ne).sqrt()).sqrt();
        let most_strength = Some(north.hypot(east) + 1.645 * largest);
        return PoiseAnswer::CannotTell { why: WhyNot::LostInUncertainty, most_strength };
    }
    PoiseAnswer::Told(from_parts(parts.strength, parts.covariance))
}

fn spring(sets: &[PoiseSet], parts: &Parts, answer: &PoiseAnswer) -> SpringShare {
    let Some([north, east]) = parts.spring else {
        let mean_factor = |spot: &HeavySpot| {
            let factors: Vec<f64> = sets
                .iter()
                .filter_map(PoiseSet::mean_amplitude_deg)
                .map(|deg| gravity_factor_s_per_d(deg).abs())
                .collect();
            let mean = factors.iter().sum::<f64>() / factors.len() as f64;
            spot.turned_by_spring_share_deg(SPRING_SHARE_S_PER_D, mean)
        };
        let told = match answer {
            PoiseAnswer::Told(spot) => Some(mean_factor(spot)),
            PoiseAnswer::CannotTell { .. } => None,
        };
        return SpringShare::NotSeparated { would_turn_by_deg: told };
    };
    let gain = north.value.hypot(east.value);
    let sd = (north.value * north.sd).hypot(east.value * east.sd) / gain;
    SpringShare::Separated {
        gain_s_per_d: Measured::new(gain, if gain > 0.0 { sd } else { north.sd }),
        fastest_uppermost_deg: turn_deg(degrees(east.value.atan2(north.value))),
    }
}
