//! Everything that follows from a movement's written form, as the page wants it.

mod balances;
mod missing;
mod springs;
mod sums;
mod trains;

use crate::wire;
use calibre::Calibre;
use horology::train::{Movement, Running, ToothedAt};
use quantities::Measured;

/// The longest text that is reckoned with, in bytes: more than a watch may keep.
pub(crate) const MOST_TEXT_BYTES: usize = 1 << 16;

/// Reckons with a movement. What is wrong in it is part of the answer.
pub(crate) fn reckon(wish: &wire::ReckonWish, within_s_per_d: f64) -> wire::Reckoned {
    let mut told = wire::Reckoned::default();
    if wish.text.trim().is_empty() {
        return told;
    }
    let calibre = match calibre::read(&wish.text) {
        Ok(calibre) => calibre,
        Err(unfit) => {
            told.problems.push(problem(unfit.line, "unreadable", sentence(&unfit.wrong)));
            return told;
        }
    };
    told.title.clone_from(&calibre.title);
    let found = missing::search(&calibre, within_s_per_d);
    told.missing = found.told;
    told.filled_in = found.filled_in;
    // With teeth that nobody knows there is no speed: what hangs together is shown all the same.
    let speeds_known = found.all_found;
    let (movement, turns_of_spring) = springs::with_their_turns(&calibre, found.movement);
    match Running::of(&movement) {
        Ok(running) => {
            let bare = Bare { calibre: &calibre, movement: &movement, running, speeds_known };
            all(&mut told, &bare, wish, &turns_of_spring);
        }
        Err(impossible) => {
            told.problems.push(problem(None, "impossible", impossible.to_string()));
        }
    }
    told
}

/// A movement and how it runs.
struct Bare<'a> {
    calibre: &'a Calibre,
    /// With lost teeth filled in, and the turns of barrels by their springs.
    movement: &'a Movement,
    running: Running,
    /// Whether all teeth are known, so that times and rates mean something.
    speeds_known: bool,
}

impl Bare<'_> {
    /// Teeth that were counted or found.
    fn known_teeth(&self, at: ToothedAt) -> Option<u32> {
        let lost = self.calibre.unknowns.iter().any(|unknown| unknown.at == at);
        let known = self.speeds_known || !lost;
        known.then(|| self.movement.parts().arbors[at.arbor].carries[at.toothed].teeth)
    }
}

fn all(
    told: &mut wire::Reckoned,
    bare: &Bare<'_>,
    wish: &wire::ReckonWish,
    turns_of_spring: &[bool],
) {
    if bare.speeds_known {
        let problems = bare.running.problems.iter();
        told.problems.extend(problems.map(|one| problem(None, one.code(), one.to_string())));
    }
    let measured = measured(bare, wish, &mut told.problems);
    told.arbors = trains::arbors(bare);
    told.meshes = trains::meshes(bare);
    told.hands = trains::hands(bare, &measured);
    told.barrels = trains::barrels(bare, turns_of_spring);
    if bare.speeds_known {
        match trains::cycles(bare) {
            Ok(cycles) => told.cycles = cycles,
            Err(impossible) => {
                told.problems.push(problem(None, "impossible", impossible.to_string()));
            }
        }
    }
    told.balances = balances::balances(bare, wish, &mut told.problems);
    told.mainsprings = springs::mainsprings(bare, wish, &mut told.problems);
    told.sums = sums::sums(bare, &mut told.problems);
}

/// What was measured of each balance, in the movement's order.
fn measured(
    bare: &Bare<'_>,
    wish: &wire::ReckonWish,
    problems: &mut Vec<wire::ReckonedProblem>,
) -> Vec<Option<Measured>> {
    let balances = &bare.movement.parts().balances;
    let mut all = vec![None; balances.len()];
    for beat in wish.measured.iter().flatten() {
        let place = balances.iter().position(|balance| balance.name == beat.balance);
        let sd = beat.sd_beats_per_hour.unwrap_or(0.0);
        let fits = beat.beats_per_hour > 0.0 && beat.beats_per_hour.is_finite();
        match place {
            Some(place) if fits && sd >= 0.0 && sd.is_finite() => {
                all[place] = Some(Measured::new(beat.beats_per_hour, sd));
            }
            Some(_) => problems.push(problem(
                None,
                "measured",
                format!("What balance {} was measured at is no beat.", beat.balance),
            )),
            // The name was just changed, or the balance taken out: nothing hangs on it any more.
            None => {}
        }
    }
    all
}

fn problem(line: Option<usize>, code: &str, words: String) -> wire::ReckonedProblem {
    let line = line.and_then(|line| u32::try_from(line).ok());
    wire::ReckonedProblem { line, code: code.into(), words }
}

/// With a capital, since on the page it stands by itself.
fn sentence(words: &impl std::fmt::Display) -> String {
    let words = words.to_string();
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A size as the written form has it: `0.10 ± 0.003`; where it is exact, to the thousandth.
fn written(size: Measured) -> String {
    if size.sd > 0.0 {
        let (number, sd) = words::rounded(size, false);
        return format!("{} ± {sd}", number.replace(',', ""));
    }
    let exact = format!("{:.3}", size.value);
    exact.trim_end_matches('0').trim_end_matches('.').to_owned()
}
