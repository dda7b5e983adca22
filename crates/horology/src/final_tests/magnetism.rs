use crate::rate_sheet::{Bounded, Verdict};
use quantities::Measured;

/// The field, A/m, that a watch called magnetic resistant withstands (bib:iso764, from an excerpt).
pub const FIELD_A_PER_M: f64 = 4_800.0;

/// The field, A/m, of the class that the standard calls enhanced (bib:iso764, from an excerpt).
pub const ENHANCED_FIELD_A_PER_M: f64 = 16_000.0;

/// How long the rate is read before and after, at least, seconds (bib:iso764, from an excerpt).
pub const LEAST_READING_S: f64 = 180.0;

/// How long before that the watch was wound fully, at least, hours (bib:iso764, from an excerpt).
pub const LEAST_WOUND_H: f64 = 1.0;

/// How long before that at most, hours: a watch that was wound a day before is not wound fully. Our own
/// choice.
pub const MOST_WOUND_H: f64 = 6.0;

/// What it may change the rate by, s/d, to either side (bib:iso764, from reports of it).
pub const LIMIT_S_PER_D: f64 = 30.0;

/// A watch before and after it was in a field.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MagnetismSeen {
    /// Rate before, s/d, dial up (bib:iso764, from an excerpt: over 180 s at least, wound fully an hour
    /// or more before).
    pub before_s_per_d: Measured,
    /// Rate after, s/d, in the same position.
    pub after_s_per_d: Measured,
    /// The field, A/m, where it is known.
    pub field_a_per_m: Option<f64>,
    /// Whether it stopped in the field, where somebody looked.
    pub stopped: Option<bool>,
}

/// What a watch is asked to withstand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MagnetismLimits {
    /// Field, A/m; none: any field that is known to have been there.
    pub field_a_per_m: Option<f64>,
    /// What it may change the rate by, s/d, to either side.
    pub most_change_s_per_d: f64,
}

impl MagnetismLimits {
    /// bib:iso764
    pub const ISO_764: Self =
        Self { field_a_per_m: Some(FIELD_A_PER_M), most_change_s_per_d: LIMIT_S_PER_D };

    /// The enhanced class: its field is from an excerpt (bib:iso764). That it may change the rate by no
    /// more than in the weaker field is from memory.
    pub const ISO_764_ENHANCED: Self =
        Self { field_a_per_m: Some(ENHANCED_FIELD_A_PER_M), ..Self::ISO_764 };
}

/// Why a test says less than it could.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MagnetismProblem {
    /// Nobody knows how strong the field was: the change is told, not judged by the standard.
    FieldUnknown,
    /// The field was weaker than is asked for, A/m.
    FieldTooWeak(f64),
    /// It stopped in the field.
    Stopped,
    /// Nobody looked whether it stopped.
    StopNotSeen,
}

/// Why a reading is not what the standard asks before and after the field.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReadingProblem {
    /// Shorter than [`LEAST_READING_S`].
    Short,
    /// Nobody wrote down that the watch was wound fully.
    NotKnownToBeFull,
    /// Wound fully less than [`LEAST_WOUND_H`] before.
    JustWound,
    /// Wound fully more than [`MOST_WOUND_H`] before.
    LongSinceWound,
}

/// What speaks against a reading before or after the field. `wound_h` is how long before it the watch
/// was wound fully, as far as that was written down: nought says that it was wound, and not when.
#[must_use]
pub fn reading_problems(duration_s: f64, wound_h: Option<f64>) -> Vec<ReadingProblem> {
    let mut problems = Vec::new();
    if duration_s.is_nan() || duration_s < LEAST_READING_S {
        problems.push(ReadingProblem::Short);
    }
    match wound_h {
        None => problems.push(ReadingProblem::NotKnownToBeFull),
        Some(hours) if hours > 0.0 && hours < LEAST_WOUND_H => {
            problems.push(ReadingProblem::JustWound);
        }
        Some(hours) if hours > MOST_WOUND_H => problems.push(ReadingProblem::LongSinceWound),
        Some(_) => {}
    }
    problems
}

/// What the field left: the rate after less the rate before, s/d (bib:iso764, from an excerpt). Both
/// readings have the recorder's clock in common; it cancels.
#[must_use]
pub fn residual_s_per_d(seen: &MagnetismSeen) -> Measured {
    seen.after_s_per_d.minus(seen.before_s_per_d)
}

