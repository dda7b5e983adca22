//! The heavy spot.

use super::with_unit;
use crate::{figures, plain};
use horology::balance::BalanceFacts;
use horology::poise::{
    HeavySpot, NEUTRAL_AMPLITUDE_DEG, NextMeasurement, NextReason, PoiseAnswer, PoiseFinding,
    SpringShare, WhyNot,
};
use quantities::Measured;

/// What is said of the poise of a balance.
#[derive(Debug, Clone, PartialEq)]
pub struct PoiseWords {
    /// In a line.
    pub answer: String,
    /// What speaks against taking it as it stands; empty: nothing.
    pub doubt: String,
    /// How much, and where to take it off or to put it on; empty: not known.
    pub size: String,
    /// What else belongs to it, a sentence each.
    pub details: Vec<String>,
    /// What is to be known of the balance before more can be said; empty: nothing.
    pub missing: String,
    /// The measurement that would help most.
    pub next: String,
}

/// What readings say of the poise; what is known of the balance gives the size.
#[must_use]
pub fn poise(finding: &PoiseFinding, facts: &BalanceFacts) -> PoiseWords {
    let mut details = Vec::new();
    let (mut size, mut missing) = (String::new(), String::new());
    let answer = match finding.answer {
        PoiseAnswer::Told(spot) => {
            size = how_much(&spot, facts).unwrap_or_default();
            missing = missing_for_a_mass(facts).into();
            details.push(where_it_turns());
            details.push("From the balance's side the dial's hours go counter-clockwise.".into());
            let sector = plain(spot.sector_half_angle_deg(), 0);
            format!(
                "Heavy towards {} (±{sector}° with 95 in 100), with the balance at rest.",
                hour(spot.direction_deg.value)
            )
        }
        PoiseAnswer::CannotTell { why, most_strength } => {
            details.extend(most_strength.and_then(|most| at_most(most, facts)));
            format!("Cannot be told: {}.", why_not(why))
        }
    };
    details.push(spring(finding.spring));
    let doubt = if finding.positions_disagree() { DISAGREE } else { "" };
    PoiseWords { answer, doubt: doubt.into(), size, details, missing, next: next(&finding.next) }
}

impl PoiseWords {
    /// All of it, a sentence each, what matters most first.
    #[must_use]
    pub fn sentences(self) -> Vec<String> {
        let Self { answer, doubt, size, details, missing, next } = self;
        let all = [answer, doubt, size, missing].into_iter().chain(details).chain([next]);
        all.filter(|sentence| !sentence.is_empty()).collect()
    }
}

const DISAGREE: &str = "The positions disagree with any one heavy spot by more than their \
                        uncertainties explain: a fork that rubs in one of them, friction that \
                        differs, or a reading that slipped. What is said here is widened for it.";

/// The change of sign, which rules of thumb leave out.
fn where_it_turns() -> String {
    format!(
        "Above {0}° of amplitude the position with the heavy spot below is the slow one, under {0}° the \
         fast one.",
        plain(NEUTRAL_AMPLITUDE_DEG, 0)
    )
}

/// Kilograms at a metre to milligrams at a millimetre.
const MG_MM: f64 = 1e9;

/// Where the inertia is not known the size is given for so much of it, kg m²: 10 mg cm², about that of
/// a wrist watch's balance (from memory: 2 to 20 mg cm²).
const FOR_INERTIA_KG_M2: f64 = 10.0 * 1e-10;

