//! The heavy spot.

use super::with_unit;
use crate::{figures, plain};
use horology::poise::{
    HeavySpot, NEUTRAL_AMPLITUDE_DEG, NextMeasurement, NextReason, PoiseAnswer, PoiseFinding,
    SpringShare, WhyNot,
};
use quantities::{BeatFrequency, Measured};

/// What is said of the poise of a balance.
#[derive(Debug, Clone, PartialEq)]
pub struct PoiseWords {
    /// In a line.
    pub answer: String,
    /// What belongs to it, a sentence each.
    pub details: Vec<String>,
    /// The measurement that would help most.
    pub next: String,
}

/// What readings say of the poise. `beat` gives the size, where it is known.
#[must_use]
pub fn poise(finding: &PoiseFinding, beat: Option<BeatFrequency>) -> PoiseWords {
    let mut details = Vec::new();
    let answer = match finding.answer {
        PoiseAnswer::Told(spot) => {
            details.extend(size(&spot, beat));
            details.push("From the balance's side the dial's hours go counter-clockwise.".into());
            let sector = plain(spot.sector_half_angle_deg(), 0);
            format!(
                "Heavy towards {} (±{sector}° with 95 in 100), with the balance at rest.",
                hour(spot.direction_deg.value)
            )
        }
        PoiseAnswer::CannotTell { why, most_strength } => {
            if let (Some(most), Some(beat)) = (most_strength, beat) {
                let spot = Measured::new(most, 0.0);
                let spot = HeavySpot { direction_deg: Measured::new(0.0, 0.0), strength: spot };
                let per_mm = spot.moment_over_inertia_per_m(beat).value * 1e-3;
                details.push(format!(
                    "If there is one, m r / I is hardly above {} per mm.",
                    figures(per_mm, 2)
                ));
            }
            format!("Cannot be told: {}.", why_not(why))
        }
    };
    details.push(spring(finding.spring));
    PoiseWords { answer, details, next: next(&finding.next) }
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

fn size(spot: &HeavySpot, beat: Option<BeatFrequency>) -> Option<String> {
    let ratio = spot.moment_over_inertia_per_m(beat?).scaled(1e-3);
    Some(format!(
        "m r / I = {}. With the balance's moment of inertia known, that is a mass at a radius: \
         take it off there, or put as much on opposite.",
        with_unit(ratio, "per mm", false)
    ))
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

    #[test]
    fn hours_of_the_dial() {
        for (deg, words) in
            [(0.0, "12:00"), (135.0, "4:30"), (352.0, "11:30"), (353.0, "12:00"), (-90.0, "9:00")]
        {
            assert_eq!(hour(deg), words, "{deg}");
        }
    }
}
