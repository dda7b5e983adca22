//! Parts, steps and screws.

use quantities::digits::plain;
use rebuild::{PartId, Screws, State, StepId, ThreadHand};

/// What to call a part: what the user calls it, or its kind, with its groups.
#[must_use]
pub fn part(state: &State, id: PartId) -> String {
    let Some(found) = state.part(id) else { return "a part that is not in the log".into() };
    let mut name = found.part.called().to_string();
    for group in state.step(found.step).iter().flat_map(|step| &step.groups) {
        name.push(' ');
        name.push_str(group.as_str());
    }
    name
}

/// What to call a step.
#[must_use]
pub fn step(state: &State, id: StepId) -> String {
    state
        .step(id)
        .map_or_else(|| "a step that is not in the log".into(), |step| state.name_of(step))
}

/// Like screws: "2 screws, 1.8 mm, blued, near the centre". A left-handed thread comes first and loud.
#[must_use]
pub fn screws(screws: &Screws, count: u16) -> String {
    let mut words = match count {
        1 => "1 screw".to_owned(),
        count => format!("{count} screws"),
    };
    if screws.thread == ThreadHand::Left {
        words.push_str(", LEFT-HANDED: clockwise loosens, counter-clockwise tightens");
    }
    if let Some(length) = screws.length_mm {
        words.push_str(&format!(", {}\u{a0}mm", number(length)));
    }
    for text in [screws.look.trim(), screws.place.trim()] {
        if !text.is_empty() {
            words.push_str(", ");
            words.push_str(text);
        }
    }
    words
}

/// A number that a person entered, or that stands in a data file: with as many decimals as it needs,
/// four at most.
pub(super) fn number(value: f64) -> String {
    let all = plain(value, 4);
    all.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use rebuild::ScrewsId;

    fn some(thread: ThreadHand, length_mm: Option<f64>) -> Screws {
        let (look, place) = ("blued".to_owned(), " near the centre ".to_owned());
        Screws {
            id: ScrewsId::from_uuid(uuid::Uuid::nil()),
            count: 2,
            length_mm,
            look,
            thread,
            place,
        }
    }

    #[test]
    fn screws_say_how_many_which_and_where() {
        let two = some(ThreadHand::Right, Some(1.8));
        assert_eq!(screws(&two, 2), "2 screws, 1.8\u{a0}mm, blued, near the centre");
        assert_eq!(screws(&two, 1), "1 screw, 1.8\u{a0}mm, blued, near the centre");
        assert_eq!(
            screws(&some(ThreadHand::Unknown, Some(2.0)), 1),
            "1 screw, 2\u{a0}mm, blued, near the centre"
        );
    }

    #[test]
    fn a_left_handed_thread_is_loud_in_both_directions() {
        let words = screws(&some(ThreadHand::Left, None), 1);
        assert!(
            words
                .starts_with("1 screw, LEFT-HANDED: clockwise loosens, counter-clockwise tightens")
        );
    }
}
