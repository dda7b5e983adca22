//! Fifteen days of ISO 3159, the seven criteria and where each stands.

use super::{sheet, with_unit};
use crate::{exact, figures};
use horology::chronometer::{Criterion, Standing};
use horology::rate_sheet::{LEFT_OVER, LimitOf};
use quantities::Measured;

/// What a day's number is, and what it is not.
pub const A_DAILY_RATE: &str = "A daily rate is the difference of the watch's state over 24 hours, taken against a time \
     reference. A reading of minutes is only a stand-in for it: its uncertainty says how well those \
     minutes are known, not how well they stand for the day.";

/// How the watch is kept.
pub const THE_PROGRAMME: &str = "For a crown at 3; wound at the start of each day, kept 12 hours at 23 °C before the first, \
     temperatures to one degree either way.";

/// What nobody here looks after.
pub const YOURS_TO_PROVIDE: &str = "The temperatures of 8, 23 and 38 °C and the test in humidity are yours to provide: nothing \
     here measures them, and none of the seven criteria speaks of humidity.";

/// What decides, and what it is worth.
pub const NOT_A_CERTIFICATE: &str =
    "Nothing is rounded: the limits are absolute. Readings at a bench are not a certificate.";

/// A criterion's letter in the standard, and what it is called.
#[must_use]
pub const fn criterion(of: LimitOf) -> (&'static str, &'static str) {
    match of {
        LimitOf::MeanDailyRate => ("M", "mean daily rate"),
        LimitOf::MeanVariation => ("V", "mean variation"),
        LimitOf::GreatestVariation => ("Vmax", "greatest variation"),
        LimitOf::UprightLessFlat => ("D", "6 up less dial up"),
        LimitOf::LargestVariation => ("P", "largest variation"),
        LimitOf::TemperatureCoefficient => ("C", "per °C"),
        LimitOf::RateResumption => ("R", "rate resumption"),
        _ => ("", ""),
    }
}

/// From which days a criterion comes; `worst` is the day of the largest variation, where it is
/// known.
#[must_use]
pub fn made_of(of: LimitOf, worst: Option<usize>) -> String {
    match of {
        LimitOf::MeanDailyRate => "days 1 to 10".into(),
        LimitOf::MeanVariation => "from day to day within a position, days 1 to 10".into(),
        LimitOf::GreatestVariation => "the greatest of these five".into(),
        LimitOf::UprightLessFlat => "days 1 and 2 less days 9 and 10".into(),
        LimitOf::LargestVariation => worst.map_or_else(
            || "of one of days 1 to 10 from their mean".into(),
            |day| format!("day {day}, from the mean of days 1 to 10"),
        ),
        LimitOf::TemperatureCoefficient => "day 13 less day 11, over 30 °C".into(),
        LimitOf::RateResumption => "day 15 less days 1 and 2".into(),
        _ => String::new(),
    }
}

/// "+2.740 s/d", "4.2 ± 0.3 s/d"; a plus only where a sign says something.
#[must_use]
pub fn found(of: LimitOf, found: Measured) -> String {
    let is_size = matches!(
        of,
        LimitOf::MeanVariation | LimitOf::GreatestVariation | LimitOf::LargestVariation
    );
    value(found, sheet::unit_of_limit(of), !is_size)
}

/// By how much it is met or not, why it cannot be told, or what it waits for.
#[must_use]
pub fn standing(criterion: &Criterion) -> String {
    let judgement = &criterion.judgement;
    let unit = sheet::unit_of_limit(judgement.limit.of);
    let by = judgement.margin.map(|margin| {
        let size = Measured::new(margin.value.abs(), margin.sd);
        // What is left of a sum of decimals is no distance.
        (size.value > LEFT_OVER).then(|| by_how_much(size, unit))
    });
    let missing = days(&criterion.missing_days);
    match (criterion.standing(), by.flatten()) {
        (Standing::Met, Some(by)) => format!("met, with {by} to spare"),
        (Standing::Met, None) => "met, at the limit itself".into(),
        (Standing::NotMet, by) => {
            let by = by.map_or_else(String::new, |by| format!(" by {by}"));
            match missing {
                None => format!("not met{by}"),
                Some(missing) => format!("not met already{by}, whatever {missing} may bring"),
            }
        }
        (Standing::CannotTell, _) => "cannot be told: the limit lies within the uncertainty".into(),
        (Standing::NotYet, _) => {
            let are = if criterion.missing_days.len() == 1 { "is" } else { "are" };
            format!("not yet: {} {are} missing", missing.unwrap_or_default())
        }
    }
}

/// Where the whole trial stands.
#[must_use]
pub fn trial(criteria: &[Criterion]) -> String {
    let many = |wanted| criteria.iter().filter(|one| one.standing() == wanted).count();
    let (met, not_met) = (many(Standing::Met), many(Standing::NotMet));
    let (unsure, not_yet) = (many(Standing::CannotTell), many(Standing::NotYet));
    if !criteria.is_empty() && met == criteria.len() {
        return "All seven criteria are met.".into();
    }
    let counts: Vec<String> =
        [(met, "met"), (not_met, "not met"), (unsure, "cannot be told"), (not_yet, "not yet")]
            .into_iter()
            .filter(|(many, _)| *many > 0)
            .map(|(many, words)| format!("{many} {words}"))
            .collect();
    let lead = match (not_met, not_yet) {
        (0, 0) => "Cannot be told",
        (0, _) => "So far",
        _ => "Not within the limits",
    };
    format!("{lead}: {}.", counts.join(", "))
}

