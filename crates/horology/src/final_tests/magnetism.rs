use crate::rate_sheet::{Bounded, Verdict};
use quantities::Measured;

/// The field, A/m, that a watch called magnetic resistant withstands (bib:iso764, from an excerpt).
pub const FIELD_A_PER_M: f64 = 4_800.0;

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
}

/// Why a test says less than it could.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MagnetismProblem {
    /// Nobody knows how strong the field was: the change is told, not judged by the standard.
    FieldUnknown,
    /// The field was weaker than is asked for.
    FieldTooWeak,
    /// It stopped in the field.
    Stopped,
    /// Nobody looked whether it stopped.
    StopNotSeen,
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
    let is_too_weak = |field: f64| limits.field_a_per_m.is_some_and(|asked| field < asked);
    let mut problems = Vec::new();
    match seen.field_a_per_m {
        None => problems.push(MagnetismProblem::FieldUnknown),
        Some(field) if is_too_weak(field) || field.is_nan() => {
            problems.push(MagnetismProblem::FieldTooWeak)
        }
        Some(_) => {}
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
            (Verdict::CannotTell, vec![MagnetismProblem::FieldTooWeak])
        );
        assert_eq!(magnetism(&weak(90.0)).0, Verdict::Fail);
        let unknown = MagnetismSeen { field_a_per_m: None, ..seen(0.0, 3.0, 0.5) };
        assert_eq!(magnetism(&unknown).0, Verdict::CannotTell);
        let stopped = MagnetismSeen { stopped: Some(true), ..seen(0.0, 3.0, 0.5) };
        assert_eq!(magnetism(&stopped), (Verdict::Fail, vec![MagnetismProblem::Stopped]));
    }

    #[test]
    fn a_workshop_has_limits_of_its_own() {
        let limits = MagnetismLimits { field_a_per_m: None, most_change_s_per_d: 5.0 };
        let weak =
            |change| MagnetismSeen { field_a_per_m: Some(2_000.0), ..seen(0.0, change, 0.5) };
        assert_eq!(super::magnetism(&limits, &weak(3.0)), (Verdict::Pass, vec![]));
        assert_eq!(super::magnetism(&limits, &weak(7.0)).0, Verdict::Fail);
    }

    /// 60 oersted are 60 x 1000 / (4 pi) A/m (CGS to SI, any table of units).
    #[test]
    fn the_field_is_that_of_sixty_oersted() {
        let sixty_oersted = 60.0 * 1000.0 / (4.0 * std::f64::consts::PI);
        assert!((FIELD_A_PER_M - sixty_oersted).abs() < 30.0);
    }
}
