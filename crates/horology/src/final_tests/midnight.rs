use crate::rate_sheet::Verdict;

/// Hands and calendar watched over 24 hours and through midnight. What nobody looked at is `None`.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Midnight {
    /// When the calendar had changed, minutes after midnight by the watch's own hands; before is
    /// negative.
    pub changed_min: Option<f64>,
    /// Whether it showed the right day, date and moon afterwards.
    pub shows_right: Option<bool>,
    /// Whether the hands cleared each other, dial and glass all round.
    pub hands_clear: Option<bool>,
    /// Whether the hands agree: the minute hand upright when the hour hand points at an hour.
    pub hands_agree: Option<bool>,
}

/// Whether all that was seen is right and enough was seen. `within_min` is how far from midnight the
/// calendar may change; the workshop's own (common practice, no published source).
#[must_use]
pub fn midnight(seen: &Midnight, has_calendar: bool, within_min: f64) -> Verdict {
    let in_time = seen.changed_min.map(|at| at.abs() <= within_min);
    let calendar = [in_time, seen.shows_right];
    let hands = [seen.hands_clear, seen.hands_agree];
    let asked =
        hands.into_iter().chain(calendar.into_iter().take(if has_calendar { 2 } else { 0 }));
    let answers: Vec<Option<bool>> = asked.collect();
    if answers.contains(&Some(false)) {
        Verdict::Fail
    } else if answers.contains(&None) {
        Verdict::CannotTell
    } else {
        Verdict::Pass
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fault_fails_and_what_nobody_saw_leaves_it_open() {
        let all = Midnight {
            changed_min: Some(-4.0),
            shows_right: Some(true),
            hands_clear: Some(true),
            hands_agree: Some(true),
        };
        assert_eq!(midnight(&all, true, 5.0), Verdict::Pass);
        assert_eq!(midnight(&all, true, 3.0), Verdict::Fail);
        assert_eq!(
            midnight(&Midnight { shows_right: None, ..all }, true, 5.0),
            Verdict::CannotTell
        );
        let plain = Midnight { changed_min: None, shows_right: None, ..all };
        assert_eq!(midnight(&plain, false, 5.0), Verdict::Pass);
        assert_eq!(
            midnight(&Midnight { hands_clear: Some(false), ..plain }, false, 5.0),
            Verdict::Fail
        );
    }
}
