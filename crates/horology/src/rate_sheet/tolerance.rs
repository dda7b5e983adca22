use super::error::SheetError;
use crate::stance::Upright;
use std::fmt;

/// What a limit is set to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LimitOf {
    /// Mean rate of the positions on the sheet, s/d.
    MeanRate {
        /// How many different positions there must be; of fewer, the limit is not kept yet.
        positions: usize,
    },
    /// Rate in every position, s/d.
    EveryRate,
    /// Greatest departure of a position from the mean of all, s/d.
    DepartureFromMean {
        /// As for the mean rate.
        positions: usize,
    },
    /// Difference of the two flat positions, s/d.
    SpreadFlat,
    /// Spread of the two flat positions and one upright, s/d.
    SpreadWithFirstUpright(Upright),
    /// Spread of all positions read, s/d.
    Spread {
        /// How many different positions there must be for it to be kept; fewer can break it
        /// already.
        positions: usize,
    },
    /// Gain over a number of days, s.
    Gain {
        /// Days.
        days: f64,
    },
    /// Mean size of the departures of daily rates from their mean, s/d.
    MeanDailyDeparture {
        /// Over how many days at least.
        days: usize,
    },
    /// Mean daily rate over the first ten days of ISO 3159, s/d: M.
    MeanDailyRate,
    /// Mean variation of rates, s/d: V.
    MeanVariation,
    /// Greatest variation of rates, s/d: Vmax.
    GreatestVariation,
    /// Horizontal and vertical positions, s/d: D, 6H less CH.
    UprightLessFlat,
    /// Largest variation of a day from the mean, s/d: P.
    LargestVariation,
    /// Change of the rate with temperature, s/d per °C: C.
    TemperatureCoefficient,
    /// Rate resumption, s/d: R.
    RateResumption,
}

impl fmt::Display for LimitOf {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let words = match self {
            Self::MeanRate { .. } => "mean rate of the positions",
            Self::EveryRate => "rate in every position",
            Self::DepartureFromMean { .. } => "greatest departure of a position from the mean",
            Self::SpreadFlat => "spread of the flat positions",
            Self::SpreadWithFirstUpright(upright) => {
                return write!(f, "spread of the flat positions and {upright}");
            }
            Self::Spread { .. } => "spread of all positions",
            Self::Gain { days } => return write!(f, "gain over {days} days"),
            Self::MeanDailyDeparture { .. } => "mean departure of the daily rates from their mean",
            Self::MeanDailyRate => "mean daily rate",
            Self::MeanVariation => "mean variation of rates",
            Self::GreatestVariation => "greatest variation of rates",
            Self::UprightLessFlat => "difference of 6 up and dial up",
            Self::LargestVariation => "largest variation of a day from the mean",
            Self::TemperatureCoefficient => "change of the rate per °C",
            Self::RateResumption => "rate resumption",
        };
        f.write_str(words)
    }
}

/// One limit, itself allowed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limit {
    /// Of what.
    pub of: LimitOf,
    /// Lowest value allowed.
    pub low: Option<f64>,
    /// Highest value allowed.
    pub high: Option<f64>,
}

impl Limit {
    /// From one value to another.
    ///
    /// # Errors
    /// [`SheetError::NotANumber`]; [`SheetError::EmptyTolerance`] where the first is above the
    /// second.
    pub fn between(of: LimitOf, low: f64, high: f64) -> Result<Self, SheetError> {
        for given in [low, high] {
            if !given.is_finite() {
                return Err(SheetError::NotANumber { what: "limit", given });
            }
        }
        if low > high {
            return Err(SheetError::EmptyTolerance { low, high });
        }
        Ok(Self { of, low: Some(low), high: Some(high) })
    }

    /// No more than this; for quantities that are sizes.
    #[must_use]
    pub fn at_most(of: LimitOf, high: f64) -> Self {
        Self { of, low: None, high: Some(high) }
    }

    /// No more than this, either way.
    #[must_use]
    pub fn within(of: LimitOf, size: f64) -> Self {
        Self { of, low: Some(-size.abs()), high: Some(size.abs()) }
    }
}

/// A class of tolerance: data, published or the user's own.
#[derive(Debug, Clone, PartialEq)]
pub struct ToleranceClass {
    /// Its name.
    pub name: String,
    /// Where it comes from, in words; for an own class whose it is.
    pub source: String,
    /// All of them must be kept.
    pub limits: Vec<Limit>,
}
