//! The next move of the hand.

use super::with_unit;
use crate::figures;
use horology::regulator::{Advice, Means, NextMove, PriorSource, RestsOn, StudTurn};
use quantities::Measured;

/// What to do, and why: a line and the sentences under it.
#[must_use]
pub fn move_now(advice: &Advice) -> (String, Vec<String>) {
    match advice {
        Advice::Leave { off_s_per_d } => {
            let off = with_unit(*off_s_per_d, "s/d", true);
            ("Leave it.".into(), vec![format!("It is {off} from the target.")])
        }
        Advice::ReadLonger { off_s_per_d, wanted_sd_s_per_d } => {
            let off = with_unit(*off_s_per_d, "s/d", true);
            let wanted = figures(*wanted_sd_s_per_d, 2);
            (
                "Read it longer before it is touched.".into(),
                vec![format!(
                    "It is {off} from the target; an uncertainty of {wanted} s/d would settle it."
                )],
            )
        }
        Advice::Move(next) => (headline(next), reasons(next)),
        Advice::OutOfReach { as_far_as_it_goes, missing_s_per_d } => {
            let missing = with_unit(*missing_s_per_d, "s/d", true);
            let mut reasons = reasons(as_far_as_it_goes);
            reasons.push(format!(
                "That is as far as it goes: {missing} is then still missing, for another means."
            ));
            (headline(as_far_as_it_goes), reasons)
        }
    }
}

fn unit(means: Means) -> &'static str {
    match means {
        Means::Index => "°",
        Means::TimingScrews => " turns",
        Means::Mass => " mg",
    }
}

fn headline(next: &NextMove) -> String {
    let size = figures(next.amount.abs(), 2);
    let (unit, way) = (unit(next.means), next.means.direction(next.is_faster()));
    match next.means {
        Means::Index => format!("Turn the index {size}{unit} {way}."),
        Means::TimingScrews => format!("Turn each timing screw of a pair {size}{unit} {way}."),
        Means::Mass if next.is_faster() => format!("Take {size}{unit} off the balance."),
        Means::Mass => format!("Put {size}{unit} on the balance."),
    }
}

fn reasons(next: &NextMove) -> Vec<String> {
    let expected = with_unit(next.expected_s_per_d, "s/d", true);
    let mut all = vec![format!("Expected after it: {expected}.")];
    let per_unit = with_unit(next.effect.per_unit_s_per_d, "s/d", false);
    let one = match next.means {
        Means::Index => "A degree",
        Means::TimingScrews => "A turn",
        Means::Mass => "A milligram",
    };
    all.push(match next.effect.rests_on {
        RestsOn::PriorAlone(PriorSource::Experience) => format!(
            "{one} does {per_unit}: a guess from experience, not measured on this watch. Read it \
             again after the move; the next one is surer."
        ),
        RestsOn::PriorAlone(PriorSource::EarlierVisit) => {
            format!("{one} does {per_unit}, by moves at an earlier visit.")
        }
        RestsOn::PriorAlone(PriorSource::Computed) => {
            format!(
                "{one} does {per_unit}: computed from the balance's inertia and the radius of its rim, \
                 not measured on this watch. Read it again after the move."
            )
        }
        RestsOn::Moves(1) => format!("{one} does {per_unit}, by the last move of this balance."),
        RestsOn::Moves(many) => format!("{one} does {per_unit}, by {many} moves of this balance."),
    });
    if !next.effect.odd_moves.is_empty() {
        let which: Vec<String> =
            next.effect.odd_moves.iter().map(|n| (n + 1).to_string()).collect();
        all.push(format!(
            "Move {} does not fit the others and was given little weight: a slip, another position, \
             or the wrong way?",
            which.join(", ")
        ));
    }
    all
}

/// How to turn the stud for no beat error; `None` where that is within its uncertainty already.
#[must_use]
pub fn stud_now(turn: &StudTurn) -> Option<(String, String)> {
    // Less than two standard deviations: nothing to turn by.
    let seen = |deg: &Measured| deg.value.abs() > 2.0 * deg.sd && deg.value.abs() >= 0.05;
    match turn {
        StudTurn::Known { deg } if seen(deg) => {
            let way = if deg.value > 0.0 { "clockwise" } else { "counter-clockwise" };
            let size = Measured::new(deg.value.abs(), deg.sd);
            Some((
                format!("Turn the stud {} {way}, seen from the balance's side.", with_unit(size, "°", false)),
                "The turns made so far say which way.".into(),
            ))
        }
        StudTurn::EitherWay { deg } if seen(deg) => Some((
            format!("Turn the stud {}, either way.", with_unit(*deg, "°", false)),
            "The sound does not say on which side rest lies. Where the beat error grows, turn it back \
             twice as far."
                .into(),
        )),
        StudTurn::Known { .. } | StudTurn::EitherWay { .. } => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use horology::regulator::{Prior, Reach, Target, next_move};

    #[test]
    fn a_first_move_says_that_it_is_a_guess() {
        let target = Target { s_per_d: 3.0, tolerance_s_per_d: 1.0 };
        let now = Measured::new(-37.0, 0.3);
        let prior = Prior::INDEX_DEGREE;
        let advice = next_move(target, now, Means::Index, &prior, &[], Reach::UNKNOWN);
        let (line, reasons) = move_now(&advice.unwrap_or(Advice::Leave { off_s_per_d: now }));
        assert!(line.starts_with("Turn the index ") && line.ends_with("° towards +."), "{line}");
        assert!(reasons[1].contains("a guess from experience"), "{reasons:?}");
    }

    #[test]
    fn a_beat_error_within_its_uncertainty_turns_nothing() {
        assert_eq!(stud_now(&StudTurn::EitherWay { deg: Measured::new(0.1, 0.1) }), None);
        let (line, _) =
            stud_now(&StudTurn::Known { deg: Measured::new(-1.2, 0.1) }).unwrap_or_default();
        assert_eq!(
            line,
            "Turn the stud 1.20 ± 0.10° counter-clockwise, seen from the balance's side."
        );
    }
}
