use super::judged::{Judged, Number, Reason, Sign};
use crate::rate_sheet::Bounded;
use quantities::Measured;

/// Hands and calendar watched over 24 hours and through midnight. What nobody looked at is `None`.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Midnight {
    /// When the calendar had changed, minutes after midnight by the watch's own hands; before is
    /// negative.
    pub changed_min: Option<f64>,
    /// Whether it changed whole, with nothing left half way.
    pub changes_whole: Option<bool>,
    /// Whether it showed the right day, date and moon afterwards.
    pub shows_right: Option<bool>,
    /// Whether the hands cleared each other, dial and glass all round.
    pub hands_clear: Option<bool>,
    /// Whether the hands agree: the minute hand upright when the hour hand points at an hour.
    pub hands_agree: Option<bool>,
    /// Whether it winds, sets and corrects as it should.
    pub sets_right: Option<bool>,
}

/// Whether all that was seen is right and enough was seen. `within_min` is how far from midnight the
/// calendar may change; the workshop's own (common practice, no published source), and none where it
/// does not matter.
#[must_use]
pub fn midnight(seen: &Midnight, has_calendar: bool, within_min: Option<f64>) -> Judged {
    let sign = |(of, right)| Reason::Sign(of, right);
    let hands = [
        (Sign::HandsClear, seen.hands_clear),
        (Sign::HandsAgree, seen.hands_agree),
        (Sign::SetsRight, seen.sets_right),
    ];
    let mut reasons: Vec<Reason> = hands.map(sign).into();
    if has_calendar {
        let calendar =
            [(Sign::ChangesWhole, seen.changes_whole), (Sign::ShowsRight, seen.shows_right)];
        reasons.extend(calendar.map(sign));
        reasons.extend(within_min.map(|within| {
            let of = Number::CalendarChange;
            seen.changed_min.map_or(Reason::Missing(of), |at| {
                let at = Bounded::from(Measured::new(at, 0.0));
                Reason::limit(of, at, Some(-within), Some(within))
            })
        }));
    }
    Judged::from_reasons(reasons, None)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rate_sheet::Verdict;

    #[test]
    fn a_fault_fails_and_what_nobody_saw_leaves_it_open() {
        let all = Midnight {
            changed_min: Some(-4.0),
            changes_whole: Some(true),
            shows_right: Some(true),
            hands_clear: Some(true),
            hands_agree: Some(true),
            sets_right: Some(true),
        };
        let verdict = |seen: &Midnight, has, within| midnight(seen, has, within).verdict;
        assert_eq!(verdict(&all, true, Some(5.0)), Verdict::Pass);
        assert_eq!(verdict(&all, true, Some(3.0)), Verdict::Fail);
        assert_eq!(verdict(&all, true, None), Verdict::Pass);
        let unseen = Midnight { shows_right: None, ..all };
        assert_eq!(verdict(&unseen, true, Some(5.0)), Verdict::CannotTell);
        let half = Midnight { changes_whole: Some(false), ..all };
        assert_eq!(verdict(&half, true, Some(5.0)), Verdict::Fail);
        let plain = Midnight { changed_min: None, shows_right: None, changes_whole: None, ..all };
        assert_eq!(verdict(&plain, false, Some(5.0)), Verdict::Pass);
        let scrape = Midnight { hands_clear: Some(false), ..plain };
        assert_eq!(verdict(&scrape, false, Some(5.0)), Verdict::Fail);
    }
}