/// "mean of 2 readings, +2.1 ± 0.2 s/d (± 0.5 with the recorder's clock)"
#[must_use]
pub fn of_readings(count: u32, rate: Measured, clock_sd_s_per_d: f64) -> String {
    let whose = if count == 1 { "1 reading".into() } else { format!("mean of {count} readings") };
    let told = with_unit(rate, "s/d", true);
    if clock_sd_s_per_d == 0.0 {
        return format!("{whose}, {told}");
    }
    let sd = crate::uncertainty(rate.with_added_sd(clock_sd_s_per_d).sd);
    format!("{whose}, {told} (±\u{a0}{sd} with the recorder's clock)")
}

/// With its uncertainty, or with four figures where it has none.
fn value(measured: Measured, unit: &str, with_sign: bool) -> String {
    if measured.sd == 0.0 {
        return format!("{}\u{a0}{unit}", exact(measured.value, with_sign));
    }
    with_unit(measured, unit, with_sign)
}

/// A distance from a limit: two figures of an exact one say enough.
fn by_how_much(size: Measured, unit: &str) -> String {
    if size.sd == 0.0 {
        return format!("{}\u{a0}{unit}", figures(size.value, 2));
    }
    with_unit(size, unit, false)
}

/// "day 15", "days 1, 2 and 5 to 10"; nothing for none.
fn days(days: &[usize]) -> Option<String> {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for &day in days {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == day => *last = day,
            _ => runs.push((day, day)),
        }
    }
    let pieces: Vec<String> = runs
        .into_iter()
        .flat_map(|(first, last)| match last - first {
            0 => vec![first.to_string()],
            // Of two, "1 to 2" is no shorter.
            1 => vec![first.to_string(), last.to_string()],
            _ => vec![format!("{first} to {last}")],
        })
        .collect();
    let (last, before) = pieces.split_last()?;
    if days.len() == 1 {
        return Some(format!("day {last}"));
    }
    if before.is_empty() {
        return Some(format!("days {last}"));
    }
    Some(format!("days {} and {last}", before.join(", ")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use horology::chronometer::so_far;
    use horology::rate_sheet::MovementSize;

    /// As in the core: invented rates, results computed with Python outside this project.
    const RATES: [f64; 15] =
        [3.0, 2.5, 1.5, 2.5, -1.0, 1.0, 4.0, 4.2, 5.5, 4.2, 8.5, 5.0, -3.5, 3.0, 4.0];

    fn told(rates: &[f64], sd: f64) -> (Vec<String>, String) {
        let days = std::array::from_fn(|i| rates.get(i).map(|rate| Measured::new(*rate, sd)));
        let (criteria, _) = so_far(&days, 0.0, MovementSize::Over20Mm).unwrap();
        let plain = |words: String| words.replace('\u{a0}', " ");
        (criteria.iter().map(|c| plain(standing(c))).collect(), trial(&criteria))
    }

    /// Distances by hand from the limits of bib:cosc.
    #[test]
    fn each_criterion_says_where_it_stands() {
        let (all, sum) = told(&RATES, 0.0);
        assert_eq!(
            all,
            [
                "met, with 3.3 s/d to spare",
                "met, with 1.0 s/d to spare",
                "met, with 3.0 s/d to spare",
                "met, with 3.9 s/d to spare",
                "met, with 6.3 s/d to spare",
                "met, with 0.20 s/d per °C to spare",
                "met, with 3.8 s/d to spare",
            ]
        );
        assert_eq!(sum, "All seven criteria are met.");
        let (half, sum) = told(&RATES[..2], 0.0);
        assert_eq!(half[0], "not yet: days 3 to 10 are missing");
        assert_eq!(half[3], "not yet: days 9 and 10 are missing");
        assert_eq!(half[6], "not yet: day 15 is missing");
        assert_eq!(sum, "So far: 7 not yet.");
    }

    #[test]
    fn what_is_beyond_mending_says_so() {
        let (all, sum) = told(&[0.0, 6.0], 0.0);
        assert_eq!(all[2], "not met already by 1.0 s/d, whatever days 3 to 10 may bring");
        assert_eq!(sum, "Not within the limits: 1 not met, 6 not yet.");
        let (all, sum) = told(&[6.5; 15], 0.0);
        assert_eq!(all[0], "not met by 0.50 s/d");
        assert_eq!(sum, "Not within the limits: 6 met, 1 not met.");
    }

    #[test]
    fn nothing_is_told_sharper_than_it_is_known() {
        let (all, sum) = told(&[6.0; 15], 0.3);
        assert_eq!(all[0], "cannot be told: the limit lies within the uncertainty");
        assert!(sum.starts_with("Cannot be told: "), "{sum}");
        let (all, _) = told(&[6.0; 15], 0.0);
        assert_eq!(all[0], "met, at the limit itself");
    }

    #[test]
    fn readings_say_what_their_clock_adds() {
        let words = |count, clock| {
            of_readings(count, Measured::new(2.1, 0.3), clock).replace('\u{a0}', " ")
        };
        assert_eq!(words(1, 0.0), "1 reading, +2.10 ± 0.30 s/d");
        assert_eq!(
            words(2, 0.4),
            "mean of 2 readings, +2.10 ± 0.30 s/d (± 0.5 with the recorder's clock)"
        );
    }

    #[test]
    fn days_are_named_shortly() {
        assert_eq!(days(&[]), None);
        assert_eq!(days(&[1, 2, 15]).as_deref(), Some("days 1, 2 and 15"));
        assert_eq!(days(&[1, 2, 5, 6, 7, 8]).as_deref(), Some("days 1, 2 and 5 to 8"));
        assert_eq!(days(&[3, 4, 5]).as_deref(), Some("days 3 to 5"));
        assert_eq!(days(&[15]).as_deref(), Some("day 15"));
        assert_eq!(days(&[9, 10]).as_deref(), Some("days 9 and 10"));
    }
}
