//! `endshake.missing-wheel/1`: what `missing-wheel --format json` prints.

use super::train::Source;
use crate::missing_wheel::Found;
use horology::train::missing::Answer;
use serde::Serialize;

/// Teeth that were found.
#[derive(Debug, Serialize)]
pub(crate) struct MissingWheelResult {
    schema: &'static str,
    source: Source,
    unknowns: Vec<UnknownResult>,
    within_s_per_d: f64,
    /// What sets the speed.
    speed_from: String,
    judged_by: Vec<String>,
    /// How many answers there are; the best of them follow.
    answers_found: usize,
    answers: Vec<AnswerResult>,
    /// Where there is no answer, the nearest.
    nearest: Vec<AnswerResult>,
}

#[derive(Debug, Serialize)]
struct UnknownResult {
    name: String,
    least: u32,
    most: u32,
}

#[derive(Debug, Serialize)]
struct AnswerResult {
    /// In the order of the unknowns.
    teeth: Vec<u32>,
    /// The one farthest from zero.
    worst_rate_s_per_d: f64,
    /// In the order of `judged_by`.
    rates_s_per_d: Vec<f64>,
}

impl MissingWheelResult {
    pub(crate) fn of(found: &Found) -> Self {
        let answers = &found.answers;
        let unknowns = found.wanted.unknowns.iter().zip(found.names());
        let unknowns = unknowns.map(|(unknown, name)| UnknownResult {
            name,
            least: *unknown.teeth.start(),
            most: *unknown.teeth.end(),
        });
        Self {
            schema: "endshake.missing-wheel/1",
            source: Source {
                path: found.input.path.clone(),
                title: found.input.calibre.title.clone(),
            },
            unknowns: unknowns.collect(),
            within_s_per_d: found.wanted.within_s_per_d,
            speed_from: answers.from.clone(),
            judged_by: answers.judged_by.clone(),
            answers_found: answers.good.len(),
            answers: answers.good.iter().take(found.most).map(AnswerResult::of).collect(),
            nearest: answers.nearest.iter().map(AnswerResult::of).collect(),
        }
    }
}

impl AnswerResult {
    fn of(answer: &Answer) -> Self {
        Self {
            teeth: answer.teeth.clone(),
            worst_rate_s_per_d: answer.worst().s_per_d(),
            rates_s_per_d: answer.rates.iter().map(|rate| rate.s_per_d()).collect(),
        }
    }
}
