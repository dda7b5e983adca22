use super::bounds::{Bounded, Verdict, mean_of_sizes};
use super::column::Column;
use super::tolerance::{Limit, LimitOf, ToleranceClass};
use crate::chronometer::Evaluation;
use crate::stance::Stance;
use quantities::Measured;

/// What there is to judge a class by. Whatever is missing is said to be missing.
#[derive(Debug, Clone, Copy, Default)]
pub struct Evidence<'a> {
    /// One column of the rate sheet.
    pub column: Option<&'a Column>,
    /// Daily rates in one position and at one temperature, s/d, day after day.
    pub daily_s_per_d: Option<&'a [Measured]>,
    /// Gain over so many days, as worn or lying: days, s.
    pub gain: Option<(f64, Measured)>,
    /// Change of the rate with temperature, s/d per °C.
    pub temperature_s_per_d_per_deg_c: Option<Measured>,
    /// Fifteen days by ISO 3159.
    pub chronometer: Option<&'a Evaluation>,
}

/// One limit judged.
#[derive(Debug, Clone, PartialEq)]
pub struct Judgement {
    /// Which.
    pub limit: Limit,
    /// What was found, and within what bounds; nothing where nothing was measured for it.
    pub found: Option<Bounded>,
    /// Pass, fail, or cannot tell, which it also is where nothing was measured.
    pub verdict: Verdict,
    /// Whether it is a forecast: spot readings, for a limit that only days can show to be kept.
    pub is_forecast: bool,
    /// How far within (negative: outside) the nearer limit, with its uncertainty.
    pub margin: Option<Measured>,
}

/// A class judged.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// Every limit by itself.
    pub judgements: Vec<Judgement>,
    /// All together: one failed is failed, all passed is passed.
    pub verdict: Verdict,
}

impl ToleranceClass {
    /// Judges what there is by this class.
    #[must_use]
    pub fn judge(&self, evidence: &Evidence<'_>) -> Outcome {
        let judgements: Vec<Judgement> =
            self.limits.iter().map(|limit| judge(*limit, evidence)).collect();
        let all = |wanted: Verdict| judgements.iter().all(|j| j.verdict == wanted);
        let any = |wanted: Verdict| judgements.iter().any(|j| j.verdict == wanted);
        let verdict = if any(Verdict::Fail) {
            Verdict::Fail
        } else if !judgements.is_empty() && all(Verdict::Pass) {
            Verdict::Pass
        } else {
            Verdict::CannotTell
        };
        Outcome { judgements, verdict }
    }
}

fn judge(limit: Limit, evidence: &Evidence<'_>) -> Judgement {
    let found = found(limit, evidence);
    Judgement {
        limit,
        found,
        is_forecast: matches!(limit.of, LimitOf::Gain { days } if !has_gain(days, evidence)),
        verdict: found.map_or(Verdict::CannotTell, |f| f.against(limit.low, limit.high)),
        margin: found.and_then(|f| f.margin(limit.low, limit.high)),
    }
}

