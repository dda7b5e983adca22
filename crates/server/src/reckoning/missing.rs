//! Lost wheels.

use crate::convert::index;
use crate::wire;
use calibre::Calibre;
use horology::train::missing::{Answer, Answers, Unknown, Wanted, missing_teeth};
use horology::train::{Movement, Running};
use words::trains as said;

/// So many answers are told of a search.
const MOST_TOLD: usize = 20;

/// Trains with lost wheels that are looked at: one search with the widest bounds takes milliseconds,
/// and no watch has more trains.
const MOST_SEARCHES: usize = 8;

/// What came of the searches.
pub(super) struct Found {
    pub(super) told: Vec<wire::ReckonedMissing>,
    pub(super) filled_in: Vec<wire::FilledIn>,
    /// With the best answers in the place of what is lost.
    pub(super) movement: Movement,
    /// Whether there is an answer for all that is lost.
    pub(super) all_found: bool,
}

/// Looks for lost teeth, train by train: those of one train do not touch those of another.
pub(super) fn search(calibre: &Calibre, within_s_per_d: f64) -> Found {
    let mut found = Found {
        told: Vec::new(),
        filled_in: Vec::new(),
        movement: calibre.movement.clone(),
        all_found: true,
    };
    if calibre.unknowns.is_empty() {
        return found;
    }
    let groups = by_train(calibre);
    found.all_found = groups.len() <= MOST_SEARCHES;
    let mut parts = calibre.movement.parts().clone();
    for unknowns in groups.into_iter().take(MOST_SEARCHES) {
        let wanted = Wanted { unknowns: unknowns.clone(), within_s_per_d };
        let names: Vec<String> =
            unknowns.iter().map(|one| calibre.movement.toothed_name(one.at)).collect();
        match missing_teeth(&calibre.movement, &wanted) {
            Ok(answers) => {
                match answers.good.first() {
                    Some(best) => {
                        for (unknown, &teeth) in unknowns.iter().zip(&best.teeth) {
                            let at = unknown.at;
                            parts.arbors[at.arbor].carries[at.toothed].teeth = teeth;
                            let name = calibre.movement.toothed_name(at);
                            found.filled_in.push(wire::FilledIn { name, teeth });
                        }
                    }
                    None => found.all_found = false,
                }
                let words = said::sought(&calibre.movement, &unknowns, &answers);
                found.told.push(told(words, names, &answers));
            }
            Err(refused) => {
                found.all_found = false;
                found.told.push(wire::ReckonedMissing {
                    words: refused.to_string(),
                    names,
                    judged_by: Vec::new(),
                    answers: Vec::new(),
                    near_enough: false,
                    more: 0,
                });
            }
        }
    }
    match Movement::new(parts) {
        Ok(movement) => found.movement = movement,
        Err(_) => found.all_found = false,
    }
    found
}

/// The unknowns of each train. Which arbors hang together does not depend on their teeth.
fn by_train(calibre: &Calibre) -> Vec<Vec<Unknown>> {
    let Ok(running) = Running::of(&calibre.movement) else {
        return vec![calibre.unknowns.clone()];
    };
    let mut groups: Vec<(usize, Vec<Unknown>)> = Vec::new();
    for unknown in &calibre.unknowns {
        let train = running.arbors[unknown.at.arbor].train;
        match groups.iter_mut().find(|(of, _)| *of == train) {
            Some((_, unknowns)) => unknowns.push(unknown.clone()),
            None => groups.push((train, vec![unknown.clone()])),
        }
    }
    groups.into_iter().map(|(_, unknowns)| unknowns).collect()
}

fn told(words: String, names: Vec<String>, answers: &Answers) -> wire::ReckonedMissing {
    let near_enough = !answers.good.is_empty();
    let shown = if near_enough { &answers.good } else { &answers.nearest };
    wire::ReckonedMissing {
        words,
        names,
        judged_by: answers.judged_by.clone(),
        answers: shown.iter().take(MOST_TOLD).map(answer).collect(),
        near_enough,
        more: index(shown.len().saturating_sub(MOST_TOLD)),
    }
}

fn answer(answer: &Answer) -> wire::ReckonedAnswer {
    wire::ReckonedAnswer {
        teeth: answer.teeth.clone(),
        rates_s_per_d: answer.rates.iter().map(|rate| rate.s_per_d()).collect(),
    }
}
