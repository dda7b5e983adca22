use super::error::IsochronismError;
use crate::least_squares::{Row, fit, widening};
use crate::poise::NEUTRAL_AMPLITUDE_DEG;
use crate::rate_sheet::{Cell, REPEAT_SD_S_PER_D, RateSheet};
use crate::stance::{Stance, Upright};
use quantities::Measured;

/// Which way something goes, as far as its uncertainty allows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Course {
    /// It gains as the amplitude falls.
    GainsInShortArcs,
    /// It loses as the amplitude falls.
    LosesInShortArcs,
    /// No more than the uncertainty.
    NotSeen,
}

/// How the difference of two opposite upright positions goes from long to short arcs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PairCourse {
    /// The faster one becomes the slower one.
    Reverses,
    /// The faster one stays the faster one.
    Stays,
    /// In one state of wind or in both it is no more than its uncertainty.
    NotSeen,
}

/// Two opposite upright positions from the highest to the lowest amplitude.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UprightPair {
    /// One of them; the other is half a turn away.
    pub first: Upright,
    /// First less second, s/d, and their mean amplitude, degrees, where that is highest.
    pub long_arcs: (Measured, f64),
    /// The same where it is lowest.
    pub short_arcs: (Measured, f64),
    /// What that makes.
    pub course: PairCourse,
    /// Whether the neutral amplitude of 219.54 degrees lies between the two: there a want of poise
    /// must reverse, and what does not is none.
    pub spans_neutral: bool,
}

/// What spot readings show.
#[derive(Debug, Clone, PartialEq)]
pub struct Observation {
    /// Change of the rate per degree of amplitude in flat positions, s/d per degree; positive:
    /// loses in short arcs.
    pub flat_s_per_d_per_deg: Option<Measured>,
    /// The same upright, all positions together.
    pub upright_s_per_d_per_deg: Option<Measured>,
    /// Change of the rate per hour of running, s/d per h, all positions together.
    pub rate_s_per_d_per_h: Option<Measured>,
    /// Change of the amplitude per hour of running, degrees per h.
    pub amplitude_deg_per_h: Option<Measured>,
    /// Opposite upright positions that were read in two states of wind.
    pub pairs: Vec<UprightPair>,
    /// Mean of the upright rates less mean of the flat ones, s/d, over all states of wind in which
    /// both were read.
    pub upright_less_flat_s_per_d: Option<Measured>,
}

/// Standard deviations beyond which a sign is believed: 95 in 100, both sides.
const BELIEVED: f64 = 1.96;

/// How often a sign may be believed that is none.
const WRONG_SIGNS: f64 = 0.05;

impl Observation {
    /// Which way the flat positions go.
    #[must_use]
    pub fn flat(&self) -> Course {
        course(self.flat_s_per_d_per_deg)
    }

    /// Which way the upright positions go, taken together.
    #[must_use]
    pub fn upright(&self) -> Course {
        course(self.upright_s_per_d_per_deg)
    }
}

fn course(slope: Option<Measured>) -> Course {
    match slope {
        Some(slope) if slope.value > BELIEVED * slope.sd => Course::LosesInShortArcs,
        Some(slope) if slope.value < -BELIEVED * slope.sd => Course::GainsInShortArcs,
        _ => Course::NotSeen,
    }
}

/// Reads the course of rate and amplitude off all states of wind of one balance.
///
/// Every position has a rate of its own; the slope against the amplitude is common to the flat ones
/// and to the upright ones (weighted least squares). The clock cancels. An amplitude's own scatter
/// widens its rate by the slope, and how well a position repeats itself ([`REPEAT_SD_S_PER_D`])
/// joins every rate.
///
/// # Errors
/// [`IsochronismError`].
pub fn observe(sheet: &RateSheet, balance: usize) -> Result<Observation, IsochronismError> {
    let spots: Vec<Spot> = sheet
        .cells()
        .iter()
        .filter(|cell| cell.balance == balance)
        .filter_map(|cell| {
            let rate_s_per_d = cell.rate_s_per_d.with_added_sd(REPEAT_SD_S_PER_D);
            let cell = Cell { rate_s_per_d, ..*cell };
            Some(Spot { cell, amplitude_deg: cell.amplitude_deg? })
        })
        .collect();
    if spots.is_empty() {
        return Err(IsochronismError::NoAmplitude { balance });
    }
    let twice = |spot: &Spot| {
        spots
            .iter()
            .any(|other| other.cell.stance == spot.cell.stance && other.cell.wind != spot.cell.wind)
    };
    if !spots.iter().any(twice) {
        return Err(IsochronismError::OneWind);
    }
    let of = |flat: bool| -> Vec<Spot> {
        spots.iter().filter(|spot| spot.cell.stance.is_flat() == flat).copied().collect()
    };
    let (flat, upright) = (of(true), of(false));
    Ok(Observation {
        flat_s_per_d_per_deg: rate_per_deg(&flat),
        upright_s_per_d_per_deg: rate_per_deg(&upright),
        rate_s_per_d_per_h: slope(&spots, Spot::hours, |spot| spot.cell.rate_s_per_d),
        amplitude_deg_per_h: slope(&spots, Spot::hours, |spot| spot.amplitude_deg),
        pairs: Upright::EIGHT[..4].iter().filter_map(|&first| pair(&upright, first)).collect(),
        upright_less_flat_s_per_d: upright_less_flat(sheet, balance),
    })
}

