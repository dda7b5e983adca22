//! The user's bottles: which one to take, and what is wrong with it.

use crate::{BottleId, LubricantClass};
use jiff::civil::Date;

/// A bottle on the user's bench.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bottle {
    /// Its id.
    pub id: BottleId,
    /// What is in it.
    pub class: LubricantClass,
    /// What the user calls it.
    pub name: String,
    /// When it was opened; none: it is not open, or nobody knows.
    pub opened: Option<Date>,
    /// After which day it should not be used.
    pub expires: Option<Date>,
    /// The user has used it up or thrown it away.
    pub gone: bool,
}

/// Which bottle to take for a class.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Choice<'a> {
    /// Take this one.
    Take(&'a Bottle),
    /// There is only this one, and it is past its day.
    TakeOld {
        /// The one that expired last.
        bottle: &'a Bottle,
        /// The day after which it should not be used.
        expired: Date,
    },
    /// There is none of this class.
    Missing(LubricantClass),
}

/// Chooses a bottle: among those not past their day the one that is open already, and of several
/// the one that expires first, so that bottles get used up; else the one that expired last.
#[must_use]
pub fn choose(bottles: &[Bottle], class: LubricantClass, today: Date) -> Choice<'_> {
    let usable = || bottles.iter().filter(|bottle| bottle.class == class && !bottle.gone);
    let fresh = usable().filter(|bottle| bottle.expires.is_none_or(|last| last >= today));
    let best = fresh.min_by_key(|bottle| {
        let opened = bottle.opened.is_none_or(|day| day > today);
        (opened, bottle.expires.unwrap_or(Date::MAX), bottle.id)
    });
    if let Some(bottle) = best {
        return Choice::Take(bottle);
    }
    usable()
        .filter_map(|bottle| Some((bottle.expires?, bottle)))
        .max_by_key(|(expired, bottle)| (*expired, std::cmp::Reverse(bottle.id)))
        .map_or(Choice::Missing(class), |(expired, bottle)| Choice::TakeOld { bottle, expired })
}

#[cfg(test)]
mod tests {
    use super::*;
    use uuid::Uuid;

    fn bottle(id: u128, opened: Option<Date>, expires: Option<Date>) -> Bottle {
        Bottle {
            id: BottleId::from_uuid(Uuid::from_u128(id)),
            class: LubricantClass::ThinOil,
            name: "the small one".to_owned(),
            opened,
            expires,
            gone: false,
        }
    }

    fn day(month: i8) -> Date {
        Date::constant(2026, month, 1)
    }

    #[test]
    fn an_open_bottle_is_used_up_before_a_new_one_is_opened() {
        let all = [bottle(1, None, Some(day(8))), bottle(2, Some(day(1)), Some(day(9)))];
        assert_eq!(choose(&all, LubricantClass::ThinOil, day(6)), Choice::Take(&all[1]));
    }

    #[test]
    fn a_bottle_past_its_day_is_taken_only_with_a_warning() {
        let all = [bottle(1, None, Some(day(2))), bottle(2, Some(day(1)), Some(day(4)))];
        let expired = day(4);
        assert_eq!(
            choose(&all, LubricantClass::ThinOil, day(6)),
            Choice::TakeOld { bottle: &all[1], expired }
        );
        assert_eq!(choose(&all, LubricantClass::ThinOil, expired), Choice::Take(&all[1]));
    }

    #[test]
    fn a_class_without_a_bottle_is_missing() {
        let mut all = [bottle(1, None, None)];
        let missing = Choice::Missing(LubricantClass::BrakingGrease);
        assert_eq!(choose(&all, LubricantClass::BrakingGrease, day(6)), missing);
        all[0].gone = true;
        let missing = Choice::Missing(LubricantClass::ThinOil);
        assert_eq!(choose(&all, LubricantClass::ThinOil, day(6)), missing);
    }
}
