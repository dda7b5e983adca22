use super::tolerance::{Limit, LimitOf, ToleranceClass};
use crate::stance::Upright;
use quantities::SECONDS_PER_DAY;

/// Size of a movement, as ISO 3159 tells two apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MovementSize {
    /// Over 20 mm in diameter.
    Over20Mm,
    /// 20 mm in diameter or less.
    UpTo20Mm,
}

/// The seven limits of ISO 3159 for wrist chronometers (bib:cosc; which size is which by
/// bib:iso3159, reports of the 1976 text). A page that gives the stricter column to the smaller
/// movements has them the wrong way round.
#[must_use]
pub fn iso_3159(size: MovementSize) -> ToleranceClass {
    use LimitOf as Of;
    let limit = |of, low, high| Limit { of, low: Some(low), high: Some(high) };
    let (name, limits) = match size {
        MovementSize::Over20Mm => (
            "ISO 3159, movement over 20 mm",
            [
                limit(Of::MeanDailyRate, -4.0, 6.0),
                Limit::at_most(Of::MeanVariation, 2.0),
                Limit::at_most(Of::GreatestVariation, 5.0),
                limit(Of::UprightLessFlat, -6.0, 8.0),
                Limit::at_most(Of::LargestVariation, 10.0),
                Limit::within(Of::TemperatureCoefficient, 0.6),
                Limit::within(Of::RateResumption, 5.0),
            ],
        ),
        MovementSize::UpTo20Mm => (
            "ISO 3159, movement up to 20 mm",
            [
                limit(Of::MeanDailyRate, -5.0, 8.0),
                Limit::at_most(Of::MeanVariation, 3.4),
                Limit::at_most(Of::GreatestVariation, 7.0),
                limit(Of::UprightLessFlat, -8.0, 10.0),
                Limit::at_most(Of::LargestVariation, 15.0),
                Limit::within(Of::TemperatureCoefficient, 0.7),
                Limit::within(Of::RateResumption, 6.0),
            ],
        ),
    };
    ToleranceClass {
        name: name.into(),
        source: "bib:cosc, bib:iso3159".into(),
        limits: limits.into(),
    }
}

/// Spread over five positions at least: two flat and three upright, as watches are adjusted in
/// (bib:kleinlein1920, Nos. 65-66).
const FIVE_SPREAD: LimitOf = LimitOf::Spread { positions: 5 };

/// Degrees Fahrenheit in one of Celsius (definition).
const FAHRENHEIT_PER_CELSIUS: f64 = 1.8;

/// The classes that the project has a source for. `pendant_up` is the position with the pendant
/// uppermost, which some of them name: 12H, or 3H for a hunter, see [`Upright::of_pendant`].
///
/// Bounds of sources that name only a best case are not here. What a class means and how well its
/// source was seen stands in `docs/design/regulating.md`.
#[must_use]
pub fn published_classes(pendant_up: Upright) -> Vec<ToleranceClass> {
    use LimitOf as Of;
    let pendant_up = Of::SpreadWithFirstUpright(pendant_up);
    let class = |name: &str, source: &str, limits: Vec<Limit>| ToleranceClass {
        name: name.into(),
        source: source.into(),
        limits,
    };
    let graded = |flat, three, five| {
        vec![
            Limit::at_most(Of::SpreadFlat, flat),
            Limit::at_most(pendant_up, three),
            Limit::at_most(FIVE_SPREAD, five),
        ]
    };
    vec![
        iso_3159(MovementSize::Over20Mm),
        iso_3159(MovementSize::UpTo20Mm),
        class(
            "Three positions, usual (1920)",
            "bib:kleinlein1920, Nos. 65-66",
            vec![Limit::at_most(pendant_up, 7.0)],
        ),
        // 3 in the flat positions, 2 more with pendant up, 1 more with right or left.
        class(
            "Five positions, fine (1920)",
            "bib:kleinlein1920, Nos. 65-66",
            graded(3.0, 5.0, 6.0),
        ),
        class(
            "Five positions, medium high (1920)",
            "bib:kleinlein1920, Nos. 65-66",
            graded(5.0, 7.0, 10.0),
        ),
        class(
            "Five positions, lax (1920)",
            "bib:kleinlein1920, Nos. 65-66",
            vec![Limit::at_most(pendant_up, 7.0), Limit::at_most(FIVE_SPREAD, 25.0)],
        ),
        class(
            "Railway watch, 30 s a week",
            "bib:railway-standards",
            vec![Limit::within(Of::Gain { days: 7.0 }, 30.0)],
        ),
        class(
            "Observatory trial, class A (Kew)",
            "bib:kew-class-a",
            vec![
                // Periods of five days (from memory).
                Limit::at_most(Of::MeanDailyDeparture { days: 5 }, 2.0),
                Limit::at_most(FIVE_SPREAD, 5.0),
                Limit::within(Of::TemperatureCoefficient, 0.3 * FAHRENHEIT_PER_CELSIUS),
            ],
        ),
        class(
            "Geneva hallmark, one minute in seven days",
            "bib:poincon-geneve",
            vec![Limit::within(Of::Gain { days: 7.0 }, 60.0)],
        ),
        class(
            "Precision watch, five positions (guideline)",
            "bib:jendritzki-adjustment, p. 88",
            vec![
                Limit { of: Of::MeanRate { positions: 5 }, low: Some(-3.0), high: Some(12.0) },
                Limit::at_most(Of::DepartureFromMean { positions: 5 }, 22.0),
            ],
        ),
        class(
            "Ordinary wrist watch, 15 or 17 jewels (1950)",
            "bib:nbs-lc971",
            vec![Limit::at_most(FIVE_SPREAD, 60.0)],
        ),
        class(
            "Mechanical stopwatch, 0.02 per cent",
            "bib:nist-stopwatch",
            vec![Limit::within(Of::EveryRate, 0.000_2 * SECONDS_PER_DAY)],
        ),
    ]
}
