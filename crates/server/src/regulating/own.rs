//! What the workshop has set for itself: its classes of tolerance, and how watches are worn.

use crate::convert::position_from;
use crate::wire::{OwnClass, Settings};
use horology::on_the_wrist::{Hours, WearingPattern};
use horology::rate_sheet::{Limit, LimitOf, ToleranceClass};

/// Who says so.
const OWN: &str = "the workshop's own";

/// Most classes that a workshop has of its own; our own choice.
const MOST_CLASSES: usize = 20;

/// The workshop's tolerance and its own classes.
///
/// # Errors
///
/// A sentence about the first that cannot be.
pub(crate) fn own_classes(settings: &Settings) -> Result<Vec<ToleranceClass>, String> {
    if settings.classes.len() > MOST_CLASSES {
        return Err(format!("A workshop has at most {MOST_CLASSES} classes of its own."));
    }
    let Settings { tolerance_from_s_per_d: from, tolerance_to_s_per_d: to, .. } = *settings;
    let tolerance = ToleranceClass {
        name: "The workshop's tolerance".into(),
        source: OWN.into(),
        limits: vec![Limit { of: LimitOf::EveryRate, low: Some(from), high: Some(to) }],
    };
    let own = settings.classes.iter().map(class);
    std::iter::once(Ok(tolerance)).chain(own).collect()
}

fn class(own: &OwnClass) -> Result<ToleranceClass, String> {
    let name = own.name.trim().to_owned();
    if name.is_empty() || name.chars().count() > 100 {
        return Err("A class of tolerance has a name of up to 100 characters.".into());
    }
    if !(1..=6).contains(&own.positions) {
        return Err(format!("“{name}” is judged by 1 to 6 positions."));
    }
    let positions = own.positions as usize;
    let between = |of, low: Option<f64>, high: Option<f64>| {
        (low.is_some() || high.is_some()).then_some(Limit { of, low, high })
    };
    let most = |of, high: Option<f64>| high.map(|high| Limit { of, low: None, high: Some(high) });
    let limits: Vec<Limit> = [
        between(LimitOf::MeanRate { positions }, own.mean_from_s_per_d, own.mean_to_s_per_d),
        between(LimitOf::EveryRate, own.every_from_s_per_d, own.every_to_s_per_d),
        most(LimitOf::Spread { positions }, own.spread_s_per_d),
        most(LimitOf::SpreadFlat, own.flat_spread_s_per_d),
        most(LimitOf::DepartureFromMean { positions }, own.departure_s_per_d),
    ]
    .into_iter()
    .flatten()
    .collect();
    if limits.is_empty() {
        return Err(format!("The class “{name}” has no limit: give it one at least."));
    }
    for Limit { of, low, high } in &limits {
        let is_far = |value: &Option<f64>| {
            value.is_some_and(|value| value.is_nan() || value.abs() > 1_000.0)
        };
        if is_far(low) || is_far(high) {
            return Err(format!("In “{name}”, the {of} has a limit within ±1,000 s/d."));
        }
        if let (Some(low), Some(high)) = (low, high)
            && low >= high
        {
            return Err(format!("In “{name}”, the {of} goes from a lower to a higher number."));
        }
    }
    Ok(ToleranceClass { name, source: OWN.into(), limits })
}

/// How watches are worn, where the workshop says so.
///
/// # Errors
///
/// A sentence about hours that cannot be.
pub(crate) fn wearing(settings: &Settings) -> Result<Option<WearingPattern>, String> {
    if settings.wearing.is_empty() {
        return Ok(None);
    }
    let a_day = 0.0..=24.0;
    let mut hours: Vec<Hours> = Vec::new();
    for given in &settings.wearing {
        let stance = position_from(given.position).into();
        if !(a_day.contains(&given.mean_h) && a_day.contains(&given.day_to_day_sd_h)) {
            return Err(format!("Hours in {stance} are between 0 and 24."));
        }
        if hours.iter().any(|other| other.stance == stance) {
            return Err(format!("{stance} has hours twice; please keep one of them."));
        }
        let (mean_h, day_to_day_sd_h) = (given.mean_h, given.day_to_day_sd_h);
        hours.push(Hours { stance, mean_h, day_to_day_sd_h });
    }
    if hours.iter().all(|hours| hours.mean_h == 0.0) {
        return Err(
            "A watch lies or is worn somewhere: give hours to one position at least.".into()
        );
    }
    Ok(Some(WearingPattern { hours }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wire::{Position, WearingHours};

    fn settings() -> Settings {
        serde_json::from_str(
            r#"{"tolerance_from_s_per_d":-4,"tolerance_to_s_per_d":6,"lift_angle_deg":52,
                "currency":"EUR","reading_s":30}"#,
        )
        .unwrap()
    }

    fn own(name: &str) -> OwnClass {
        OwnClass {
            name: name.into(),
            positions: 5,
            mean_from_s_per_d: None,
            mean_to_s_per_d: None,
            every_from_s_per_d: None,
            every_to_s_per_d: None,
            spread_s_per_d: None,
            flat_spread_s_per_d: None,
            departure_s_per_d: None,
        }
    }

    /// Settings that were kept before there were own classes have none, and are near enough at 2.
    #[test]
    fn settings_of_before_are_read() {
        let settings = settings();
        assert_eq!((settings.near_s_per_d, settings.classes.len()), (2.0, 0));
        let classes = own_classes(&settings).unwrap();
        assert_eq!(classes.len(), 1);
        assert_eq!((classes[0].limits[0].low, classes[0].limits[0].high), (Some(-4.0), Some(6.0)));
        assert_eq!(wearing(&settings).unwrap(), None);
    }

    #[test]
    fn a_class_says_what_is_wrong_with_it() {
        let refused = |class: OwnClass| {
            own_classes(&Settings { classes: vec![class], ..settings() }).unwrap_err()
        };
        assert_eq!(refused(own(" ")), "A class of tolerance has a name of up to 100 characters.");
        assert!(refused(own("house")).contains("has no limit"));
        let turned =
            OwnClass { mean_from_s_per_d: Some(6.0), mean_to_s_per_d: Some(-4.0), ..own("house") };
        assert_eq!(
            refused(turned),
            "In “house”, the mean rate of the positions goes from a lower to a higher number."
        );
        assert!(refused(OwnClass { spread_s_per_d: Some(1e9), ..own("house") }).contains("1,000"));
        let fine = OwnClass { spread_s_per_d: Some(8.0), ..own("house") };
        assert_eq!(own_classes(&Settings { classes: vec![fine], ..settings() }).unwrap().len(), 2);
    }

    #[test]
    fn hours_that_cannot_be_are_refused() {
        let of = |position, mean_h| WearingHours { position, mean_h, day_to_day_sd_h: 1.0 };
        let worn = |hours| wearing(&Settings { wearing: hours, ..settings() });
        assert!(worn(vec![of(Position::DialUp, 25.0)]).unwrap_err().contains("between 0 and 24"));
        assert!(worn(vec![of(Position::DialUp, 0.0)]).unwrap_err().contains("somewhere"));
        let twice = vec![of(Position::Up6, 8.0), of(Position::Up6, 8.0)];
        assert!(worn(twice).unwrap_err().starts_with("6H has hours twice"));
        let day = vec![of(Position::DialUp, 8.0), of(Position::Up3, 16.0)];
        assert_eq!(worn(day).unwrap().unwrap().hours.len(), 2);
    }
}