/// Whether the watch keeps to these limits, and what is against a clear answer.
#[must_use]
pub fn magnetism(
    limits: &MagnetismLimits,
    seen: &MagnetismSeen,
) -> (Verdict, Vec<MagnetismProblem>) {
    let change = Bounded::from(residual_s_per_d(seen));
    let most = limits.most_change_s_per_d;
    let verdict = change.against(Some(-most), Some(most));
    let mut problems = Vec::new();
    match (seen.field_a_per_m, limits.field_a_per_m) {
        (None, _) => problems.push(MagnetismProblem::FieldUnknown),
        (Some(field), _) if field.is_nan() => problems.push(MagnetismProblem::FieldUnknown),
        (Some(field), Some(asked)) if field < asked => {
            problems.push(MagnetismProblem::FieldTooWeak(asked));
        }
        (Some(_), _) => {}
    }
    match seen.stopped {
        Some(true) => problems.push(MagnetismProblem::Stopped),
        None => problems.push(MagnetismProblem::StopNotSeen),
        Some(false) => {}
    }
    let verdict = if problems.contains(&MagnetismProblem::Stopped) || verdict == Verdict::Fail {
        // A weaker field that does it is enough to fail.
        Verdict::Fail
    } else if problems.is_empty() {
        verdict
    } else {
        Verdict::CannotTell
    };
    (verdict, problems)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn magnetism(seen: &MagnetismSeen) -> (Verdict, Vec<MagnetismProblem>) {
        super::magnetism(&MagnetismLimits::ISO_764, seen)
    }

    fn seen(before: f64, after: f64, sd: f64) -> MagnetismSeen {
        MagnetismSeen {
            before_s_per_d: Measured::new(before, sd),
            after_s_per_d: Measured::new(after, sd),
            field_a_per_m: Some(FIELD_A_PER_M),
            stopped: Some(false),
        }
    }

    /// Limit of 30 s/d at 4,800 A/m (bib:iso764, from reports). Two readings of 0.5 s/d make 0.71
    /// (JCGM 100:2008, 5.1.2): 1.645 of these are 1.2 s/d, so 29 cannot be told and 28 can.
    #[test]
    fn the_change_is_judged_no_sharper_than_it_is_known() {
        let residual = residual_s_per_d(&seen(4.0, -20.0, 0.5));
        assert_eq!(residual.value, -24.0);
        assert!((residual.sd - 0.5_f64.sqrt()).abs() < 1e-12);
        assert_eq!(magnetism(&seen(0.0, 28.0, 0.5)).0, Verdict::Pass);
        assert_eq!(magnetism(&seen(0.0, 29.0, 0.5)).0, Verdict::CannotTell);
        assert_eq!(magnetism(&seen(0.0, -31.0, 0.5)).0, Verdict::CannotTell);
        assert_eq!(magnetism(&seen(0.0, -32.0, 0.5)).0, Verdict::Fail);
    }

    #[test]
    fn a_field_that_is_weak_or_unknown_proves_nothing_but_a_fault() {
        let weak =
            |change| MagnetismSeen { field_a_per_m: Some(2_000.0), ..seen(0.0, change, 0.5) };
        assert_eq!(
            magnetism(&weak(3.0)),
            (Verdict::CannotTell, vec![MagnetismProblem::FieldTooWeak(4_800.0)])
        );
        assert_eq!(magnetism(&weak(90.0)).0, Verdict::Fail);
        let unknown = MagnetismSeen { field_a_per_m: None, ..seen(0.0, 3.0, 0.5) };
        assert_eq!(magnetism(&unknown).0, Verdict::CannotTell);
        let stopped = MagnetismSeen { stopped: Some(true), ..seen(0.0, 3.0, 0.5) };
        assert_eq!(magnetism(&stopped), (Verdict::Fail, vec![MagnetismProblem::Stopped]));
    }

    /// bib:iso764, from an excerpt: 16,000 A/m. The field of the ordinary class is no proof of it.
    #[test]
    fn a_watch_of_the_enhanced_class_is_judged_in_its_own_field() {
        let judged = |field, change| {
            let seen = MagnetismSeen { field_a_per_m: Some(field), ..seen(0.0, change, 0.5) };
            super::magnetism(&MagnetismLimits::ISO_764_ENHANCED, &seen)
        };
        assert_eq!(judged(16_000.0, 28.0), (Verdict::Pass, vec![]));
        let weak = (Verdict::CannotTell, vec![MagnetismProblem::FieldTooWeak(16_000.0)]);
        assert_eq!(judged(FIELD_A_PER_M, 3.0), weak);
        assert_eq!(judged(15_999.0, 3.0), weak);
        assert_eq!(judged(16_000.0, 90.0).0, Verdict::Fail);
    }

    #[test]
    fn a_workshop_has_limits_of_its_own() {
        let limits = MagnetismLimits { field_a_per_m: None, most_change_s_per_d: 5.0 };
        let weak =
            |change| MagnetismSeen { field_a_per_m: Some(2_000.0), ..seen(0.0, change, 0.5) };
        assert_eq!(super::magnetism(&limits, &weak(3.0)), (Verdict::Pass, vec![]));
        assert_eq!(super::magnetism(&limits, &weak(7.0)).0, Verdict::Fail);
    }

    /// bib:iso764, from an excerpt: over 180 s at least, wound fully an hour or more before.
    #[test]
    fn a_reading_that_is_short_or_not_wound_is_told() {
        use ReadingProblem::{JustWound, LongSinceWound, NotKnownToBeFull, Short};
        for (duration_s, wound_h, problems) in [
            (180.0, Some(0.0), vec![]),
            (180.0, Some(1.0), vec![]),
            (179.0, Some(1.0), vec![Short]),
            (180.0, Some(0.5), vec![JustWound]),
            (180.0, Some(24.0), vec![LongSinceWound]),
            (60.0, None, vec![Short, NotKnownToBeFull]),
            (f64::NAN, Some(0.0), vec![Short]),
        ] {
            let found = reading_problems(duration_s, wound_h);
            assert_eq!(found, problems, "{duration_s} s, {wound_h:?} h");
        }
    }

    /// 60 oersted are 60 x 1000 / (4 pi) A/m (CGS to SI, any table of units).
    #[test]
    fn the_field_is_that_of_sixty_oersted() {
        let sixty_oersted = 60.0 * 1000.0 / (4.0 * std::f64::consts::PI);
        assert!((FIELD_A_PER_M - sixty_oersted).abs() < 30.0);
    }
}
