//! Limits and verdicts.

use crate::{figures, plain};
use horology::rate_sheet::{Limit, LimitOf, Verdict};

/// "pass", "fail" or "cannot tell"
#[must_use]
pub fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Pass => "pass",
        Verdict::Fail => "fail",
        Verdict::CannotTell => "cannot tell",
    }
}

/// In what a limit is counted.
#[must_use]
pub fn unit_of_limit(of: LimitOf) -> &'static str {
    match of {
        LimitOf::Gain { .. } => "s",
        LimitOf::TemperatureCoefficient => "s/d per °C",
        _ => "s/d",
    }
}

/// "spread of all positions at most 6"
#[must_use]
pub fn limit(limit: &Limit) -> String {
    format!("{} {}", limit.of, bounds(limit))
}

/// "at most 6", "−4 to 6", "within ±0.6"
#[must_use]
pub fn bounds(limit: &Limit) -> String {
    let number = |value: f64| {
        if value.fract() == 0.0 { plain(value, 0) } else { figures(value, 3) }
    };
    match (limit.low, limit.high) {
        (Some(low), Some(high)) if low == -high => format!("within ±{}", number(high)),
        (Some(low), Some(high)) => format!("{} to {}", number(low), number(high)),
        (None, Some(high)) => format!("at most {}", number(high)),
        (Some(low), None) => format!("at least {}", number(low)),
        (None, None) => "without a limit".into(),
    }
}
