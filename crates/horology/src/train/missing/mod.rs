//! Missing wheels and pinions: which whole numbers of teeth make a train right, and how wrong the
//! nearest others would be.

mod condition;
mod refused;

pub use refused::Refused;

use super::{Impossible, Movement, ToothedAt};
use condition::Condition;
use quantities::{Rate, SECONDS_PER_DAY};
use std::ops::RangeInclusive;

/// Teeth that a lost wheel is looked for with, where the user names no others (common practice, no
/// published source; the trains of bib:goodrich1905, chapter XIV, have 35 to 132).
pub const USUAL_TEETH: RangeInclusive<u32> = 20..=150;

/// Leaves that a lost pinion is looked for with, where the user names no others (common practice, no
/// published source; the trains of the same table have 6 to 16).
pub const USUAL_LEAVES: RangeInclusive<u32> = 6..=20;

/// Most teeth that are looked for.
pub const MOST_SOUGHT: u32 = 1_000;

/// Largest error that an answer may be asked to have, s/d: a tenth, beyond which it is no answer.
pub const MOST_WITHIN_S_PER_D: f64 = SECONDS_PER_DAY / 10.0;

/// So many are given where none is good enough.
const NEAREST: usize = 3;

/// A wheel or pinion whose teeth are not known.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unknown {
    /// Which.
    pub at: ToothedAt,
    /// Numbers of teeth that it may have, from 1 to [`MOST_SOUGHT`].
    pub teeth: RangeInclusive<u32>,
}

/// What is looked for, and how good it must be.
#[derive(Debug, Clone, PartialEq)]
pub struct Wanted {
    /// One or two that are not known.
    pub unknowns: Vec<Unknown>,
    /// Answers with a larger error than this are left out, s/d; 0 to [`MOST_WITHIN_S_PER_D`].
    pub within_s_per_d: f64,
}

/// Numbers of teeth and what they do.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// Teeth, in the order of the unknowns.
    pub teeth: Vec<u32>,
    /// What each thing that ought to be right would gain, in the order of [`Answers::judged_by`].
    pub rates: Vec<Rate>,
}

impl Answer {
    /// The worst of its rates: the one farthest from zero.
    #[must_use]
    pub fn worst(&self) -> Rate {
        let size = |rate: &Rate| rate.s_per_d().abs();
        let worst = self.rates.iter().max_by(|one, other| size(one).total_cmp(&size(other)));
        worst.copied().unwrap_or(Rate::from_s_per_d(0.0))
    }
}

/// What was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Answers {
    /// What sets the speed, in words: `balance A at 18000 beats an hour`.
    pub from: String,
    /// What ought to be right, in words: `the minute hand`.
    pub judged_by: Vec<String>,
    /// All that are good enough, the best first; of equals, two wheels (or two pinions) most alike
    /// come first, else the fewest teeth.
    pub good: Vec<Answer>,
    /// Where none is good enough, the nearest.
    pub nearest: Vec<Answer>,
}

/// Finds every whole-number answer.
///
/// What is known of the train (the balance's beat, the time of a turn, what its hands show) sets the
/// speed; whatever else depends on the unknown teeth is what they are judged by. With the speed set
/// by the balance a hand gains where too few teeth stand between it and the balance. The teeth in the
/// movement at the places of the unknowns do not matter.
///
/// # Errors
/// [`Refused`] where there is nothing to look for, or nothing depends on it.
pub fn missing_teeth(movement: &Movement, wanted: &Wanted) -> Result<Answers, Refused> {
    check(wanted)?;
    let (from, conditions) = condition::conditions(movement, &wanted.unknowns)?;
    let mut all = Vec::new();
    match &wanted.unknowns[..] {
        [one] => {
            for teeth in candidates(&conditions, 0, [1, 1], one, wanted.within_s_per_d)? {
                all.push(answer(&conditions, &[teeth])?);
            }
        }
        [one, other] => {
            for first in one.teeth.clone() {
                let within = wanted.within_s_per_d;
                for second in candidates(&conditions, 1, [first, 1], other, within)? {
                    all.push(answer(&conditions, &[first, second])?);
                }
            }
        }
        _ => return Err(Refused::HowMany { unknowns: wanted.unknowns.len() }),
    }
    let alike = conditions.iter().all(|condition| condition.alike());
    all.sort_by(|a, b| order(alike, a, b));
    let good_enough = |answer: &Answer| answer.worst().s_per_d().abs() <= wanted.within_s_per_d;
    let good: Vec<Answer> = all.iter().filter(|answer| good_enough(answer)).cloned().collect();
    all.truncate(if good.is_empty() { NEAREST } else { 0 });
    let judged_by = conditions.into_iter().map(|condition| condition.words).collect();
    Ok(Answers { from, judged_by, good, nearest: all })
}

fn check(wanted: &Wanted) -> Result<(), Refused> {
    if wanted.unknowns.is_empty() || wanted.unknowns.len() > 2 {
        return Err(Refused::HowMany { unknowns: wanted.unknowns.len() });
    }
    for unknown in &wanted.unknowns {
        let (least, most) = (*unknown.teeth.start(), *unknown.teeth.end());
        if least == 0 || least > most || most > MOST_SOUGHT {
            return Err(Refused::Range { least, most });
        }
    }
    match &wanted.unknowns[..] {
        [one, other] if one.at == other.at => return Err(Refused::SameTwice),
        _ => {}
    }
    if !(0.0..=MOST_WITHIN_S_PER_D).contains(&wanted.within_s_per_d) {
        return Err(Refused::Within { given_s_per_d: wanted.within_s_per_d });
    }
    Ok(())
}

/// Numbers of teeth for the unknown of this place (the other being as in `known`) that can be good
/// enough, and the whole numbers on either side of what would be exactly right; all where nothing
/// depends on it.
fn candidates(
    conditions: &[Condition],
    place: usize,
    known: [u32; 2],
    unknown: &Unknown,
    within_s_per_d: f64,
) -> Result<RangeInclusive<u32>, Impossible> {
    let (least, most) = (*unknown.teeth.start(), *unknown.teeth.end());
    let Some(condition) = conditions.iter().find(|c| c.powers[place] != 0) else {
        return Ok(least..=most);
    };
    let exact = condition.exact(place, known)?;
    let slack = within_s_per_d / SECONDS_PER_DAY;
    let clipped = |teeth: f64| teeth.clamp(f64::from(least), f64::from(most)) as u32;
    Ok(clipped((exact * (1.0 - slack)).floor())..=clipped((exact / (1.0 - slack)).ceil()))
}

fn answer(conditions: &[Condition], teeth: &[u32]) -> Result<Answer, Impossible> {
    let both = [teeth[0], teeth.get(1).copied().unwrap_or(1)];
    let rates =
        conditions.iter().map(|condition| condition.rate(both)).collect::<Result<_, _>>()?;
    Ok(Answer { teeth: teeth.to_vec(), rates })
}

/// Smallest error first; of equals those most alike, or with the fewest teeth.
fn order(alike: bool, one: &Answer, other: &Answer) -> std::cmp::Ordering {
    let size = |answer: &Answer| answer.worst().s_per_d().abs();
    let unlike = |answer: &Answer| match answer.teeth[..] {
        [a, b] if alike => a.abs_diff(b),
        _ => answer.teeth.iter().sum(),
    };
    size(one)
        .total_cmp(&size(other))
        .then_with(|| unlike(one).cmp(&unlike(other)))
        .then_with(|| one.teeth.cmp(&other.teeth))
}