/// How heavy: a mass at the rim, or mass times radius, or that for some inertia.
fn how_much(spot: &HeavySpot, facts: &BalanceFacts) -> Option<String> {
    let beat = facts.beat?;
    let opposite = hour(spot.direction_deg.value + 180.0);
    let towards = hour(spot.direction_deg.value);
    let moment = facts.inertia_kg_m2.and_then(|i| spot.moment_kg_m_with_inertia(i, beat).ok());
    let Some(moment) = moment else {
        let moment = spot.moment_over_inertia_per_m(beat).scaled(FOR_INERTIA_KG_M2 * MG_MM);
        return Some(format!(
            "Mass times radius is {} for every 10\u{a0}mg\u{a0}cm² of the balance's moment of \
             inertia: too much towards {towards}, or too little towards {opposite}.",
            with_unit(moment, "mg\u{a0}mm", false)
        ));
    };
    let at_rim = facts.inertia_kg_m2.zip(facts.rim_radius_m).and_then(|(inertia, radius_m)| {
        let mass_kg = spot.mass_kg_with_inertia(inertia, beat, radius_m).ok()?;
        Some((mass_kg, radius_m))
    });
    Some(match at_rim {
        Some((mass_kg, radius_m)) => format!(
            "Take off {} at a radius of {}\u{a0}mm towards {towards}, or put as much on opposite, \
             towards {opposite}.",
            with_unit(mass_kg.scaled(1e6), "mg", false),
            figures(radius_m.value * 1e3, 3)
        ),
        None => format!(
            "Mass times radius is {}: take it off towards {towards}, or put as much on opposite, \
             towards {opposite}.",
            with_unit(moment.scaled(MG_MM), "mg\u{a0}mm", false)
        ),
    })
}

/// What a spot that cannot be told is hardly above.
fn at_most(strength: f64, facts: &BalanceFacts) -> Option<String> {
    let beat = facts.beat?;
    let exactly = |value| Measured::new(value, 0.0);
    let spot = HeavySpot { direction_deg: exactly(0.0), strength: exactly(strength) };
    let inertia = facts.inertia_kg_m2.and_then(|i| spot.moment_kg_m_with_inertia(i, beat).ok());
    let (moment, for_inertia) = match inertia {
        Some(moment) => (moment, ""),
        None => (
            spot.moment_over_inertia_per_m(beat).scaled(FOR_INERTIA_KG_M2),
            " for every 10\u{a0}mg\u{a0}cm² of the balance's moment of inertia",
        ),
    };
    Some(format!(
        "If there is one, mass times radius is hardly above {}\u{a0}mg\u{a0}mm{for_inertia}.",
        figures(moment.value * MG_MM, 2)
    ))
}

fn missing_for_a_mass(facts: &BalanceFacts) -> &'static str {
    match (facts.beat, facts.inertia_kg_m2, facts.rim_radius_m) {
        (None, _, _) => "Its beat is not known: how heavy it is takes that.",
        (_, None, None) => {
            "With the balance's moment of inertia and the radius of its rim known, that is a mass."
        }
        (_, None, Some(_)) => "With the balance's moment of inertia known, that is a mass.",
        (_, Some(_), None) => "With the radius of the balance's rim known, that is a mass.",
        (_, Some(_), Some(_)) => "",
    }
}

/// "4:30", the hour of the dial in a direction.
fn hour(direction_deg: f64) -> String {
    // Half an hour is 15 degrees.
    let halves = (direction_deg.rem_euclid(360.0) / 15.0).round() as u32 % 24;
    let hour = match halves / 2 {
        0 => 12,
        hour => hour,
    };
    format!("{hour}:{:02}", 30 * (halves % 2))
}

fn why_not(why: WhyNot) -> String {
    match why {
        WhyNot::NearNeutral { amplitude_deg } => format!(
            "at {}° a heavy spot hardly shows, and its sign turns at {}°",
            plain(amplitude_deg, 0),
            plain(NEUTRAL_AMPLITUDE_DEG, 0)
        ),
        WhyNot::AmplitudesTooAlike => {
            "the amplitudes are too alike to tell a heavy spot from the spring's own share".into()
        }
        WhyNot::LostInUncertainty => {
            "what differs between the positions is no more than their uncertainty".into()
        }
    }
}

fn spring(spring: SpringShare) -> String {
    match spring {
        SpringShare::NotSeparated { would_turn_by_deg: Some(deg) } => format!(
            "At one amplitude the hairspring's own share cannot be told apart: 7 s/d of it would turn \
             the direction by up to {}°.",
            plain(deg, 0)
        ),
        SpringShare::NotSeparated { would_turn_by_deg: None } => {
            "At one amplitude the hairspring's own share cannot be told apart.".into()
        }
        SpringShare::Separated { gain_s_per_d, fastest_uppermost_deg } => format!(
            "The hairspring's own share is {}, fastest with {} uppermost.",
            with_unit(gain_s_per_d, "s/d", false),
            hour(fastest_uppermost_deg)
        ),
    }
}

