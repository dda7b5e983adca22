//! How a rate goes with the state of wind.

use super::with_unit;
use horology::isochronism::{Course, IsochronismCause, Observation, PairCourse};

/// What may be behind it.
#[must_use]
pub fn isochronism_cause(cause: IsochronismCause) -> &'static str {
    match cause {
        IsochronismCause::Escapement => "The escapement itself, unlocking and impulse",
        IsochronismCause::PinsOpen => "The regulator pins stand too far apart",
        IsochronismCause::SpringOnAPin => "The hairspring lies on a regulator pin",
        IsochronismCause::PinningPoint => "Where the hairspring is pinned to the collet",
        IsochronismCause::Poise => "A heavy spot on the balance",
        IsochronismCause::RimsOpening => "Rims of a cut balance that open in long arcs",
    }
}

/// What is seen, a sentence each. Changes per hour only where every state of wind says its hours.
#[must_use]
pub fn isochronism(seen: &Observation, hours_are_told: bool) -> Vec<String> {
    let course = |where_: &str, course: Course, slope| {
        let slope = with_unit(slope, "s/d", true);
        match course {
            Course::GainsInShortArcs => {
                format!("{where_} it gains as the amplitude falls: {slope} for each degree more.")
            }
            Course::LosesInShortArcs => {
                format!("{where_} it loses as the amplitude falls: {slope} for each degree more.")
            }
            Course::NotSeen => {
                format!(
                    "{where_} its rate does not change with the amplitude beyond the uncertainty."
                )
            }
        }
    };
    let mut all = Vec::new();
    all.extend(seen.flat_s_per_d_per_deg.map(|slope| course("Flat,", seen.flat(), slope)));
    all.extend(seen.upright_s_per_d_per_deg.map(|slope| course("Upright,", seen.upright(), slope)));
    for pair in &seen.pairs {
        let other = (pair.first.uppermost_deg() as u16 + 180) % 360;
        let other = horology::stance::Upright::from_uppermost_deg(other);
        let words = match pair.course {
            PairCourse::Reverses => "change places, the faster becomes the slower",
            PairCourse::Stays => "keep their order",
            PairCourse::NotSeen => continue,
        };
        all.push(format!("{} and {other} {words} from long to short arcs.", pair.first));
    }
    if hours_are_told {
        all.extend(seen.rate_s_per_d_per_h.map(|slope| {
            format!("Its rate changes by {} in an hour.", with_unit(slope, "s/d", true))
        }));
        all.extend(seen.amplitude_deg_per_h.map(|slope| {
            format!("Its amplitude changes by {} in an hour.", with_unit(slope, "°", true))
        }));
    }
    all
}
