use super::{Known, MagnetismProblem, RunSeen, WaterProblem};
use crate::rate_sheet::{Bounded, Verdict};
use quantities::Measured;

/// What a test comes to, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// As the worst of its reasons; cannot tell where there is none.
    pub verdict: Verdict,
    /// Everything that was asked, in the order of asking.
    pub reasons: Vec<Reason>,
    /// How much of what the limits rest on was seen; none where they are the workshop's own.
    pub known: Option<Known>,
}

/// A number that a test asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Number {
    /// Mean over the positions, s/d.
    MeanRate,
    /// Greatest difference between positions, s/d.
    Spread,
    /// Lowest amplitude, degrees.
    Amplitude,
    /// Hours that it runs.
    RunningTime,
    /// Air that leaks, micrograms a minute.
    Leak,
    /// What the field left, s/d.
    ChangeOfRate,
    /// Minutes after midnight at which the calendar had changed.
    CalendarChange,
    /// What stands on the watch, bar.
    MarkedPressure,
    /// Rates before and after the field, s/d.
    RatesBeforeAndAfter,
}

/// Something that a test looks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sign {
    /// The rotor turns freely.
    RotorFree,
    /// The calendar changes whole.
    ChangesWhole,
    /// Day, date and moon are right afterwards.
    ShowsRight,
    /// Hands clear each other, dial and glass.
    HandsClear,
    /// The minute hand is upright on the hour.
    HandsAgree,
    /// Winds, sets and corrects.
    SetsRight,
    /// No marks that were not there at intake.
    NoNewMarks,
    /// No dust, fibres or prints under the glass.
    Clean,
    /// Crown, back, screws and strap.
    Tight,
}

/// One thing that a test asked, and what became of it.
#[derive(Debug, Clone, PartialEq)]
pub enum Reason {
    /// A number against its limits, which are allowed themselves.
    Limit {
        /// Which.
        of: Number,
        /// What was found.
        found: Measured,
        /// Lower limit.
        low: Option<f64>,
        /// Upper limit.
        high: Option<f64>,
        /// Whether it keeps to them.
        verdict: Verdict,
    },
    /// A number that was not entered.
    Missing(Number),
    /// No limit is set for anything that was found.
    NoLimit,
    /// A sign, and whether it is as it should be; none: nobody looked.
    Sign(Sign, Option<bool>),
    /// How long it ran, against the hours that are wanted.
    Run {
        /// What was seen.
        seen: RunSeen,
        /// Hours wanted.
        wanted_hours: f64,
        /// Whether it ran so long.
        verdict: Verdict,
    },
    /// Air or water was kept out, as far as anybody looked.
    NothingGotThrough,
    /// Salt water left no rust, and all moves freely.
    SaltDidNothing,
    /// Of water.
    Water(WaterProblem),
    /// Of a magnetic field.
    Magnetism(MagnetismProblem),
    /// Nobody said which way it was tested.
    WayNotSaid,
    /// Nothing is measured in such a test: the repairer says what came of it.
    YoursToSay,
}

impl Reason {
    /// A number against its limits.
    #[must_use]
    pub fn limit(of: Number, found: Bounded, low: Option<f64>, high: Option<f64>) -> Self {
        let verdict = found.against(low, high);
        Self::Limit { of, found: found.measured, low, high, verdict }
    }

    /// What it alone comes to.
    #[must_use]
    pub const fn verdict(&self) -> Verdict {
        use WaterProblem::{BendLetUp, Corroded, Fog, Leaks, Stuck, WaterOrBubbles};
        match self {
            Self::Limit { verdict, .. } | Self::Run { verdict, .. } => *verdict,
            Self::Sign(_, Some(true)) | Self::NothingGotThrough | Self::SaltDidNothing => {
                Verdict::Pass
            }
            Self::Sign(_, Some(false))
            | Self::Water(Leaks(_) | Fog | WaterOrBubbles | BendLetUp | Corroded | Stuck)
            | Self::Magnetism(MagnetismProblem::Stopped) => Verdict::Fail,
            _ => Verdict::CannotTell,
        }
    }
}

impl Judged {
    /// From reasons: one that fails fails all, one that cannot be told leaves all of it open.
    #[must_use]
    pub fn from_reasons(reasons: Vec<Reason>, known: Option<Known>) -> Self {
        let verdicts: Vec<Verdict> = reasons.iter().map(Reason::verdict).collect();
        let verdict = if verdicts.contains(&Verdict::Fail) {
            Verdict::Fail
        } else if verdicts.is_empty() || verdicts.contains(&Verdict::CannotTell) {
            Verdict::CannotTell
        } else {
            Verdict::Pass
        };
        Self { verdict, reasons, known }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_worst_reason_decides_and_none_decides_nothing() {
        let of = |reasons: &[Reason]| Judged::from_reasons(reasons.to_vec(), None).verdict;
        let right = Reason::Sign(Sign::Tight, Some(true));
        let wrong = Reason::Sign(Sign::Clean, Some(false));
        let unseen = Reason::Sign(Sign::NoNewMarks, None);
        assert_eq!(of(&[]), Verdict::CannotTell);
        assert_eq!(of(std::slice::from_ref(&right)), Verdict::Pass);
        assert_eq!(of(&[right.clone(), unseen.clone()]), Verdict::CannotTell);
        assert_eq!(of(&[right, unseen, wrong]), Verdict::Fail);
    }
}