#[derive(Debug, Clone, Copy)]
struct Spot {
    cell: Cell,
    amplitude_deg: Measured,
}

impl Spot {
    fn hours(&self) -> f64 {
        self.cell.wind.hours()
    }
}

fn rate_per_deg(spots: &[Spot]) -> Option<Measured> {
    let by_amplitude = |spot: &Spot| spot.amplitude_deg.value;
    let first = slope(spots, by_amplitude, |spot| spot.cell.rate_s_per_d)?;
    slope(spots, by_amplitude, |spot| {
        spot.cell.rate_s_per_d.with_added_sd(first.value * spot.amplitude_deg.sd)
    })
}

/// Common slope of `y` against `x`, each position with a level of its own; nothing where no
/// position was read at two places.
fn slope(
    spots: &[Spot],
    x: impl Fn(&Spot) -> f64,
    y: impl Fn(&Spot) -> Measured,
) -> Option<Measured> {
    let mut stances: Vec<Stance> = spots.iter().map(|spot| spot.cell.stance).collect();
    stances.sort_unstable();
    stances.dedup();
    let middle = spots.iter().map(&x).sum::<f64>() / spots.len() as f64;
    let rows: Vec<Row> = spots
        .iter()
        .map(|spot| {
            let own = stances.iter().map(|s| f64::from(u8::from(*s == spot.cell.stance)));
            let seen = y(spot);
            Row {
                factors: own.chain([x(spot) - middle]).collect(),
                seen: seen.value,
                sd: seen.sd.max(LEAST_SD),
            }
        })
        .collect();
    let fit = fit(&rows)?;
    let last = stances.len();
    let widening = widening(fit.chi_squared, rows.len().saturating_sub(last + 1), WRONG_SIGNS);
    Some(Measured::new(fit.unknowns[last], (widening * fit.covariance[last][last]).sqrt()))
}

/// A reading without uncertainty still needs a weight; far below any reading, in s/d or degrees.
const LEAST_SD: f64 = 1e-4;

fn pair(upright: &[Spot], first: Upright) -> Option<UprightPair> {
    let second = Upright::from_uppermost_deg(first.uppermost_deg() as u16 + 180);
    let at = |position: Upright| {
        upright.iter().filter(move |spot| spot.cell.stance == Stance::Upright(position))
    };
    let both = at(first).filter_map(|one| {
        let other = at(second).find(|other| other.cell.wind == one.cell.wind)?;
        let amplitude = 0.5 * (one.amplitude_deg.value + other.amplitude_deg.value);
        Some((one.cell.rate_s_per_d.minus(other.cell.rate_s_per_d), amplitude))
    });
    let mut both: Vec<(Measured, f64)> = both.collect();
    both.sort_by(|one, other| other.1.total_cmp(&one.1));
    let [long_arcs, .., short_arcs] = both[..] else { return None };
    let sign = |(difference, _): (Measured, f64)| {
        (difference.value.abs() > BELIEVED * difference.sd).then_some(difference.value > 0.0)
    };
    let course = match (sign(long_arcs), sign(short_arcs)) {
        (Some(long), Some(short)) if long == short => PairCourse::Stays,
        (Some(_), Some(_)) => PairCourse::Reverses,
        _ => PairCourse::NotSeen,
    };
    let spans_neutral = long_arcs.1 > NEUTRAL_AMPLITUDE_DEG && short_arcs.1 < NEUTRAL_AMPLITUDE_DEG;
    Some(UprightPair { first, long_arcs, short_arcs, course, spans_neutral })
}

fn upright_less_flat(sheet: &RateSheet, balance: usize) -> Option<Measured> {
    let columns = sheet
        .winds(balance)
        .into_iter()
        .filter_map(|wind| sheet.column(balance, wind).ok()?.upright_less_flat_s_per_d());
    crate::rate_sheet::mean(columns)
}