fn next(next: &NextMeasurement) -> String {
    let positions: Vec<String> = next.positions.iter().map(ToString::to_string).collect();
    let why = match next.reason {
        NextReason::OtherSideOfNeutral => "on the other side of 220° it tells the spring apart",
        NextReason::FartherFromNeutral => "farther from 220° a heavy spot shows more",
        NextReason::AnotherPosition => "one position more",
    };
    format!(
        "Would help most: {} at about {}°; {why}.",
        positions.join(", "),
        plain(next.amplitude_deg, 0)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use horology::poise::{PoiseSet, PoiseSettings, UprightReading, find_heavy_spot};
    use horology::stance::Upright;
    use quantities::BeatFrequency;

    /// Eight positions of a watch at 270 degrees whose spot lies towards 6, one of them off by so much.
    fn found(slipped_s_per_d: f64) -> PoiseFinding {
        let readings = Upright::EIGHT.map(|position| {
            let below = -((position.uppermost_deg() - 180.0).to_radians().cos());
            let slip = if position == Upright::FOUR[1] { slipped_s_per_d } else { 0.0 };
            UprightReading {
                position,
                rate_s_per_d: Measured::new(-10.0 * below + slip, 0.2),
                amplitude_deg: Measured::new(270.0, 2.0),
            }
        });
        let sets = [PoiseSet { readings: readings.to_vec() }];
        match find_heavy_spot(&sets, &PoiseSettings::default()) {
            Ok(finding) => finding,
            Err(why) => panic!("{why}"),
        }
    }

    fn facts(inertia_mg_cm2: Option<f64>, radius_mm: Option<f64>) -> BalanceFacts {
        let exactly = |value| Measured::new(value, 0.0);
        BalanceFacts {
            beat: BeatFrequency::from_per_hour(28_800.0).ok(),
            inertia_kg_m2: inertia_mg_cm2.map(|i| exactly(i * 1e-10)),
            rim_radius_m: radius_mm.map(|r| exactly(r * 1e-3)),
        }
    }

    /// By hand with scipy's -0.0598 for J1(A)/A at 270 degrees: 10 s/d are m g r/k = 1.936e-3; at
    /// 28,800, k/I is 631.65 and m r/I 0.1247 per metre; of 10 mg cm², 0.125 mg mm; at 5 mm, 0.0249 mg.
    #[test]
    fn a_mass_at_a_radius() {
        let all = poise(&found(0.0), &facts(Some(10.0), Some(5.0)));
        assert!(all.answer.starts_with("Heavy towards 6:00"), "{all:?}");
        assert!(all.size.starts_with("Take off 0.0249 ± "), "{all:?}");
        assert!(all.size.contains("at a radius of 5.00\u{a0}mm towards 6:00"), "{all:?}");
        assert!(all.size.ends_with("opposite, towards 12:00."), "{all:?}");
        assert_eq!(all.missing, "");
        let no_radius = poise(&found(0.0), &facts(Some(10.0), None));
        assert!(no_radius.size.starts_with("Mass times radius is 0.12"), "{no_radius:?}");
        assert!(no_radius.missing.contains("radius of the balance's rim"));
        let nothing = poise(&found(0.0), &facts(None, None));
        assert!(nothing.size.contains("for every 10\u{a0}mg\u{a0}cm²"), "{nothing:?}");
        assert!(nothing.missing.contains("moment of inertia"));
    }

    #[test]
    fn positions_that_disagree_are_said() {
        let disagrees = |slip| {
            poise(&found(slip), &facts(None, None)).doubt.starts_with("The positions disagree")
        };
        assert!(!disagrees(0.0));
        assert!(disagrees(15.0));
    }

    #[test]
    fn hours_of_the_dial() {
        for (deg, words) in
            [(0.0, "12:00"), (135.0, "4:30"), (352.0, "11:30"), (353.0, "12:00"), (-90.0, "9:00")]
        {
            assert_eq!(hour(deg), words, "{deg}");
        }
    }
}