fn found(limit: Limit, evidence: &Evidence<'_>) -> Option<Bounded> {
    let of_chronometer = |pick: fn(&Evaluation) -> Bounded| evidence.chronometer.map(pick);
    match limit.of {
        LimitOf::MeanRate { positions } => {
            let column = evidence.column.filter(|column| column.standard().count() >= positions)?;
            column.mean_rate_s_per_d().map(Bounded::from)
        }
        LimitOf::EveryRate => every_rate(evidence.column?, limit),
        LimitOf::DepartureFromMean { positions } => {
            let column = evidence.column.filter(|column| column.standard().count() >= positions)?;
            column.greatest_departure_s_per_d().map(|(_, bounded)| bounded)
        }
        LimitOf::SpreadFlat => {
            evidence.column?.spread_of(Stance::is_flat).map(|spread| spread.s_per_d)
        }
        LimitOf::SpreadWithFirstUpright(upright) => {
            let column = evidence.column?;
            let chosen = |stance: Stance| stance.is_flat() || stance.upright() == Some(upright);
            let complete = column.has(upright) && column.dial_up_less_dial_down_s_per_d().is_some();
            column.spread_of(chosen).map(|spread| open_above_unless(complete, spread.s_per_d))
        }
        LimitOf::Spread { positions } => {
            let column = evidence.column?;
            let complete = column.standard().count() >= positions;
            column.spread().map(|spread| open_above_unless(complete, spread.s_per_d))
        }
        LimitOf::Gain { days } => gain(days, evidence),
        LimitOf::MeanDailyDeparture { days } => {
            daily_departure(evidence.daily_s_per_d.filter(|daily| daily.len() >= days)?)
        }
        LimitOf::MeanDailyRate => of_chronometer(|e| e.mean_daily_rate_s_per_d),
        LimitOf::MeanVariation => of_chronometer(|e| e.mean_variation_s_per_d),
        LimitOf::GreatestVariation => of_chronometer(|e| e.greatest_variation_s_per_d),
        LimitOf::UprightLessFlat => of_chronometer(|e| e.upright_less_flat_s_per_d),
        LimitOf::LargestVariation => of_chronometer(|e| e.largest_variation_s_per_d),
        LimitOf::TemperatureCoefficient => evidence
            .temperature_s_per_d_per_deg_c
            .map(Bounded::from)
            .or_else(|| of_chronometer(|e| e.temperature_s_per_d_per_deg_c)),
        LimitOf::RateResumption => of_chronometer(|e| e.rate_resumption_s_per_d),
    }
}

/// A spread over too few positions can be too large already, but not yet small enough: another
/// position may lie outside of it.
fn open_above_unless(complete: bool, spread: Bounded) -> Bounded {
    if complete { spread } else { Bounded { most: f64::INFINITY, ..spread } }
}

/// The rate that is farthest out or least far in, with bounds that hold for all.
fn every_rate(column: &Column, limit: Limit) -> Option<Bounded> {
    let middle = match (limit.low, limit.high) {
        (Some(low), Some(high)) => 0.5 * (low + high),
        (low, high) => low.or(high)?,
    };
    let rates: Vec<Measured> =
        column.standard().filter_map(|c| column.rate_s_per_d(c.stance)).collect();
    let worst = rates
        .iter()
        .max_by(|a, b| (a.value - middle).abs().total_cmp(&(b.value - middle).abs()))?;
    let own = Bounded::from(*worst);
    // Failing wants the worst to be out for certain; passing, every rate to be within.
    let out = limit.high.is_some_and(|high| own.least > high)
        || limit.low.is_some_and(|low| own.most < low);
    if out {
        return Some(own);
    }
    let bounds = rates.iter().map(|rate| Bounded::from(*rate));
    let (least, most) = bounds
        .fold((own.least, own.most), |(least, most), b| (least.min(b.least), most.max(b.most)));
    Some(Bounded { measured: *worst, least, most })
}

/// Whether the gain was followed for as long as the limit wants.
fn has_gain(days: f64, evidence: &Evidence<'_>) -> bool {
    evidence.gain.is_some_and(|(over, _)| over >= days)
}

/// Gain over the days of the limit: as measured over as many at least, or forecast from the mean
/// rate.
fn gain(days: f64, evidence: &Evidence<'_>) -> Option<Bounded> {
    let measured = evidence.gain.filter(|_| has_gain(days, evidence));
    let gain = match measured {
        Some((over, gain)) => gain.scaled(days / over),
        None => evidence.column?.mean_rate_s_per_d()?.scaled(days),
    };
    Some(gain.into())
}

/// Mean size of the departures from the mean of the days.
fn daily_departure(daily: &[Measured]) -> Option<Bounded> {
    let count = daily.len() as f64;
    if daily.len() < 2 {
        return None;
    }
    let mean = daily.iter().map(|d| d.value).sum::<f64>() / count;
    // Taking the mean off leaves 1 - 1/n of each variance, for days of like uncertainty.
    let left = (1.0 - 1.0 / count).sqrt();
    let departures: Vec<Measured> =
        daily.iter().map(|d| Measured::new(d.value - mean, left * d.sd)).collect();
    mean_of_sizes(&departures)
}
