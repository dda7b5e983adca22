//! What readings hint at.

use super::with_unit;
use crate::{figures, plain};
use horology::findings::{Evidence, Sign};

/// What is to be seen, as a line.
#[must_use]
pub fn sign(sign: Sign) -> &'static str {
    match sign {
        Sign::Knocking => "It may be knocking",
        Sign::OutOfBeat => "It is out of beat",
        Sign::WeakMotion => "The motion is weak",
        Sign::FadingWithWind => "The motion fades as the spring runs down",
        Sign::PeriodicFault => "Something comes back with the turn of a wheel",
        Sign::LargeOrErratic => "The rate is far off or erratic",
        Sign::FallToUpright => "The motion falls much from flat to upright",
        Sign::NoFallToUpright => "The motion is no better flat than upright",
        Sign::FlatShorterIsFaster => {
            "Dial up and dial down differ; the shorter motion is the faster"
        }
        Sign::FlatShorterIsSlower => {
            "Dial up and dial down differ; the shorter motion is the slower"
        }
        Sign::FlatDiffer => "Dial up and dial down differ",
        Sign::UprightFast => "It is faster upright than flat",
        Sign::UprightSlow => "It is slower upright than flat",
        Sign::OneUprightOut => "One upright position stands out",
        Sign::LosingMoreWithTime => "It loses more from visit to visit",
        Sign::HandsAgainstBalance => "The hands go another way than the balance",
        Sign::SlowInUse => "On the wrist it is slower than its sheet",
    }
}

/// "amplitude, 6H, fully wound: 180 ± 2°, against 200"
#[must_use]
pub fn evidence(evidence: &Evidence) -> String {
    let Evidence { what, place, measured, unit, limit, beyond_uncertainty } = evidence;
    let mut words = (*what).to_owned();
    if let Some(place) = place {
        if let Some(stance) = place.stance {
            words += &format!(", {stance}");
        }
        // A state that says no hours stands beyond a year, and has no words here.
        if place.wind.hours() < 10_000.0 && place.wind.minutes_since_wound < 366 * 24 * 60 {
            words += &format!(", {}", place.wind);
        }
    }
    let unit = if *unit == "degrees" { "°" } else { unit };
    let size = match (measured.sd > 0.0, unit) {
        (true, _) => with_unit(*measured, unit, false),
        (false, "°") => format!("{}°", figures(measured.value, 2)),
        (false, _) => format!("{}\u{a0}{unit}", figures(measured.value, 2)),
    };
    words += &format!(": {size}");
    // What is held against nought is there at all.
    if *limit != 0.0 {
        let limit = if limit.fract() == 0.0 { plain(*limit, 0) } else { figures(*limit, 2) };
        words += &format!(", against {limit}");
    }
    if !beyond_uncertainty {
        words += " (within its uncertainty)";
    }
    words
}
