//! A long reading as the mainspring runs down.

use super::{rate, with_unit};
use crate::plain;
use horology::isochronism::{LEAST_FALL_DEG, OverWind};

/// What a long reading shows of a balance, a sentence each. `wound_h`: hours since full winding at its
/// beginning, where that was told; `stopped_h`: hours from there to where the balance stopped.
#[must_use]
pub fn over_wind(
    seen: Option<&OverWind>,
    wound_h: Option<f64>,
    stopped_h: Option<f64>,
) -> Vec<String> {
    let mut all = Vec::new();
    match seen {
        Some(seen) => all.extend(course(seen)),
        None => all.push(
            "Too little of it has both a rate and an amplitude: no course can be given.".into(),
        ),
    }
    all.extend(stopped_h.map(|stopped| match wound_h {
        Some(wound) => format!("It stopped {} after full winding.", hours(wound + stopped)),
        None => format!(
            "It stopped {} after this reading began. How long after winding that is was not told.",
            hours(stopped)
        ),
    }));
    all
}

fn course(seen: &OverWind) -> Vec<String> {
    let [first, last] = seen.amplitude_deg;
    let [early, late] = seen.rate_s_per_d;
    let mut all = vec![format!(
        "In {} its amplitude went from {} to {}, its rate from {} to {}.",
        hours(seen.hours),
        with_unit(first, "°", false),
        with_unit(last, "°", false),
        rate(early),
        rate(late)
    )];
    all.push(match seen.s_per_d_per_deg {
        Some(slope) => {
            let course = match slope.value {
                // 95 in 100.
                value if value > 1.96 * slope.sd => "It loses as the amplitude falls",
                value if value < -1.96 * slope.sd => "It gains as the amplitude falls",
                _ => "Its rate does not go with the amplitude beyond the uncertainty",
            };
            format!("{course}: {} for each degree more.", with_unit(slope, "s/d", true))
        }
        None => format!(
            "The amplitude changed by less than {}°: what the rate does with it cannot be told.",
            plain(LEAST_FALL_DEG, 0)
        ),
    });
    all
}

fn hours(hours: f64) -> String {
    format!("{}\u{a0}h", plain(hours, 1))
}

/// That the watch stopped in a reading, and what that says of its running time.
#[must_use]
pub fn stopped_in(wind: &str, at_most_h: Option<f64>) -> String {
    match at_most_h {
        Some(most) => format!(
            "In the reading “{wind}” the watch stopped: it runs for {} at most.",
            hours(most)
        ),
        None => format!("In the reading “{wind}” the watch stopped."),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantities::Measured;

    #[test]
    fn a_long_reading_in_words() {
        let seen = OverWind {
            hours: 30.0,
            amplitude_deg: [Measured::new(287.5, 0.4), Measured::new(232.5, 0.4)],
            rate_s_per_d: [Measured::new(3.5, 0.1), Measured::new(-7.5, 0.1)],
            s_per_d_per_deg: Some(Measured::new(0.2, 0.002)),
        };
        let words = over_wind(Some(&seen), Some(2.0), Some(35.5));
        assert!(words[0].starts_with("In 30.0\u{a0}h its amplitude went from 287.5"), "{words:?}");
        assert!(words[1].starts_with("It loses as the amplitude falls: +0.2"), "{words:?}");
        assert_eq!(words[2], "It stopped 37.5\u{a0}h after full winding.");
        let flat = over_wind(Some(&OverWind { s_per_d_per_deg: None, ..seen }), None, Some(1.0));
        assert!(flat[1].contains("less than 10°"), "{flat:?}");
        assert!(flat[2].contains("was not told"), "{flat:?}");
        assert_eq!(over_wind(None, None, None).len(), 1);
    }
}
