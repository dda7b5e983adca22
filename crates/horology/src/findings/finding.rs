use super::entries::entry;
use crate::rate_sheet::Wind;
use crate::stance::Stance;
use quantities::Measured;

/// What is to be seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sign {
    /// The impulse pin strikes the outside of the fork.
    Knocking,
    /// The beat is uneven.
    OutOfBeat,
    /// The motion is weak, fully wound and flat.
    WeakMotion,
    /// The motion falls off as the mainspring runs down.
    FadingWithWind,
    /// Something comes back with the turn of a wheel.
    PeriodicFault,
    /// A large or erratic rate or change of it, of either sign.
    LargeOrErratic,
    /// The motion falls from flat to upright by more than it should.
    FallToUpright,
    /// The motion is no better flat than upright.
    NoFallToUpright,
    /// The flat positions differ, and the one with the shorter motion is the faster.
    FlatShorterIsFaster,
    /// The flat positions differ, and the one with the shorter motion is the slower.
    FlatShorterIsSlower,
    /// The flat positions differ in rate; no amplitude says which side is short.
    FlatDiffer,
    /// Upright it is faster than flat.
    UprightFast,
    /// Upright it is slower than flat.
    UprightSlow,
    /// One upright position stands out.
    OneUprightOut,
    /// It loses more from visit to visit.
    LosingMoreWithTime,
    /// The hands gain or lose against the balance.
    HandsAgainstBalance,
    /// On the wrist it is slower than its sheet says.
    SlowInUse,
}

/// Where something was read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Where {
    /// State of wind.
    pub wind: Wind,
    /// Position; nothing for a mean or a difference over positions.
    pub stance: Option<Stance>,
}

/// A number that a finding rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct Evidence {
    /// What was measured, in words.
    pub what: &'static str,
    /// Where, if anywhere.
    pub place: Option<Where>,
    /// The number.
    pub measured: Measured,
    /// Its unit.
    pub unit: &'static str,
    /// What it was held against.
    pub limit: f64,
    /// Whether it is beyond that limit by more than its uncertainty (1.645 standard deviations, 95
    /// in 100); a best estimate alone is evidence too, but faint.
    pub beyond_uncertainty: bool,
}

impl Evidence {
    /// Evidence where the number lies above the limit (below, for a limit that is a least value).
    pub(super) fn above(
        what: &'static str,
        unit: &'static str,
        place: Option<Where>,
        measured: Measured,
        limit: f64,
    ) -> Option<Self> {
        let over = measured.value - limit;
        let beyond_uncertainty = over > 1.645 * measured.sd;
        (over > 0.0).then_some(Self { what, place, measured, unit, limit, beyond_uncertainty })
    }

    /// As [`Self::above`], where the number lies below the limit.
    pub(super) fn below(
        what: &'static str,
        unit: &'static str,
        place: Option<Where>,
        measured: Measured,
        limit: f64,
    ) -> Option<Self> {
        let under = limit - measured.value;
        let beyond_uncertainty = under > 1.645 * measured.sd;
        (under > 0.0).then_some(Self { what, place, measured, unit, limit, beyond_uncertainty })
    }
}

/// Something that may be behind a sign.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cause {
    /// In words.
    pub words: &'static str,
    /// Who says so.
    pub source: &'static str,
}

/// A test and what it tells.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NextTest {
    /// What to do.
    pub words: &'static str,
    /// What its outcome tells apart.
    pub tells: &'static str,
    /// Who says so.
    pub source: &'static str,
}

/// Two authorities that do not agree; both are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Dispute {
    /// What one says, and who.
    pub one: Cause,
    /// What another says, and who.
    pub other: Cause,
}

/// A sign with its evidence and what to make of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// What is to be seen.
    pub sign: Sign,
    /// What it rests on, never empty.
    pub evidence: Vec<Evidence>,
    /// The likeliest first.
    pub causes: &'static [Cause],
    /// The most telling first.
    pub next_tests: &'static [NextTest],
    /// Where authorities disagree.
    pub disputes: &'static [Dispute],
}

impl Finding {
    /// With what is known of this sign; nothing without evidence.
    pub(super) fn of(sign: Sign, evidence: Vec<Evidence>) -> Option<Self> {
        let entry = entry(sign);
        (!evidence.is_empty()).then_some(Self {
            sign,
            evidence,
            causes: entry.causes,
            next_tests: entry.next_tests,
            disputes: entry.disputes,
        })
    }

    /// Whether any of its evidence is beyond the uncertainty.
    #[must_use]
    pub fn is_plain(&self) -> bool {
        self.evidence.iter().any(|evidence| evidence.beyond_uncertainty)
    }
}
